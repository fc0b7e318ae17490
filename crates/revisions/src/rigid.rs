//! A rigid motion: a turn, then a move.

use mesh::vector::{Vec3, add, cross, dot, length, scale, sub};
use serde::{Deserialize, Serialize};

/// x goes to `turn` x + `move_mm`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Rigid {
    /// A rotation, rows.
    pub turn: [[f64; 3]; 3],
    /// The move after it, mm.
    pub move_mm: [f64; 3],
}

impl Rigid {
    /// Nothing moves.
    pub const IDENTITY: Rigid = Rigid {
        turn: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
        move_mm: [0.0; 3],
    };

    /// A move alone, mm.
    pub fn shift(move_mm: Vec3) -> Rigid {
        Rigid {
            move_mm,
            ..Rigid::IDENTITY
        }
    }

    /// Whether nothing moves at all.
    pub fn is_identity(&self) -> bool {
        *self == Rigid::IDENTITY
    }

    /// Where a point goes.
    #[inline]
    pub fn at(&self, p: Vec3) -> Vec3 {
        add(self.direction(p), self.move_mm)
    }

    /// Where a direction goes.
    #[inline]
    pub fn direction(&self, v: Vec3) -> Vec3 {
        self.turn.map(|row| dot(row, v))
    }

    /// The way back.
    #[must_use]
    pub fn inverse(&self) -> Rigid {
        let t = &self.turn;
        let turn = [0, 1, 2].map(|i| [0, 1, 2].map(|j| t[j][i]));
        let back = Rigid {
            turn,
            move_mm: [0.0; 3],
        };
        Rigid {
            turn,
            // 0 - x, so that no -0 is born.
            move_mm: back.direction(self.move_mm).map(|x| 0.0 - x),
        }
    }

    /// This motion, then another.
    #[must_use]
    pub fn then(&self, next: &Rigid) -> Rigid {
        let turn = [0, 1, 2]
            .map(|i| [0, 1, 2].map(|j| (0..3).map(|k| next.turn[i][k] * self.turn[k][j]).sum()));
        Rigid {
            turn,
            move_mm: next.at(self.move_mm),
        }
    }

    /// A turn by the vector `by` (its direction the axis, its length the angle in radians) about a point
    /// (Rodrigues' formula).
    pub fn about(centre: Vec3, by: Vec3) -> Rigid {
        let angle = length(by);
        if angle == 0.0 {
            return Rigid::IDENTITY;
        }
        let axis = scale(by, 1.0 / angle);
        let (s, c) = (libm::sin(angle), libm::cos(angle));
        let column = |k: usize| {
            let mut e = [0.0; 3];
            e[k] = 1.0;
            add(
                add(scale(e, c), scale(cross(axis, e), s)),
                scale(axis, axis[k] * (1.0 - c)),
            )
        };
        let columns = [0, 1, 2].map(column);
        let turn = [0, 1, 2].map(|i| [0, 1, 2].map(|j| columns[j][i]));
        let turned = Rigid {
            turn,
            move_mm: [0.0; 3],
        };
        Rigid {
            turn,
            move_mm: sub(centre, turned.direction(centre)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::vector::distance;

    #[test]
    fn there_and_back_and_one_after_the_other() {
        let a = Rigid::about([1.0, 2.0, 3.0], [0.3, -0.2, 0.9]);
        let b = Rigid::shift([4.0, 5.0, 6.0]);
        let p = [7.0, -8.0, 9.0];
        assert!(distance(a.inverse().at(a.at(p)), p) < 1e-12);
        assert!(distance(a.then(&b).at(p), b.at(a.at(p))) < 1e-12);
        assert!(distance(a.at([1.0, 2.0, 3.0]), [1.0, 2.0, 3.0]) < 1e-12);
        assert!(Rigid::IDENTITY.inverse().is_identity());
    }

    /// A quarter turn about z takes x to y.
    #[test]
    fn a_quarter_turn() {
        let q = Rigid::about([0.0; 3], [0.0, 0.0, std::f64::consts::FRAC_PI_2]);
        assert!(distance(q.at([1.0, 0.0, 0.0]), [0.0, 1.0, 0.0]) < 1e-15);
    }
}
