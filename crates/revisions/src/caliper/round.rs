//! Diameter of a hole or a boss at both revisions.

use mesh::vector::{add, dot, length, scale, sub};

use super::patch::{Round, round};
use super::{Caliper, Dimension, Side};
use crate::deviation::Moved;

/// Axes that lean apart by less are one: the cosine of three degrees.
const PARALLEL: f64 = 0.9986;

/// The diameter of the round face that a moved place lies on, and of its counterpart, where jaws come to both.
pub(super) fn diameter(own: &Side<'_>, other: &Side<'_>, place: &Moved) -> Option<Caliper> {
    let (here, there) = faces(own, other, place)?;
    let open = |side: &Side<'_>, face: &Round| !face.hollow || side.reached(face.centre, face.axis);
    (open(own, &here) && open(other, &there)).then(|| caliper(here, there, place))
}

/// The same, whether or not jaws come to them, with how far either end of the face moved along the axis, mm.
pub(super) fn pair(own: &Side<'_>, other: &Side<'_>, place: &Moved) -> Option<(Caliper, f64)> {
    let (here, there) = faces(own, other, place)?;
    let apart = dot(sub(there.centre, here.centre), here.axis);
    let ends = [1.0, -1.0].map(|end| (apart + end * (there.half - here.half)).abs());
    Some((caliper(here, there, place), ends[0].max(ends[1])))
}

fn faces(own: &Side<'_>, other: &Side<'_>, place: &Moved) -> Option<(Round, Round)> {
    let here = round(own, place.triangle)?;
    let there = counterpart(&here, other, place)?;
    Some((here, there))
}

fn caliper(here: Round, there: Round, place: &Moved) -> Caliper {
    let (old, new) = if place.on_base {
        (here, there)
    } else {
        (there, here)
    };
    Caliper {
        dimension: Dimension::Diameter,
        outside: !new.hollow,
        at: new.centre,
        along: new.axis,
        base_mm: old.diameter,
        present_mm: new.diameter,
    }
}

/// The round face of the other revision about the same axis.
fn counterpart(here: &Round, other: &Side<'_>, place: &Moved) -> Option<Round> {
    let off = sub(place.at, here.centre);
    let radial = sub(off, scale(here.axis, dot(off, here.axis)));
    // From the place itself, then across the axis: a part of the face may be gone.
    let across = add(place.at, scale(radial, -2.0));
    let middle = add(here.centre, radial);
    [place.at, middle, across].into_iter().find_map(|from| {
        let found = other
            .body
            .tree
            .closest(other.own.at(from), here.diameter, |_| true)?;
        let there = round(other, found.triangle)?;
        let apart = sub(there.centre, here.centre);
        let aside = length(sub(apart, scale(here.axis, dot(apart, here.axis))));
        let one = there.hollow == here.hollow
            && dot(there.axis, here.axis).abs() > PARALLEL
            && aside < 0.5 * here.diameter.min(there.diameter);
        one.then_some(there)
    })
}
