//! Distance across two parallel flat faces at both revisions, on one line through a moved place.

use mesh::tree::NONE;
use mesh::vector::{Vec3, add, dot, scale};

use super::length::extent;
use super::patch::is_flat;
use super::{Caliper, Dimension, Side};
use crate::deviation::Moved;

/// Faces whose normals lean apart by less are parallel: the cosine of one degree.
const PARALLEL: f64 = 0.999_85;

/// A ray starts so far off the face it starts on, mm.
const OFF: f64 = 1e-5;

/// Jaws stand so far off the face when it is asked whether they reach it, mm.
const JAW: f64 = 0.3;

/// A face of one revision on the line: where (mm along it) and on which facet.
#[derive(Clone, Copy)]
struct Face {
    t: f64,
    triangle: u32,
}

/// What stands across from a moved flat face, over material and over air.
pub(super) fn across(own: &Side<'_>, other: &Side<'_>, place: &Moved) -> Vec<Caliper> {
    let Some(normal) = own.normal(place.triangle) else {
        return Vec::new();
    };
    if !is_flat(own, place.triangle) {
        return Vec::new();
    }
    let line = Line {
        from: place.at,
        along: normal,
    };
    let here = Face {
        t: 0.0,
        triangle: place.triangle,
    };
    let Some(there) = line.counterpart(other, moved_at_most(place.distance)) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    for outside in [true, false] {
        let (Some(a), Some(b)) = (
            line.opposite(own, here, outside),
            line.opposite(other, there, outside),
        ) else {
            continue;
        };
        // The faces across must be one face, too.
        let apart = (a.t - b.t).abs();
        if apart > moved_at_most(0.0) {
            let away = other.distance(line.at(a.t)).max(own.distance(line.at(b.t)));
            if apart > moved_at_most(away) {
                continue;
            }
        }
        let (mine, its) = ((a.t - here.t).abs(), (b.t - there.t).abs());
        let (base_mm, present_mm, middle) = if place.on_base {
            (mine, its, 0.5 * (b.t + there.t))
        } else {
            (its, mine, 0.5 * (a.t + here.t))
        };
        let at = line.at(middle);
        let reached = if outside {
            line.jaws(own, here, a) && line.jaws(other, there, b)
        } else {
            own.reached(line.at(0.5 * (a.t + here.t)), normal)
                && other.reached(line.at(0.5 * (b.t + there.t)), normal)
        };
        if !reached {
            continue;
        }
        let mut caliper = Caliper {
            dimension: Dimension::Flats,
            outside,
            at,
            along: normal,
            base_mm,
            present_mm,
        };
        let (old, new) = if place.on_base {
            (own, other)
        } else {
            (other, own)
        };
        if outside && is_whole_length(&caliper, old, new) {
            caliper.dimension = Dimension::Length;
        }
        out.push(caliper);
    }
    out
}

/// How far a face can have moved along its normal that lies so far from the other revision's surface, mm. A face that
/// came or went has no other surface there, and what stands farther off along the normal is not the same face.
fn moved_at_most(distance: f64) -> f64 {
    1.05 * distance + 0.05
}

/// Whether the dimension is the longest side of the part's box.
fn is_whole_length(caliper: &Caliper, base: &Side<'_>, present: &Side<'_>) -> bool {
    let (Some(old), Some(new)) = (extent(base), extent(present)) else {
        return false;
    };
    let (old, new) = (old.size(), new.size());
    let longest = (0..3).fold(0, |l, k| if new[k] > new[l] { k } else { l });
    caliper.along[longest].abs() > PARALLEL
        && (old[longest] - caliper.base_mm).abs() < 0.01
        && (new[longest] - caliper.present_mm).abs() < 0.01
}

/// A line through the place, along the normal there (present's frame).
struct Line {
    from: Vec3,
    along: Vec3,
}

impl Line {
    fn at(&self, t: f64) -> Vec3 {
        add(self.from, scale(self.along, t))
    }

    /// The face of the other revision nearest to the place that faces the same way.
    fn counterpart(&self, side: &Side<'_>, reach: f64) -> Option<Face> {
        let start = side.own.at(self.at(reach));
        let way = side.own.direction(scale(self.along, -1.0));
        let mut best: Option<Face> = None;
        side.body.tree.all_hits(start, way, 2.0 * reach, |hit| {
            let face = Face {
                t: reach - hit.t,
                triangle: hit.triangle,
            };
            let same_way = side
                .normal(hit.triangle)
                .is_some_and(|n| dot(n, self.along) > PARALLEL);
            let nearer =
                best.is_none_or(|b| (face.t.abs(), face.triangle) < (b.t.abs(), b.triangle));
            if same_way && nearer {
                best = Some(face);
            }
        });
        best.filter(|face| is_flat(side, face.triangle))
    }

    /// The face across from one, over material (`inward`) or over air.
    fn opposite(&self, side: &Side<'_>, face: Face, inward: bool) -> Option<Face> {
        let sign = if inward { -1.0 } else { 1.0 };
        let start = side.own.at(self.at(face.t + sign * OFF));
        let way = side.own.direction(scale(self.along, sign));
        let hit = side
            .body
            .tree
            .first_hit(start, way, f64::INFINITY, face.triangle)?;
        let facing = side.normal(hit.triangle)?;
        let parallel = dot(facing, self.along) < -PARALLEL;
        (parallel && hit.outer != inward && is_flat(side, hit.triangle)).then_some(Face {
            t: face.t + sign * (hit.t + OFF),
            triangle: hit.triangle,
        })
    }

    /// Whether outside jaws come to both faces.
    fn jaws(&self, side: &Side<'_>, near: Face, far: Face) -> bool {
        [near.t + JAW, far.t - JAW].iter().all(|&t| {
            let start = side.own.at(self.at(t));
            // Not within material, and open to somewhere.
            side.body.tree.winding_number(start) < 0.5 && side.reached(self.at(t), self.along)
        }) && near.triangle != NONE
    }
}
