//! Guesses for a first manifest, by the same limits as the rules use.

use kit::Unit;
use limits::{draft, loading_limits};
use measure::orientation::{Orientations, Way};
use measure::resting::Resting;

/// The unit a mesh is likely in by its longest side in the file's own numbers, and what that rests on.
/// Millimetres, unless they betray themselves; then the commonest unit that gives a usual size.
pub fn guess_unit(longest_side_filed: f64) -> (Unit, String) {
    let l = loading_limits();
    let usual = |mm: f64| {
        (l.likely_least.value..=l.likely_greatest.value).contains(&(longest_side_filed * mm))
    };
    let as_mm = longest_side_filed * Unit::Mm.millimetres();
    if (l.least_side.value..=l.greatest_side.value).contains(&as_mm) {
        let because = format!("the longest side would be {longest_side_filed:.1} mm");
        return (Unit::Mm, because);
    }
    let likely = [Unit::M, Unit::In, Unit::Cm, Unit::Ft, Unit::Um]
        .into_iter()
        .find(|u| usual(u.millimetres()));
    match likely {
        Some(unit) => (
            unit,
            format!(
                "in mm the longest side would be {longest_side_filed:.3} mm, in {unit} it is {:.1} mm",
                longest_side_filed * unit.millimetres()
            ),
        ),
        None => (Unit::Mm, "no unit makes it a usual size".to_string()),
    }
}

/// Whether another way to rest touches the plate clearly better than the pose as filed.
fn rests_clearly_better(contact_mm2: f64, as_filed_mm2: f64) -> bool {
    contact_mm2 > as_filed_mm2 * draft().better_contact.value
}

/// The direction in which a part is likely meant to be printed, and what that rests on; `None` for as filed.
///
/// A designer who exported a part lying on its largest face meant that face; but what needs support that way and none
/// another way was drawn for the other way. `found` are other ways to lay it than as filed, where they were measured.
pub fn guess_up(resting: &[Resting], found: Option<&Orientations>) -> Option<([f64; 3], String)> {
    let as_filed_mm2 = resting
        .iter()
        .find(|r| r.up == AS_FILED)
        .map_or(0.0, |r| r.contact_mm2);
    let rests = |up: [f64; 3], on_mm2: f64| {
        rests_clearly_better(on_mm2, as_filed_mm2).then(|| {
            let because =
                format!("rests on {on_mm2:.0} mm2 that way, on {as_filed_mm2:.0} mm2 as filed");
            (up, because)
        })
    };
    let flattest = resting.first().and_then(|r| rests(r.up, r.contact_mm2));
    let Some(found) = found else { return flattest };
    // Where no way fits, the plate is another matter.
    let none_fits = !found.intended.fits && found.others.iter().all(|way| !way.fits);
    let able = |way: &&Way| (way.fits || none_fits) && !way.needs_support;
    let broadest = found
        .others
        .iter()
        .filter(able)
        .max_by(|a, b| a.first_layer_mm2.total_cmp(&b.first_layer_mm2));
    if let Some(guess) = broadest.and_then(|way| rests(way.up, way.first_layer_mm2)) {
        return Some(guess);
    }
    let stands = found.intended.first_layer_mm2 >= limits::orientation().footing.value;
    if stands && able(&&found.intended) {
        return None;
    }
    match found.others.iter().find(able) {
        Some(way) if found.intended.needs_support => {
            let because = format!(
                "needs no support that way, {} as filed",
                crate::orientation::volume(found.intended.needed_mm3())
            );
            Some((way.up, because))
        }
        _ => flattest,
    }
}

/// The direction that points up as a mesh is filed.
const AS_FILED: [f64; 3] = [0.0, 0.0, 1.0];

#[cfg(test)]
mod tests {
    use super::*;
    use measure::orientation::Origin;

    #[test]
    fn metres_are_recognised() {
        assert_eq!(guess_unit(0.12).0, Unit::M);
        assert_eq!(guess_unit(120.0).0, Unit::Mm);
        assert_eq!(guess_unit(0.0).0, Unit::Mm);
    }

    fn way(up: [f64; 3], support_mm3: f64, first_layer_mm2: f64) -> Way {
        Way {
            up,
            origin: Origin::Axis,
            overhang_mm2: 0.0,
            needs_support: support_mm3 > 0.0,
            support_mm3,
            contact_mm2: 0.0,
            landing_mm2: 0.0,
            scar_mm2: 0.0,
            shown_mm2: 0.0,
            step_mm: 0.0,
            height_mm: 10.0,
            first_layer_mm2,
            flat_mm2: first_layer_mm2,
            tip_deg: 45.0,
            section_mm2: None,
            fits: true,
        }
    }

    const SIDE: [f64; 3] = [0.0, 1.0, 0.0];
    const DOWN: [f64; 3] = [0.0, 0.0, -1.0];

    /// As filed on 100 mm2, on its side on 500, upside down on 120.
    fn guess(as_filed_mm3: f64, side_mm3: f64, down_mm3: f64) -> Option<[f64; 3]> {
        guess_of(as_filed_mm3, side_mm3, down_mm3, true)
    }

    fn guess_of(as_filed_mm3: f64, side_mm3: f64, down_mm3: f64, fits: bool) -> Option<[f64; 3]> {
        let rests = |up, contact_mm2| Resting {
            up,
            contact_mm2,
            height_mm: 10.0,
        };
        let resting = [
            rests(SIDE, 500.0),
            rests(DOWN, 120.0),
            rests(AS_FILED, 100.0),
        ];
        let way = |up, mm3, on_mm2| Way {
            fits,
            ..way(up, mm3, on_mm2)
        };
        let found = Orientations {
            intended: way(AS_FILED, as_filed_mm3, 100.0),
            others: vec![way(DOWN, down_mm3, 120.0), way(SIDE, side_mm3, 500.0)],
            tried: 3,
        };
        guess_up(&resting, Some(&found)).map(|(up, _)| up)
    }

    #[test]
    fn what_needs_no_support_is_meant_before_what_is_broad() {
        // All print as they are: the broad side. A broad side that needs support is not meant.
        assert_eq!(guess(0.0, 0.0, 0.0), Some(SIDE));
        assert_eq!(guess(0.0, 900.0, 0.0), None);
        assert_eq!(guess(900.0, 900.0, 0.0), Some(DOWN));
        // All need it: the broad side again.
        assert_eq!(guess(900.0, 900.0, 900.0), Some(SIDE));
        // What is too large every way still lies where it needs no support.
        assert_eq!(guess_of(0.0, 900.0, 900.0, false), None);
    }
}
