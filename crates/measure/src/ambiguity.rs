//! Whether the faults of a mesh leave doubt about what is printed, decided on its layers.
//!
//! A layer is filled where its winding number is positive (3MF Core 1.4.0, 4.1.1). Other readers fill by even and odd
//! crossings, or make near vertices one before they cut. Where a layer comes out the same by all of them, what is
//! wrong with the mesh does no harm. Three areas are kept apart: material on material (even crossings read it as
//! empty), space inside out (odd crossings read it as filled), and what merging changes.
//! It must not know which difference matters.

use layers::raster::{Fill, Filler, Joined, components};
use layers::{Contour, Grid, Layer, Posed, Raster, Slicer, Stack};
use mesh::vector::Vec3;
use mesh::{Edges, Mesh};
use serde::{Deserialize, Serialize};

use crate::crossings::CrossingFacts;
use crate::size::Rotation;
use crate::soundness::Soundness;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asks {
    /// Height of a layer, mm.
    pub layer_mm: f64,
    /// Gaps of a layer's outline up to this width are closed, mm.
    pub crack_mm: f64,
    /// Vertices this share of the box's diagonal apart are one for a reader that merges.
    pub merge_share: f64,
    /// Layers, at most.
    pub most_layers: usize,
    /// Side of a pixel, mm.
    pub pixel_mm: f64,
    /// Pixels of a layer, at most: larger parts get larger pixels.
    pub most_pixels: f64,
}

/// What readers of a mesh may disagree on.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Ambiguity {
    /// Layers that were compared; 0 where the mesh has no fault that could show in one.
    pub layers: usize,
    /// The layer with most material on material.
    pub overlap: Option<Doubt>,
    /// The layer with most space that is inside out.
    pub inside_out: Option<Doubt>,
    /// The layer that merging changes most.
    pub merging: Option<Doubt>,
}

/// The layer in which two readings differ most.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Doubt {
    /// The area in which they differ, mm2.
    pub area_mm2: f64,
    /// The layer, from 0.
    pub layer: usize,
    /// Height of its cut above the plate, mm.
    pub height_mm: f64,
    /// A place in the largest stretch, in the mesh's own frame.
    pub at: Vec3,
}

/// Why it was not measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Unmeasured {
    /// More layers than are looked at.
    TooManyLayers,
    /// No grid of pixels covers the part.
    NoGrid,
    /// Too many vertices lie too close together to be merged.
    Crowded,
}

/// Layers a chunk.
const CHUNK: usize = 32;

/// Whether a mesh has a fault that could leave doubt in a layer: without one all readings are the same.
pub fn doubtful(soundness: &Soundness, crossings: &CrossingFacts) -> bool {
    let s = soundness;
    !crossings.complete
        || crossings.pairs_within + crossings.pairs_between > 0
        || !s.nesting_complete
        || s.nested.count > 0
        || s.inside_out.count > 0
        || s.boundary_edges > 0
        || s.crowded_edges > 0
        || s.same_direction_edges > 0
        || s.turned.facets > 0
        || s.turned.one_sided > 0
        || s.pinched.count > 0
        || s.repeated.count > 0
        || s.opposed.count > 0
}

/// Compares the readings of every layer. `edges` are those of the mesh.
///
/// # Errors
/// [`Unmeasured`].
pub fn measure(
    mesh: &Mesh,
    edges: &Edges,
    to_pose: &Rotation,
    asks: &Asks,
) -> Result<Ambiguity, Unmeasured> {
    let posed = Posed::new(mesh, to_pose);
    if posed.height_mm / asks.layer_mm > asks.most_layers as f64 {
        return Err(Unmeasured::TooManyLayers);
    }
    let grid = grid(&posed, asks).ok_or(Unmeasured::NoGrid)?;
    let stack = Slicer::new(&posed, edges)
        .stack(asks.layer_mm)
        .closing(asks.crack_mm);
    let mut found = Ambiguity {
        layers: stack.count(),
        ..Ambiguity::default()
    };
    let areas: Vec<[f64; 2]> = stack
        .runs(CHUNK, 0, |_, run| {
            let mut filler = Filler::default();
            run.map(|layer| {
                let [overlap, inside_out] = readings(&mut filler, &grid, &layer.contours);
                [overlap.area_mm2(), inside_out.area_mm2()]
            })
            .collect::<Vec<_>>()
        })
        .into_iter()
        .flatten()
        .collect();
    let doubt = |which: usize| {
        worst(areas.iter().map(|a| a[which])).and_then(|(k, area_mm2)| {
            let layer = stack.layer(k);
            let both = readings(&mut Filler::default(), &grid, &layer.contours);
            place(&stack, &layer, &both[which], area_mm2)
        })
    };
    (found.overlap, found.inside_out) = (doubt(0), doubt(1));
    if !edges.loose.is_empty() {
        found.merging = merging(mesh, to_pose, &stack, &grid, asks)?;
    }
    Ok(found)
}

