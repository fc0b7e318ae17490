//! From the print pose back to the mesh's own frame.

use layers::{Posed, Turn};
use mesh::vector::{Vec3, add};
use serde::{Deserialize, Serialize};

/// How a mesh was turned and set down.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Frame {
    turn: Turn,
    /// The pose's origin in the mesh's own frame, mm.
    origin: Vec3,
}

impl Frame {
    /// The frame of a posed mesh.
    pub fn of(posed: &Posed) -> Frame {
        Frame {
            turn: *posed.turn(),
            origin: posed.to_mesh([0.0; 3]),
        }
    }

    /// A place of the pose in the mesh's own frame, mm.
    pub fn to_mesh(&self, place: Vec3) -> Vec3 {
        add(self.origin, self.direction(place))
    }

    /// A direction of the pose in the mesh's own frame.
    pub fn direction(&self, d: Vec3) -> Vec3 {
        // The inverse of a rotation is its transpose.
        [0, 1, 2].map(|k| (0..3).map(|row| self.turn[row][k] * d[row]).sum())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{cuboid, welded};

    #[test]
    fn places_come_back() {
        let mesh = welded(&cuboid([5.0, -3.0, 7.0], [15.0, 17.0, 37.0]));
        let turn = [[0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]];
        let posed = Posed::new(&mesh, &turn);
        let frame = Frame::of(&posed);
        for p in [[1.0, 2.0, 3.0], [-4.0, 0.0, 9.5]] {
            assert_eq!(frame.to_mesh(p), posed.to_mesh(p));
        }
        assert_eq!(frame.direction([0.0, 0.0, 1.0]), [1.0, 0.0, 0.0]);
    }
}
