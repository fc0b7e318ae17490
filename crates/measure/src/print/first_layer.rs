//! The first layer: what touches the plate, in how many pieces, and what its spread would close.
//!
//! The first layers are pressed onto the plate and bulge sideways. A chamfered foot leaves room for that: its outline
//! in the first layer lies further in than the outline a little higher. Areas and pieces are those of pixels by
//! winding number, so shells that overlap are one; widths are exact on the outline ([`layers::width`]).
//! It must not know limits: lengths and heights to look at come in.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

use layers::outline::{Outline, Seen, Segment, Side};
use layers::raster::{Components, GridError, Joined, components};
use layers::width::{Stretch, Widths};
use layers::{Grid, Layer, Posed, Raster, Stack};
use mesh::vector::Vec3;

use super::warp;

/// What is asked of a first layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asks {
    /// Narrower material is a feature worth its width, mm.
    pub feature_mm: f64,
    /// Narrower openings are listed, mm.
    pub opening_mm: f64,
    /// The width of an opening changes by less, mm per mm.
    pub steepest: f64,
    /// The height at which the outline is compared with the first layer's, mm.
    pub relief_height_mm: f64,
    /// A foot is relieved where its outline lies further in than the outline there by at least this, mm.
    pub relief_mm: f64,
    /// Pieces that are one at this height hold each other, mm.
    pub joined_mm: f64,
    /// The side of a pixel, mm.
    pub pixel_mm: f64,
    /// The most places kept of each kind.
    pub most_places: usize,
}

/// What is known of a part's first layer. Places are in the mesh's own frame, mm.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct FirstLayer {
    /// Area on the plate, mm2.
    pub contact_mm2: f64,
    /// Pieces of it.
    pub pieces_total: usize,
    /// The pieces, smallest first.
    pub pieces: Vec<ContactPiece>,
    /// The narrowest place between two opposite sides, where one is narrower than asked, mm.
    pub least_feature_mm: Option<f64>,
    /// Sharp outer corners.
    pub sharp_corners: usize,
    /// Length of the outline, holes included, mm.
    pub rim_mm: f64,
    /// Length of that which a chamfer relieves, mm.
    pub relieved_mm: f64,
    /// Openings narrower than asked between parallel sides, narrowest first.
    pub openings: Vec<Opening>,
    /// How many there are in all.
    pub openings_total: usize,
}

impl FirstLayer {
    /// Share of the outline that a chamfer relieves, 0 to 1.
    pub fn relieved(&self) -> f64 {
        if self.rim_mm > 0.0 {
            self.relieved_mm / self.rim_mm
        } else {
            0.0
        }
    }
}

/// One piece of the first layer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ContactPiece {
    /// A place in it.
    pub at: Vec3,
    /// Its area, mm2.
    pub area_mm2: f64,
    /// The longer side of its box, mm.
    pub extent_mm: f64,
    /// Area of the largest other piece that it is one with a little higher, mm2; 0 where there is none.
    pub held_by_mm2: f64,
}

impl ContactPiece {
    /// Its area with a brim of that width around it, mm2, at least: a piece is no shorter around than twice its
    /// extent.
    pub fn with_brim_mm2(&self, brim_mm: f64) -> f64 {
        let corners = std::f64::consts::PI * brim_mm * brim_mm;
        self.area_mm2 + 2.0 * self.extent_mm * brim_mm + corners
    }
}

/// A narrow opening in the first layer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Opening {
    /// A place on its side, where it is narrowest.
    pub at: Vec3,
    /// Its least width, mm.
    pub width_mm: f64,
    /// How long it is, mm.
    pub length_mm: f64,
}

/// Room around the outline, mm.
const BORDER_MM: f64 = 0.2;
/// Stretches of outline are no longer than this, mm; openings further apart than this are two.
const STEP_MM: f64 = 0.5;

