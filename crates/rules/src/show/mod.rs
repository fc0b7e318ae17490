//! What is seen of parts, and what on it bothers the eye.

pub mod facets;
pub mod layer_lines;
pub mod scar;

use kit::{Kit, Part};
use measure::show::{Asks, Basis, ShowFacts};

use crate::PartCase;

/// What is asked of a part's show faces.
pub fn asks(kit: &Kit, part: &Part) -> Asks {
    let limits = limits::show();
    Asks {
        layer_mm: kit.settings_of(part).layer_mm,
        places: limits.places.value as usize,
        rays: limits.rays.value as usize,
        least_share: limits.share.value,
        coarse_mm: limits.step.value,
        sand_mm: limits.sand.value,
        smooth_deg: limits.smooth.value,
        sag_mm: limits.sag.value,
    }
}

/// The copies of a part that are looked at, spread over all of them.
pub fn looked_at(copies: Vec<usize>) -> Vec<usize> {
    let most = limits::show().copies.value as usize;
    let count = copies.len().min(most);
    (0..count)
        .map(|k| copies[k * copies.len() / count])
        .collect()
}

/// The show faces of a part, where it is known which they are: a part without a place in the kit also shows the faces
/// with which it meets others, and nothing is said of it.
pub(crate) fn known<'a>(case: &PartCase<'a>) -> Option<&'a ShowFacts> {
    case.facts.show.as_ref().filter(|s| s.basis != Basis::Alone)
}

/// The abrasive to begin with on a part's show faces, by its grade; `None` where there is nothing to sand.
pub fn abrasive(show: &ShowFacts) -> Option<&'static str> {
    let um_per_mm = measure::show::UM_PER_MM;
    limits::first_abrasive(um_per_mm * show.sanding_step_mm).map(|g| g.name.as_str())
}
