//! Other ways to lay a part on the plate: what each would cost, measured on its surface, and on its own layers for the
//! few that are worth a designer's look.
//!
//! Candidates are the designer's own direction, the axes, the stable feet of the convex hull, large flats and a
//! uniform set over the sphere. Those of the uniform set are thinned out by what the normals alone say, all others
//! are measured by columns through a light stand-in of the part, the best are refined, and the best that stand are
//! measured again on the part itself: supports on its layers, the rest on its facets. What is reported comes from
//! there alone. A turn about the vertical and a mirror image change nothing.
//!
//! Objectives are those of the literature (Di Angelo, Di Stefano, Guardiani 2020, Journal of Manufacturing and
//! Materials Processing 4(3), 71): support, surface, height, footing, strength. It must not know limits: weights and
//! margins come in as plain numbers.

mod candidates;
mod columns;
mod exact;
#[cfg(test)]
mod known_shapes;
mod normal_image;
mod proxy;
mod search;
mod slender;
mod surface;
#[cfg(test)]
mod tests;

use mesh::vector::Vec3;
use serde::{Deserialize, Serialize};

use crate::print::overhang;

pub use candidates::Origin;
pub use search::search;
pub use slender::{Slender, SlenderAsk, least_section_mm2};
pub use surface::Shown;

/// Cubic millimetres in a cubic centimetre.
pub const MM3_PER_CM3: f64 = 1000.0;
/// Hundredths in a whole.
pub const PERCENT: f64 = 100.0;

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Asks {
    /// The designer's own direction: the mesh direction that points away from the plate.
    pub intended: Vec3,
    /// The faces on show.
    pub shown: Shown,
    /// Height of a layer, mm.
    pub layer_mm: f64,
    /// Width of a line, mm.
    pub bead_mm: f64,
    /// Gaps of a layer's outline up to this width are closed, mm.
    pub crack_mm: f64,
    /// Layers at most: a higher pose is not offered.
    pub most_layers: usize,
    /// How overhangs are measured on the layers.
    pub overhang: overhang::Asks,
    /// Lines in the air that reach farther need support, mm.
    pub air_mm: f64,
    /// Unless they cover no more than this, mm2.
    pub air_mm2: f64,
    /// Bridges that span more need support, mm.
    pub span_mm: f64,
    /// Plates on which it has to lie: width, depth, height, mm, margins taken off.
    pub plates: Vec<[f64; 3]>,
    /// Width of the brim, mm.
    pub brim_mm: f64,
    /// A part may be over a plate by a rounding, mm.
    pub rounding_mm: f64,
    /// What counts as slender.
    pub slender: SlenderAsk,
    /// Directions spread over the sphere.
    pub uniform: usize,
    /// How many of them are measured by columns: the best by their normals.
    pub kept: usize,
    /// Triangles of the stand-in, about.
    pub triangles: usize,
    /// Width of a column, mm.
    pub column_mm: f64,
    /// How many are measured on the layers.
    pub exact: usize,
    /// A pose that tips at a smaller lean does not stand, degrees.
    pub stands_deg: f64,
    /// A pose with less on the plate does not stand, mm2.
    pub footing_mm2: f64,
    /// Support that one mm of height is worth, mm3.
    pub height_mm2: f64,
    /// Support that one mm3 of steps on show faces is worth, mm3.
    pub steps: f64,
    /// Directions nearer to each other are one choice, degrees.
    pub apart_deg: f64,
}

/// What one direction costs, measured on the part itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Way {
    /// The mesh direction that points away from the plate, one long.
    pub up: Vec3,
    /// Where it comes from.
    pub origin: Origin,
    /// Overhang that counts, projected, bridges included, mm2.
    pub overhang_mm2: f64,
    /// Whether any of it lies farther in the air than the layers carry.
    pub needs_support: bool,
    /// Volume of the columns under all of it, mm3.
    pub support_mm3: f64,
    /// Area where they meet overhangs, mm2.
    pub contact_mm2: f64,
    /// Area where they stand on the part, mm2.
    pub landing_mm2: f64,
    /// Overhang and landing on show faces, mm2, by columns.
    pub scar_mm2: f64,
    /// Area of all show faces, mm2.
    pub shown_mm2: f64,
    /// Mean height of the layers' steps on show faces, mm.
    pub step_mm: f64,
    /// Extent along the direction, mm.
    pub height_mm: f64,
    /// Section of the first layer, mm2.
    pub first_layer_mm2: f64,
    /// Faces of the part that lie flat on the plate, mm2: most of the first layer where it was made to stand so.
    pub flat_mm2: f64,
    /// Angle by which it may lean before it tips, degrees; below 0 it tips by itself.
    pub tip_deg: f64,
    /// Least section of a slender stretch that a layer crosses, mm2; `None` where nothing is slender.
    pub section_mm2: Option<f64>,
    /// Whether it lies within every plate.
    pub fits: bool,
}

/// The directions of a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Orientations {
    /// The designer's own.
    pub intended: Way,
    /// Others worth a look, cheapest first: each gains something on the intended one, and none beats another in
    /// everything.
    pub others: Vec<Way>,
    /// Directions that were tried.
    pub tried: usize,
}

impl Way {
    /// Area of the scars that support leaves on show faces, mm2: none where none is printed.
    pub fn scars_mm2(&self) -> f64 {
        if self.needs_support {
            self.scar_mm2
        } else {
            0.0
        }
    }

    /// Support that has to be printed, mm3: none where the layers carry all that hangs.
    pub fn needed_mm3(&self) -> f64 {
        if self.needs_support {
            self.support_mm3
        } else {
            0.0
        }
    }
}
