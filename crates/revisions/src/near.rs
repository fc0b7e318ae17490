//! Did what changed face a neighbour?

use mesh::vector::{cross, dot, sub};

use crate::change::Body;
use crate::regions::Region;
use crate::rigid::Rigid;

/// The deepest moved place of `regions` that lies within `reach_mm` of a neighbour, as signed depth (mm, + plastic
/// added) and place in the present part's frame; `to_neighbour` takes the part's frame to the neighbour's.
pub fn moved_near(
    regions: &[Region],
    neighbour: &Body<'_>,
    to_neighbour: &Rigid,
    reach_mm: f64,
) -> Option<(f64, [f64; 3])> {
    let mut best: Option<(f64, [f64; 3])> = None;
    for region in regions {
        for (sample, &depth) in region.samples.iter().zip(&region.depths_mm) {
            let depth = f64::from(depth);
            if best.is_some_and(|(most, _)| depth.abs() <= most.abs()) {
                continue;
            }
            let at = sample.map(f64::from);
            if neighbour
                .tree
                .closest(to_neighbour.at(at), reach_mm, |_| true)
                .is_some()
            {
                best = Some((depth, at));
            }
        }
    }
    best
}

/// The deepest moved place of `regions` no farther than `reach_mm` from a line in the part's frame, as signed depth
/// (mm, + plastic added) and place; `axis` is one long.
pub fn moved_about(
    regions: &[Region],
    through: [f64; 3],
    axis: [f64; 3],
    reach_mm: f64,
) -> Option<(f64, [f64; 3])> {
    let mut best: Option<(f64, [f64; 3])> = None;
    for region in regions {
        for (sample, &depth) in region.samples.iter().zip(&region.depths_mm) {
            let (depth, at) = (f64::from(depth), sample.map(f64::from));
            let aside = cross(sub(at, through), axis);
            if dot(aside, aside) <= reach_mm * reach_mm
                && best.is_none_or(|(most, _)| depth.abs() > most.abs())
            {
                best = Some((depth, at));
            }
        }
    }
    best
}
