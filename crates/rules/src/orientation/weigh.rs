//! When one way to lay a part is plainly better than another.

use measure::orientation::{Orientations, Way};

/// Whether a way is plainly better than the intended one in support or in layer lines, and no worse in anything else
/// that counts.
pub fn dominates(way: &Way, intended: &Way) -> bool {
    no_worse(way, intended)
        && (less_support(way, intended) || finer(way, intended) || only_it_fits(way, intended))
}

/// The ways worth showing beside the intended one: those that dominate it first, then by support; at most as many as
/// a reader takes in.
pub fn offered(found: &Orientations) -> Vec<&Way> {
    let mut ways: Vec<&Way> = found.others.iter().collect();
    ways.sort_by(|a, b| {
        let first = |w: &Way| !dominates(w, &found.intended);
        first(a)
            .cmp(&first(b))
            .then(b.fits.cmp(&a.fits))
            .then(a.needed_mm3().total_cmp(&b.needed_mm3()))
    });
    ways.truncate(limits::orientation().rows.value as usize);
    ways
}

fn less_support(way: &Way, intended: &Way) -> bool {
    let limits = limits::orientation();
    let (now, then) = (intended.needed_mm3(), way.needed_mm3());
    now - then >= limits.better_support.value
        && now - then >= limits.better_support_share.value * now
}

fn finer(way: &Way, intended: &Way) -> bool {
    let limits = limits::orientation();
    let gain = intended.step_mm - way.step_mm;
    gain >= limits.better_steps.value && gain >= limits.better_steps_share.value * intended.step_mm
}

fn only_it_fits(way: &Way, intended: &Way) -> bool {
    way.fits && !intended.fits
}

fn no_worse(way: &Way, intended: &Way) -> bool {
    let limits = limits::orientation();
    let section = match (way.section_mm2, intended.section_mm2) {
        (Some(way), Some(intended)) => way >= limits.worse_section.value * intended,
        _ => true,
    };
    (way.fits || !intended.fits)
        && (!way.needs_support || intended.needs_support)
        && way.needed_mm3() <= intended.needed_mm3() + limits.worse_support.value
        && way.step_mm <= intended.step_mm + limits.worse_steps.value
        && way.scars_mm2() <= intended.scars_mm2() + limits.worse_scar.value
        && way.height_mm <= limits.worse_height.value * intended.height_mm
        && way.first_layer_mm2 >= limits.worse_contact.value * intended.first_layer_mm2
        && way.tip_deg >= limits.worse_tip.value.min(intended.tip_deg)
        && section
}