/// What merging near vertices changes.
fn merging(
    mesh: &Mesh,
    to_pose: &Rotation,
    stack: &Stack,
    grid: &Grid,
    asks: &Asks,
) -> Result<Option<Doubt>, Unmeasured> {
    let diagonal = mesh.bounds().map_or(0.0, |b| b.diagonal());
    let (merged, _) =
        mesh::merge::merged(mesh, asks.merge_share * diagonal).ok_or(Unmeasured::Crowded)?;
    let edges = Edges::build(&merged);
    let posed = Posed::new(&merged, to_pose);
    let other = Slicer::new(&posed, &edges)
        .stack(asks.layer_mm)
        .closing(asks.crack_mm);
    let differ = |layer: &Layer, filler: &mut Filler| {
        let mut fill = |contours: &[Contour]| {
            filler.gather(grid, contours);
            filler.fill(Fill::Positive)
        };
        let mut one = fill(&layer.contours);
        one.differ(&fill(&other.layer(layer.index).contours));
        one
    };
    let areas: Vec<f64> = stack
        .runs(CHUNK, 0, |_, run| {
            let mut filler = Filler::default();
            run.map(|layer| differ(&layer, &mut filler).area_mm2())
                .collect::<Vec<_>>()
        })
        .into_iter()
        .flatten()
        .collect();
    Ok(worst(areas).and_then(|(k, area_mm2)| {
        let layer = stack.layer(k);
        let raster = differ(&layer, &mut Filler::default());
        place(stack, &layer, &raster, area_mm2)
    }))
}

/// Material on material where crossings are even, and space inside out.
fn readings(filler: &mut Filler, grid: &Grid, contours: &[Contour]) -> [Raster; 2] {
    filler.gather(grid, contours);
    let mut overlap = filler.fill(Fill::Positive);
    overlap.subtract(&filler.fill(Fill::EvenOdd));
    [overlap, filler.fill(Fill::Negative)]
}

/// The greatest of the areas and its number; `None` where all are nought.
fn worst(areas: impl IntoIterator<Item = f64>) -> Option<(usize, f64)> {
    let each = areas.into_iter().enumerate().filter(|(_, a)| *a > 0.0);
    each.reduce(|a, b| if b.1 > a.1 { b } else { a })
}

fn place(stack: &Stack, layer: &Layer, raster: &Raster, area_mm2: f64) -> Option<Doubt> {
    let found = components(raster, Joined::Eight);
    let largest = found
        .list
        .iter()
        .reduce(|a, b| if b.pixels > a.pixels { b } else { a })?;
    let [x, y] = largest.inside_mm;
    Some(Doubt {
        area_mm2,
        layer: layer.index,
        height_mm: layer.z_mm,
        at: stack.posed().to_mesh([x, y, layer.z_mm]),
    })
}

/// Pixels over the whole part.
fn grid(posed: &Posed, asks: &Asks) -> Option<Grid> {
    let (mut low, mut high) = ([f64::MAX; 2], [f64::MIN; 2]);
    for p in &posed.points {
        for k in 0..2 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    let area = (high[0] - low[0]) * (high[1] - low[1]);
    let pixel_mm = asks.pixel_mm.max((area / asks.most_pixels).sqrt());
    Grid::covering(low, high, pixel_mm, pixel_mm).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{Soup, cuboid, moved, reversed, welded};

    fn of(soup: &Soup) -> Ambiguity {
        let mesh = welded(soup);
        let edges = Edges::build(&mesh);
        let asks = Asks {
            layer_mm: 0.2,
            crack_mm: 0.05,
            merge_share: 1e-5,
            most_layers: 20000,
            pixel_mm: 0.1,
            most_pixels: 1e6,
        };
        let upright = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        measure(&mesh, &edges, &upright, &asks).expect("layers")
    }

    fn block() -> Soup {
        cuboid([0.0; 3], [20.0; 3])
    }

    /// By arithmetic: the shared box of two boxes, 10 x 13 mm wide.
    #[test]
    fn two_boxes_overlap_by_their_common_section() {
        let a = of(&[block(), moved(&block(), [10.0, 7.0, 5.0])].concat());
        let overlap = a.overlap.expect("an overlap");
        assert!((overlap.area_mm2 - 130.0).abs() < 0.5, "{overlap:?}");
        assert!((5.0..20.0).contains(&overlap.height_mm));
        assert!((10.0..20.0).contains(&overlap.at[0]) && (7.0..20.0).contains(&overlap.at[1]));
        assert_eq!((a.inside_out, a.merging), (None, None));
    }

    #[test]
    fn a_hollow_that_sticks_out_is_inside_out_there() {
        let hollow = reversed(&cuboid([14.0, 7.0, 7.0], [22.0, 13.0, 13.0]));
        let a = of(&[block(), hollow].concat());
        let doubt = a.inside_out.expect("space inside out");
        assert!((doubt.area_mm2 - 12.0).abs() < 0.5, "{doubt:?}");
        assert_eq!(a.overlap, None);
    }

    #[test]
    fn cracks_slivers_and_facets_stored_twice_change_no_layer() {
        let mut b = block();
        b[0][0][0] += 2e-5;
        b.push(b[5]);
        b.push([[0.0, 0.0, 20.0], [20.0, 0.0, 20.0], [10.0, 0.0, 20.0]]);
        let a = of(&b);
        assert_eq!((a.overlap, a.inside_out, a.merging), (None, None, None));
        assert_eq!(a.layers, 100);
    }

    #[test]
    fn boxes_that_touch_are_no_doubt() {
        let a = of(&[block(), moved(&block(), [20.0, 0.0, 0.0])].concat());
        assert_eq!((a.overlap, a.inside_out), (None, None));
    }
}
