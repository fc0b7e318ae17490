//! Overhangs, what would hold them up, bridges and islands: one pass over the layers from the plate up, one layer
//! held at a time.
//!
//! **Normals decide what is steep**, exactly, facet by facet, with a slack for the rounding of f32; **layers decide
//! what of it counts**: only what a layer adds to the one below, by winding number, so that faces inside united
//! shells never count. What the facets do not say (a facet missing) the layers do: what lies further beyond the layer
//! below than the allowance is overhang, whoever drew it. Areas are counted in pixels, right to half a pixel along an
//! outline, without bias.

mod bridge;
mod fold;
mod island;
mod pass;
mod patch;
mod region;
mod steep;
#[cfg(test)]
pub(crate) mod tests;
mod trapped;

use mesh::vector::Vec3;
use serde::{Deserialize, Serialize};

pub use pass::measure;

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Asks {
    /// Steepest surface that needs no support, degrees from vertical.
    pub allowed_deg: f64,
    /// What is steeper by less than this is not steeper, degrees.
    pub slack_deg: f64,
    /// Lines lie in the air where a layer reaches beyond the one below by more than so many of their widths.
    pub held_lines: f64,
    /// They lie loosely where it does so by more than this many.
    pub loose_lines: f64,
    /// Side of a pixel, mm.
    pub pixel_mm: f64,
    /// Pixels of a layer, at most: larger parts get larger pixels.
    pub most_pixels: f64,
    /// What hangs less than so many widths of a line above the plate or the part comes down on it.
    pub sag_lines: f64,
    /// Lines in the air less than so many of their widths above the plate or the part do not fall far.
    pub drop_lines: f64,
    /// Overhangs that reach less far are none, mm.
    pub reach_mm: f64,
    /// Overhangs of less area are none, mm2.
    pub area_mm2: f64,
    /// Islands of less area are none, mm2.
    pub island_mm2: f64,
    /// An island that is joined within so many layers is none.
    pub island_layers: usize,
    /// Support is pulled out through openings at least this wide, mm.
    pub way_out_mm: f64,
}

/// All that hangs at one layer height. Places and directions in the mesh's own frame.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Overhangs {
    /// Overhang that counts, projected on the plate, bridges included, mm2.
    pub area_mm2: f64,
    /// The overhangs that count, farthest in the air first; the first of many.
    pub places: Vec<Overhang>,
    /// How many there are.
    pub total: usize,
    /// What would hold all of them up.
    pub support: Support,
    /// Stretches held on two sides, longest span first; the first of many.
    pub bridges: Vec<Bridge>,
    /// Stretches that begin in the air, from the plate up; the first of many.
    pub islands: Vec<Island>,
}

/// An overhang: a stretch of surface steeper than allowed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Overhang {
    /// Where it reaches farthest.
    pub at: Vec3,
    /// Height of that place above the plate, mm.
    pub height_mm: f64,
    /// How far it reaches beyond what holds it, mm.
    pub reach_mm: f64,
    /// How far lines that lie in the air, and are held on one side only, reach beyond what holds them, mm.
    pub air_mm: f64,
    /// Area of the stretches that do so, without what bridges carry, mm2.
    pub air_mm2: f64,
    /// How far it reaches where lines do not lie in the air, mm; 0 where all do.
    pub steep_mm: f64,
    /// Area on which lines lie loosely, and not in the air, mm2.
    pub loose_mm2: f64,
    /// The longest span of the bridges in it, mm; 0 without any.
    pub span_mm: f64,
    /// Its area, projected on the plate, mm2.
    pub area_mm2: f64,
    /// How much of it lies over the part and not over the plate, mm2.
    pub landing_mm2: f64,
    /// Whether it begins in the air: nothing holds it on any side.
    pub island: bool,
    /// The hull of its projection, at its own height.
    pub outline: Vec<Vec3>,
}

/// What would hold the overhangs up: columns down to the plate or to the part.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Support {
    /// Where it meets overhangs, projected, mm2.
    pub contact_mm2: f64,
    /// Where it stands on the part, projected, mm2.
    pub landing_mm2: f64,
    /// A place where it stands on the part: the middle of the largest such stretch.
    pub landing_at: Option<Vec3>,
    /// Its volume, mm3.
    pub volume_mm3: f64,
    /// What of it cannot be pulled out, largest first; the first of many.
    pub trapped: Vec<Trapped>,
    /// How much of it cannot be pulled out, mm3.
    pub trapped_mm3: f64,
}

/// A body of support that cannot be pulled out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Trapped {
    /// A place in it.
    pub at: Vec3,
    /// Height of that place above the plate, mm.
    pub height_mm: f64,
    /// Its volume, mm3.
    pub volume_mm3: f64,
    /// How far the overhang that it holds reaches into the air, mm.
    pub air_mm: f64,
    /// The longest span of the bridges it holds, mm; 0 without any.
    pub span_mm: f64,
}

/// A stretch in the air that is held on two opposite sides.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Bridge {
    /// The middle of its longest line.
    pub at: Vec3,
    /// Height of that place above the plate, mm.
    pub height_mm: f64,
    /// The longest line that cannot be laid across a shorter way, mm.
    pub span_mm: f64,
    /// The ends of that line.
    pub ends: [Vec3; 2],
    /// Its direction, one long.
    pub along: Vec3,
    /// Area held on two sides, projected, mm2.
    pub area_mm2: f64,
}

/// A stretch of a layer that begins in the air.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Island {
    /// A place in it.
    pub at: Vec3,
    /// Height above the plate at which it begins, mm.
    pub height_mm: f64,
    /// Its largest area within the layers in which it may be joined, mm2.
    pub area_mm2: f64,
    /// Height at which it is joined to what stands on the plate, mm; `None` where it never is.
    pub joined_mm: Option<f64>,
}
