//! What is asked of the walls, in plain lengths.

use mesh::vector::{Vec3, dot};
use serde::{Deserialize, Serialize};

/// "Where is it thinner than this?" The thickness asked for depends on the direction in which a place is
/// thin: `in_plane_mm` across the layers' plane, `upright_mm` along `up`, and the greater of the two shares
/// between.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// Unit vector away from the plate, in the mesh's own frame.
    pub up: Vec3,
    /// Thickness asked for where the thin direction lies in the layers' plane, mm.
    pub in_plane_mm: f64,
    /// Thickness asked for where the thin direction is upright, mm.
    pub upright_mm: f64,
    /// Places where thickness changes by this much or more, mm per mm, do not count; infinite counts all.
    pub steepest: f64,
    /// Thinner than this does not count, mm: slits drawn on purpose. 0 counts all.
    pub from_mm: f64,
}

impl Ask {
    /// The thickness asked for in a direction, mm: max(in-plane |n_xy|, upright |n_z|), n the unit vector
    /// along which the place is thin.
    pub fn thickness_mm(&self, across: Vec3) -> f64 {
        let z = dot(across, self.up).abs().min(1.0);
        let xy = (1.0 - z * z).max(0.0).sqrt();
        (self.in_plane_mm * xy).max(self.upright_mm * z)
    }

    /// The greatest thickness asked for in any direction, mm.
    pub fn most_mm(&self) -> f64 {
        self.in_plane_mm.max(self.upright_mm)
    }
}

/// Everything that is asked of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Asks {
    /// Of its walls.
    pub walls: Vec<Ask>,
    /// Of its gaps.
    pub gaps: Vec<Ask>,
    /// The narrowest line it is printed with, mm: half of it is the fine spacing.
    pub least_bead_mm: f64,
    /// The widest line, mm: feather edges are looked at over the depth where it does not fit.
    pub most_bead_mm: f64,
    /// How far thin places are followed in every direction, mm.
    pub span_mm: f64,
    /// The least thickness is looked for where it changes by less than this, mm per mm.
    pub steepest: f64,
    /// A part longer than this is not measured, mm.
    pub longest_mm: f64,
}
