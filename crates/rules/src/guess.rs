//! Guesses for a first manifest, by the same limits as the rules use.

use kit::Unit;
use limits::{draft, loading_limits};

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
pub fn rests_clearly_better(contact_mm2: f64, as_filed_mm2: f64) -> bool {
    contact_mm2 > as_filed_mm2 * draft().better_contact.value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn metres_are_recognised() {
        assert_eq!(guess_unit(0.12).0, Unit::M);
        assert_eq!(guess_unit(120.0).0, Unit::Mm);
        assert_eq!(guess_unit(0.0).0, Unit::Mm);
    }
}
