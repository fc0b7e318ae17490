//! Whether nothing but round faces changed: holes that are wider or narrower, bosses that are thicker or thinner.

use mesh::vector::{Vec3, dot, length, scale, sub};
use serde::{Deserialize, Serialize};

use super::round::pair;
use super::{Caliper, Side};
use crate::deviation::Moved;
use crate::regions::Found;

/// Places of a region that are asked.
const PLACES: usize = 48;

/// Axes and diameters closer than this are one, mm.
const ONE: f64 = 0.05;

/// What lies so near to where a round face was or is belongs to it, mm: the faces at its ends grow or shrink with it.
const NEAR: f64 = 0.1;

/// What moved by less, and a diameter that changed by less, is passed over: a print does not show it, mm.
pub const LEAST_MM: f64 = 0.04;

/// Round faces of one diameter that have another now.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RoundChange {
    /// Holes rather than bosses.
    pub hollow: bool,
    /// Diameter at the base, mm.
    pub base_mm: f64,
    /// At the present, mm.
    pub present_mm: f64,
    /// How many.
    pub count: usize,
    /// Whether the rim of any of them changed with it: a chamfer, a countersink.
    pub rim: bool,
}

/// The round faces that changed, holes first, the largest change first; `None` where anything else changed by
/// [`LEAST_MM`] or more, and where nothing did. `found` must be all regions.
pub(super) fn only_rounds(
    base: &Side<'_>,
    present: &Side<'_>,
    found: &[Found],
) -> Option<Vec<RoundChange>> {
    let of_regions = parallel::map(found, |_, region| of_region(base, present, region));
    let mut kinds: Vec<RoundChange> = Vec::new();
    for (way, rim) in of_regions
        .into_iter()
        .collect::<Option<Vec<_>>>()?
        .into_iter()
        .flatten()
    {
        let hollow = !way.outside;
        let alike = |k: &&mut RoundChange| {
            k.hollow == hollow
                && (k.base_mm - way.base_mm).abs() < ONE
                && (k.present_mm - way.present_mm).abs() < ONE
        };
        match kinds.iter_mut().find(alike) {
            Some(kind) => {
                kind.count += 1;
                kind.rim |= rim;
            }
            None => kinds.push(RoundChange {
                hollow,
                base_mm: way.base_mm,
                present_mm: way.present_mm,
                count: 1,
                rim,
            }),
        }
    }
    let change = |k: &RoundChange| (k.present_mm - k.base_mm).abs();
    kinds.sort_by(|a, b| {
        b.hollow
            .cmp(&a.hollow)
            .then(change(b).total_cmp(&change(a)))
    });
    (!kinds.is_empty()).then_some(kinds)
}

/// The round faces of a region, each once, and whether its rim changed too; `None` where it holds anything else.
fn of_region(base: &Side<'_>, present: &Side<'_>, region: &Found) -> Option<Vec<(Caliper, bool)>> {
    let stride = region.places.len().div_ceil(PLACES).max(1);
    // The deepest places come first: what else may have moved there is not passed over.
    let deepest = region.places.iter().take(PLACES);
    let places = deepest.chain(region.places.iter().step_by(stride));
    let mut faces: Vec<Caliper> = Vec::new();
    let mut rest: Vec<&Moved> = Vec::new();
    let mut sunk = false;
    for place in places {
        let (own, other) = if place.on_base {
            (base, present)
        } else {
            (present, base)
        };
        let Some((way, ends)) = pair(own, other, place).filter(|(way, _)| way.change() >= LEAST_MM)
        else {
            if place.distance >= LEAST_MM {
                rest.push(place);
            }
            continue;
        };
        // A countersink takes from the length of its hole; a hole that is much deeper, or a boss that is longer,
        // changed in more than its diameter.
        let same_ends = ends <= 0.5 * way.change() + NEAR;
        let wide = way.base_mm.max(way.present_mm);
        if !same_ends && (way.outside || ends > 0.5 * wide) {
            return None;
        }
        sunk |= !same_ends;
        let known = |f: &Caliper| {
            f.outside == way.outside
                && off_axis(way.at, f) < ONE
                && (f.base_mm - way.base_mm).abs() < ONE
        };
        if !faces.iter().any(known) {
            faces.push(way);
        }
    }
    let all = |within: &dyn Fn(&Moved, &Caliper) -> bool| {
        rest.iter()
            .all(|place| faces.iter().any(|face| within(place, face)))
    };
    if !all(&belongs_or_rim) {
        return None;
    }
    let rim = sunk || !all(&belongs);
    Some(faces.into_iter().map(|face| (face, rim)).collect())
}

/// Whether a place lies between where a round face was and where it is.
fn belongs(place: &Moved, face: &Caliper) -> bool {
    let radius = off_axis(place.at, face);
    let (low, high) = (
        face.base_mm.min(face.present_mm),
        face.base_mm.max(face.present_mm),
    );
    radius >= 0.5 * low - NEAR
        && radius <= 0.5 * high + NEAR
        && place.distance <= 0.5 * (high - low) + NEAR
}

/// The same, or about a hole no farther out than its diameter, and no deeper than a chamfer or a countersink is.
fn belongs_or_rim(place: &Moved, face: &Caliper) -> bool {
    let wide = face.base_mm.max(face.present_mm);
    let narrow = face.base_mm.min(face.present_mm);
    let radius = off_axis(place.at, face);
    let about = radius >= 0.5 * narrow - NEAR && radius <= wide;
    belongs(place, face) || (!face.outside && about && place.distance <= 0.25 * wide)
}

fn off_axis(at: Vec3, face: &Caliper) -> f64 {
    let off = sub(at, face.at);
    length(sub(off, scale(face.along, dot(off, face.along))))
}
