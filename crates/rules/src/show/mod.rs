//! What is seen of parts, and what on it bothers the eye.

pub mod brim_scar;
pub mod facets;
pub mod joint_line;
pub mod layer_lines;
pub mod loop_start;
pub mod scar;

use kit::{Fit, Kit, Mode, Part, Process};
use measure::show::{Asks, Basis, ShowFacts, joint, outlines};

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

/// What is asked along the outlines of a part's layers; `None` where it is not printed in layers of filament.
pub fn outline_asks(kit: &Kit, part: &Part) -> Option<outlines::Asks> {
    if kit.material_of(part).process != Process::Filament {
        return None;
    }
    let (show, first) = (limits::show(), limits::first_layer());
    let settings = kit.settings_of(part);
    Some(outlines::Asks {
        layer_mm: settings.layer_mm,
        crack_mm: crate::print::crack_mm(),
        most_layers: limits::layers().most_layers.value as usize,
        looked_at: show.start_layers.value as usize,
        brim: settings.brim_mm > f64::from(0),
        relief_height_mm: first.chamfer_height.value,
        relief_mm: first.spread_least.value,
        // One line that never ends has no seam.
        loops: settings.mode != Mode::SingleLine,
        corner_deg: show.start_corner.value,
        within_mm: show.start_within.value,
        least_loop_mm: show.start_loop.value,
        hidden_mm: show.start_hidden.value,
    })
}

/// What is asked of the line along which two parts meet that are glued by a fit.
pub fn joint_asks(fit: &Fit) -> joint::Asks {
    let limits = limits::show();
    let gap_mm = fit.gap_mm.map_or(limits.joint_gap.value, |[_, most]| most);
    joint::Asks {
        reach_mm: gap_mm.max(f64::from(0)) + limits.joint_beyond.value,
        step_mm: limits.joint_step.value,
        flush_mm: limits.joint_flush.value,
        alike: limits.joint_alike.value,
        rays: limits.rays.value as usize,
        least_share: limits.share.value,
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

/// What a rule finds on a cube of 20 mm of which all is on show, once `change` was made to what was measured.
#[cfg(test)]
pub(crate) fn judged(rule: &str, change: impl Fn(&mut ShowFacts)) -> Vec<crate::Departure> {
    use measure::show::{self, Which};
    let kit = crate::sample::kit("");
    let mesh = mesh::shapes::welded(&mesh::shapes::cuboid([0.0; 3], [20.0; 3]));
    let edges = mesh::Edges::build(&mesh);
    let part = &kit.parts[0];
    let turn = &part.orientation.turn;
    let mut shown = show::measure(&mesh, &edges, turn, &Which::Every, &asks(&kit, part));
    change(&mut shown);
    let mut facts = crate::sample::facts(0.0);
    facts[0].show = Some(shown);
    crate::sample::found(rule, &kit, &facts, &measure::Beside::default())
}