/// Measures a part's first layer.
///
/// # Errors
/// [`GridError`] where no grid covers the part.
pub fn measure(stack: &Stack, asks: &Asks) -> Result<FirstLayer, GridError> {
    let layer = stack.layer(0);
    let Some((low, high)) = around(&layer) else {
        return Ok(FirstLayer::default());
    };
    let at_height = |mm: f64| {
        let k = (mm / stack.layer_mm() - 0.5).round().max(0.0) as usize;
        stack.layer(k.min(stack.count().saturating_sub(1)))
    };
    let grid = Grid::covering(low, high, asks.pixel_mm, BORDER_MM)?;
    let contact = Raster::filled(&grid, &layer.contours);
    let above = Raster::filled(&grid, &at_height(asks.joined_mm).contours);
    let posed = stack.posed();
    let place = |p: [f64; 2]| posed.to_mesh([p[0], p[1], 0.0]);
    let found = components(&contact, Joined::Eight);
    let mut first = FirstLayer {
        contact_mm2: contact.area_mm2(),
        pieces_total: found.list.len(),
        pieces: contact_pieces(&found, &above, asks, place),
        sharp_corners: sharp_corners(&layer),
        ..FirstLayer::default()
    };
    let mut widths = Widths::default();
    let material = Outline::new(&layer.contours, Side::Material, asks.feature_mm);
    widths.narrower(&material, asks.feature_mm, STEP_MM, |_, s| {
        if s.opposed && s.taper <= asks.steepest && layer.inside(s.middle_mm) {
            first.least_feature_mm = Some(
                first
                    .least_feature_mm
                    .map_or(s.least_mm, |w| w.min(s.least_mm)),
            );
        }
    });
    (first.rim_mm, first.relieved_mm) =
        relieved(&material, &at_height(asks.relief_height_mm), asks.relief_mm);
    let gaps = Outline::new(&layer.contours, Side::Gap, asks.opening_mm);
    let mut stretches: Vec<Stretch> = Vec::new();
    widths.narrower(&gaps, asks.opening_mm, STEP_MM, |_, s| {
        if s.opposed && s.taper <= asks.steepest && !layer.inside(s.middle_mm) {
            stretches.push(*s);
        }
    });
    let mut openings = openings(&stretches, posed);
    openings.sort_by(|a, b| a.width_mm.total_cmp(&b.width_mm));
    first.openings_total = openings.len();
    openings.truncate(asks.most_places);
    first.openings = openings;
    Ok(first)
}

