//! Where a copy of a part sits in the assembled kit.

use crate::turn::{self, Matrix};

/// Copies about an axis, spaced evenly over a full turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeat {
    /// Number of copies, the first included.
    pub count: u32,
    /// Direction of the axis, one long, in the assembled kit's frame.
    pub about: [f64; 3],
    /// A point on the axis, mm, in the assembled kit's frame.
    pub through: [f64; 3],
}

/// A rigid motion: a turn about the mesh's origin, then a move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Turn, from the mesh as filed to the assembled kit.
    pub turn: Matrix,
    /// Move after the turn, mm.
    pub move_mm: [f64; 3],
}

impl Placement {
    /// As filed: neither turned nor moved.
    pub const AS_FILED: Placement = Placement {
        turn: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
        move_mm: [0.0; 3],
    };
}

/// Copies of one part (or reference) in the assembled kit.
#[derive(Debug, Clone, PartialEq)]
pub struct Pose {
    /// Id of the part or reference.
    pub part: String,
    /// Turn, degrees about the fixed x, then y, then z axis.
    pub turn_deg: [f64; 3],
    /// Move after the turn, mm.
    pub move_mm: [f64; 3],
    /// Copies about an axis.
    pub repeat: Option<Repeat>,
    /// Line of the pose's header in the manifest, from 1.
    pub line: usize,
}

impl Pose {
    /// Number of copies.
    pub fn count(&self) -> u32 {
        self.repeat.map_or(1, |repeat| repeat.count)
    }

    /// Every copy's motion, in order; the k-th is turned by k/count of a full turn about the repeat's axis.
    pub fn placements(&self) -> Vec<Placement> {
        let first = Placement {
            turn: turn::from_degrees(self.turn_deg),
            move_mm: self.move_mm,
        };
        let Some(repeat) = self.repeat else {
            return vec![first];
        };
        (0..repeat.count)
            .map(|k| {
                let degrees = 360.0 * f64::from(k) / f64::from(repeat.count);
                let spin = turn::about(repeat.about, degrees).unwrap_or(turn::IDENTITY);
                let arm = [0, 1, 2].map(|i| first.move_mm[i] - repeat.through[i]);
                let turned = turn::apply(&spin, arm);
                Placement {
                    turn: turn::product(&spin, &first.turn),
                    move_mm: [0, 1, 2].map(|i| turned[i] + repeat.through[i]),
                }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_copies_stand_at_the_quarters() {
        let pose = Pose {
            part: "rail".into(),
            turn_deg: [0.0; 3],
            move_mm: [10.0, 0.0, 5.0],
            repeat: Some(Repeat {
                count: 4,
                about: [0.0, 0.0, 1.0],
                through: [0.0; 3],
            }),
            line: 1,
        };
        let at: Vec<[f64; 3]> = pose.placements().iter().map(|p| p.move_mm).collect();
        assert_eq!(
            at,
            [
                [10.0, 0.0, 5.0],
                [0.0, 10.0, 5.0],
                [-10.0, 0.0, 5.0],
                [0.0, -10.0, 5.0]
            ]
        );
        // The copy turns with its place.
        let quarter = pose.placements()[1].turn;
        assert_eq!(turn::apply(&quarter, [1.0, 0.0, 0.0]), [0.0, 1.0, 0.0]);
    }
}
