//! Facts of a part as it is printed: what its layers say in the print pose, at one layer height after the other.
//!
//! Settings come in as plain arguments ([`Asks`]); values and places go out. It must not know promises, limits or
//! verdicts.

mod body;
pub mod column;
pub mod first_layer;
pub mod frame;
pub mod lines;
pub mod mending;
pub mod overhang;
pub mod single_line;
pub mod stability;
pub mod strings;
pub mod undersides;
pub mod volume;
pub mod warp;

use layers::{Posed, Slicer, Stack};
use mesh::{Edges, Mesh};
use serde::{Deserialize, Serialize};

use crate::size::Rotation;

pub use column::Column;
pub use first_layer::FirstLayer;
pub use frame::Frame;
pub use lines::Lines;
pub use overhang::Overhangs;
pub use single_line::SingleLine;
pub use stability::{Stability, Tip};
pub use strings::Strings;
pub use volume::Volume;
pub use warp::{Cooling, Warp};

/// One layer height with the line that is laid at it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Height {
    /// Height of a layer, mm.
    pub layer_mm: f64,
    /// Width of a line, mm.
    pub bead_mm: f64,
}

/// What is asked of a part's layers.
#[derive(Debug, Clone, PartialEq)]
pub struct Asks {
    /// The layer heights to print at, each with its line width; the settings' own first.
    pub heights: Vec<Height>,
    /// Gaps of a layer's outline up to this width are closed, mm: cracks of the mesh.
    pub crack_mm: f64,
    /// Layers, at most: a higher part is not measured.
    pub most_layers: usize,
    /// What is asked of overhangs, supports, bridges and islands.
    pub overhang: overhang::Asks,
    /// What is asked of its lines and of the gaps between them.
    pub lines: lines::Asks,
    /// What is asked of standing while it grows.
    pub stability: stability::Asks,
    /// What is asked of the first layer.
    pub first_layer: first_layer::Asks,
    /// What is asked of small pieces side by side.
    pub strings: strings::Asks,
    /// What is asked of a part printed in one line; `None` for others.
    pub single_line: Option<single_line::Asks>,
    /// How its material cools; `None` where that is not known.
    pub cooling: Option<Cooling>,
}

/// A part at one layer height.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PrintFacts {
    /// The layer height and the line.
    pub height: Height,
    /// Layers.
    pub layers: usize,
    /// Printed height, mm.
    pub height_mm: f64,
    /// Takes places of the print pose to the mesh's own frame.
    pub frame: Frame,
    /// Overhangs, what would hold them up, bridges and islands.
    pub overhang: Overhangs,
    /// Where its layers or their gaps are too narrow.
    pub lines: Lines,
    /// How firmly it stands while it grows.
    pub stability: Stability,
    /// What touches the plate.
    pub first_layer: FirstLayer,
    /// Small pieces side by side.
    pub strings: Strings,
    /// Whether it is one line; `None` where it need not be.
    pub single_line: Option<SingleLine>,
    /// Its volume by slices, twice; `None` where the surface is open, or its facets are not wound alike.
    pub volume: Option<Volume>,
    /// How much it is inclined to lift off the plate; `None` where nothing touches it or where nothing is known of
    /// how its material cools.
    pub warp: Option<Warp>,
}

/// Why a part's layers were not measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Unmeasured {
    /// The mesh has no triangles, or not one layer of a height asked for, mm.
    NoLayer(f64),
    /// More layers than are looked at: so many at a height of so many mm.
    TooManyLayers(usize, f64),
    /// No grid of pixels covers the part: its outline is no finite size, or by far too large.
    NoGrid,
}

/// Measures a part at every layer height asked for, in their order. `edges` are those of the mesh.
///
/// # Errors
/// [`Unmeasured`] for the first height that gives no layers or too many.
pub fn measure(
    mesh: &Mesh,
    edges: &Edges,
    to_pose: &Rotation,
    asks: &Asks,
) -> Result<Vec<PrintFacts>, Unmeasured> {
    let posed = Posed::new(mesh, to_pose);
    let slicer = Slicer::new(&posed, edges);
    parallel::map(&asks.heights, |_, height| {
        // Asked before the stack is built: a part drawn in another unit may have millions.
        let layers = posed.height_mm / height.layer_mm;
        if layers > asks.most_layers as f64 {
            return Err(Unmeasured::TooManyLayers(layers as usize, height.layer_mm));
        }
        let stack = slicer.stack(height.layer_mm).closing(asks.crack_mm);
        if stack.count() == 0 {
            return Err(Unmeasured::NoLayer(height.layer_mm));
        }
        let sound = edges.loose.is_empty() && edges.turned.is_empty();
        at(&stack, height, asks, sound)
    })
    .into_iter()
    .collect()
}

fn at(stack: &Stack, height: &Height, asks: &Asks, sound: bool) -> Result<PrintFacts, Unmeasured> {
    Ok(PrintFacts {
        height: *height,
        layers: stack.count(),
        height_mm: stack.posed().height_mm,
        frame: Frame::of(stack.posed()),
        overhang: overhang::measure(stack, height, &asks.overhang)?,
        lines: lines::measure(stack, height.bead_mm, &asks.lines),
        stability: stability::measure(stack, &asks.stability),
        first_layer: first_layer::measure(stack, &asks.first_layer)
            .map_err(|_| Unmeasured::NoGrid)?,
        strings: strings::measure(stack, &asks.strings),
        single_line: asks
            .single_line
            .as_ref()
            .map(|asks| single_line::measure(stack, height, asks)),
        volume: sound.then(|| volume::measure(stack)),
        warp: asks.cooling.as_ref().and_then(|cooling| {
            let first = stack.layer(0).contours;
            warp::measure(&first, stack.count(), height.layer_mm, cooling)
        }),
    })
}