/// The box around the closed contours of a layer.
fn around(layer: &Layer) -> Option<([f64; 2], [f64; 2])> {
    let points = || {
        layer
            .contours
            .iter()
            .filter(|c| c.closed)
            .flat_map(|c| &c.points)
    };
    points().next()?;
    let (mut low, mut high) = ([f64::MAX; 2], [f64::MIN; 2]);
    for p in points() {
        for k in 0..2 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    Some((low, high))
}

/// The smallest pieces, each with what it is one with in `above`.
fn contact_pieces(
    found: &Components,
    above: &Raster,
    asks: &Asks,
    place: impl Fn([f64; 2]) -> Vec3,
) -> Vec<ContactPiece> {
    let mut order: Vec<usize> = (0..found.list.len()).collect();
    order.sort_by_key(|&i| (found.list[i].pixels, i));
    order.truncate(asks.most_places);
    let higher = components(above, Joined::Eight);
    let held_by = |i: usize| {
        if found.list.len() == 1 {
            return 0.0;
        }
        let over = higher.shared_with(&found.raster(|k| k == i));
        let one_with = found.shared_with(&higher.raster(|k| over[k] > 0));
        (0..found.list.len())
            .filter(|&k| k != i && one_with[k] > 0)
            .map(|k| found.list[k].area_mm2)
            .fold(0.0, f64::max)
    };
    order
        .into_iter()
        .map(|i| {
            let c = &found.list[i];
            let [low, high] = c.box_mm;
            ContactPiece {
                at: place(c.inside_mm),
                area_mm2: c.area_mm2,
                extent_mm: (high[0] - low[0]).max(high[1] - low[1]),
                held_by_mm2: held_by(i),
            }
        })
        .collect()
}

fn sharp_corners(layer: &Layer) -> usize {
    layer
        .contours
        .iter()
        .filter(|c| c.area_mm2() > 0.0)
        .map(|c| warp::corners(&c.points).len())
        .sum()
}

/// The length of an outline, and of that which lies at least `depth` within the material of `higher`.
fn relieved(outline: &Outline, higher: &Layer, depth: f64) -> (f64, f64) {
    let (mut rim, mut length) = (0.0, 0.0);
    walk_rim(outline, higher, depth, STEP_MM, |_, long, relieved| {
        rim += long;
        length += if relieved { long } else { 0.0 };
    });
    (rim, length)
}

/// Walks along an outline in stretches of at most `step_mm`: tells the middle of each, its length, mm, and whether it
/// lies at least `depth` within the material of `higher`.
pub(crate) fn walk_rim(
    outline: &Outline,
    higher: &Layer,
    depth: f64,
    step_mm: f64,
    mut tell: impl FnMut([f64; 2], f64, bool),
) {
    let above = Outline::new(&higher.contours, Side::Material, depth);
    let (mut seen, mut near) = (Seen::default(), Vec::new());
    for s in &outline.segments {
        let parts = (s.length / step_mm).ceil().max(1.0);
        let long = s.length / parts;
        for part in 0..parts as usize {
            let at = s.at((part as f64 + 0.5) * long);
            let probe = Segment::new(at, s.at((part as f64 + 0.5) * long + 0.01 * long));
            let relieved = probe.is_some_and(|probe| {
                above.near(&probe, depth, &mut seen, &mut near);
                let clear = near
                    .iter()
                    .all(|&k| distance(at, &above.segments[k as usize]) >= depth);
                clear && higher.inside(at)
            });
            tell(at, long, relieved);
        }
    }
}

/// From a point to a segment, mm.
fn distance(p: [f64; 2], s: &Segment) -> f64 {
    let far = [p[0] - s.start[0], p[1] - s.start[1]];
    let t = (far[0] * s.along[0] + far[1] * s.along[1]).clamp(0.0, s.length);
    let foot = s.at(t);
    libm::hypot(p[0] - foot[0], p[1] - foot[1])
}

/// Joins stretches that lie side by side, by cells of a step. Both sides of an opening are in the list.
fn openings(stretches: &[Stretch], posed: &Posed) -> Vec<Opening> {
    let cell = |p: [f64; 2]| p.map(|x| (x / STEP_MM).floor() as i64);
    let mut cells: BTreeMap<[i64; 2], (Opening, bool)> = BTreeMap::new();
    for s in stretches {
        let (opening, _) = cells.entry(cell(s.middle_mm)).or_insert((
            Opening {
                at: [0.0; 3],
                width_mm: f64::MAX,
                length_mm: 0.0,
            },
            false,
        ));
        opening.length_mm += 0.5 * s.length_mm;
        if s.least_mm < opening.width_mm {
            opening.width_mm = s.least_mm;
            opening.at = posed.to_mesh([s.at_mm[0], s.at_mm[1], 0.0]);
        }
    }
    let keys: Vec<[i64; 2]> = cells.keys().copied().collect();
    let mut found = Vec::new();
    for start in keys {
        let mut open = vec![start];
        let mut whole: Option<Opening> = None;
        while let Some(key) = open.pop() {
            let Some((part, seen)) = cells.get_mut(&key) else {
                continue;
            };
            if std::mem::replace(seen, true) {
                continue;
            }
            let part = *part;
            whole = Some(match whole {
                None => part,
                Some(w) => Opening {
                    length_mm: w.length_mm + part.length_mm,
                    ..if part.width_mm < w.width_mm { part } else { w }
                },
            });
            for dx in -2..=2 {
                for dy in -2..=2 {
                    open.push([key[0] + dx, key[1] + dy]);
                }
            }
        }
        found.extend(whole);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use layers::{Slicer, Turn};
    use mesh::Edges;
    use mesh::shapes::{Soup, cuboid, welded};

    const UPRIGHT: Turn = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn of(soup: &Soup) -> FirstLayer {
        let mesh = welded(soup);
        let edges = Edges::build(&mesh);
        let posed = Posed::new(&mesh, &UPRIGHT);
        let stack = Slicer::new(&posed, &edges).stack(0.2);
        let asks = Asks {
            feature_mm: 3.0,
            opening_mm: 0.6,
            steepest: 0.1,
            relief_height_mm: 0.5,
            relief_mm: 0.2,
            joined_mm: 0.5,
            pixel_mm: 0.05,
            most_places: 100,
        };
        measure(&stack, &asks).expect("a grid")
    }

    /// A box of 20 mm whose lowest `rise` mm taper inward by as much: a chamfer of 45 degrees.
    fn chamfered(rise: f32) -> Soup {
        let mut foot = cuboid([0.0, 0.0, 0.0], [20.0, 20.0, rise]);
        for p in foot.iter_mut().flatten() {
            if p[2] == 0.0 {
                for x in &mut p[..2] {
                    *x += if *x == 0.0 { rise } else { -rise };
                }
            }
        }
        foot.extend(cuboid([0.0, 0.0, rise], [20.0; 3]));
        foot
    }

    #[test]
    fn a_box_touches_with_its_whole_foot() {
        let f = of(&cuboid([5.0, 5.0, 3.0], [25.0, 15.0, 9.0]));
        assert!((f.contact_mm2 - 200.0).abs() < 1e-9);
        assert_eq!(f.pieces_total, 1);
        assert_eq!(f.sharp_corners, 4);
        assert_eq!(f.least_feature_mm, None);
        assert!((f.rim_mm - 60.0).abs() < 1e-9 && f.relieved_mm == 0.0);
        assert!(f.openings.is_empty());
        assert!(
            (f.pieces[0].at[2] - 3.0).abs() < 1e-9,
            "the mesh's own frame"
        );
    }

    #[test]
    fn a_chamfered_foot_is_relieved_and_a_plain_one_is_not() {
        // At 0.1 mm the outline of a chamfer of 0.4 mm lies 0.3 mm further in than at 0.5 mm.
        let f = of(&chamfered(0.4));
        assert!(f.relieved() > 0.95, "{}", f.relieved());
        // One of 0.15 mm gives way by 0.05 mm only.
        assert!(of(&chamfered(0.15)).relieved() < 1e-9);
    }

    #[test]
    fn a_slit_of_the_foot_is_an_opening_and_a_wide_one_is_not() {
        let two = |gap: f32| {
            [
                cuboid([0.0; 3], [10.0, 12.0, 5.0]),
                cuboid([10.0 + gap, 0.0, 0.0], [20.0, 12.0, 5.0]),
            ]
            .concat()
        };
        let f = of(&two(0.4));
        assert_eq!((f.openings_total, f.pieces_total), (1, 2));
        assert!((f.openings[0].width_mm - 0.4).abs() < 1e-5);
        assert!((f.openings[0].length_mm - 12.0).abs() < 1e-5);
        assert!(of(&two(0.7)).openings.is_empty());
    }

    #[test]
    fn shells_that_overlap_are_one_piece_without_openings() {
        let pin = cuboid([4.0, 4.0, 0.0], [5.0, 5.0, 9.0]);
        let f = of(&[cuboid([0.0; 3], [20.0, 20.0, 5.0]), pin].concat());
        assert_eq!(f.pieces_total, 1);
        assert!((f.contact_mm2 - 400.0).abs() < 1e-9);
        assert!(f.openings.is_empty());
    }

    #[test]
    fn a_spot_beside_a_foot_says_what_holds_it() {
        let apart = [
            cuboid([0.0; 3], [20.0, 20.0, 5.0]),
            cuboid([25.0, 0.0, 0.0], [26.0, 1.0, 5.0]),
        ]
        .concat();
        let f = of(&apart);
        assert!((f.pieces[0].area_mm2 - 1.0).abs() < 0.1);
        assert_eq!(f.pieces[0].held_by_mm2, 0.0);
        // A groove 0.3 mm deep in the foot parts the spot from it in the first layer only.
        let f = of(&[
            cuboid([0.0; 3], [18.0, 20.0, 1.0]),
            cuboid([19.0, 0.0, 0.0], [20.0, 20.0, 1.0]),
            cuboid([0.0, 0.0, 0.3], [20.0, 20.0, 5.0]),
        ]
        .concat());
        assert_eq!(f.pieces_total, 2);
        assert!((f.pieces[0].area_mm2 - 20.0).abs() < 0.5);
        assert!(f.pieces[0].held_by_mm2 > 300.0);
    }

    #[test]
    fn nothing_on_the_plate_is_no_contact() {
        assert_eq!(of(&Vec::new()), FirstLayer::default());
    }
}
