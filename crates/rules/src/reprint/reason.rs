//! Why a part is of its class.

use findings::{Finding, Level};
use kit::{Fit, Kit, Part, Poses};
use revisions::{Found, Meets, Near, Pair};

use super::class::Class;
use crate::words::mm;

/// A class with its reason.
pub(crate) struct Reason {
    /// The class.
    pub class: Class,
    /// Why, in one sentence without a full stop.
    pub words: String,
}

impl Reason {
    fn of(class: Class, words: impl Into<String>) -> Reason {
        Reason {
            class,
            words: words.into(),
        }
    }

    /// A part that the base does not have.
    pub fn new_part() -> Reason {
        Reason::of(Class::New, "not in the base")
    }

    /// A part that only the base has.
    pub fn retired() -> Reason {
        Reason::of(Class::Retired, "no longer in the kit")
    }
}

/// The class of a part that both revisions have. `gone`: findings that the old part alone has.
pub(crate) fn of(
    pair: &Pair,
    (base, old): (&Kit, &Part),
    (present, new): (&Kit, &Part),
    gone: &[&Finding],
) -> Reason {
    let same_words = || set_otherwise((base, old), (present, new));
    if let Some(failed) = gone.iter().find(|f| f.level == Level::Block) {
        return Reason::of(
            Class::Required,
            format!("the old part fails {}: {}", failed.rule, failed.message),
        );
    }
    let Some(change) = &pair.change else {
        let why = pair.unmeasured.as_deref().unwrap_or("no mesh on one side");
        return Reason::of(
            Class::Required,
            format!(
                "the surfaces could not be compared ({why}), so nothing says that the old part serves"
            ),
        );
    };
    let changed = !change.regions.is_empty();
    if changed && let Some(words) = mating(pair, present) {
        return Reason::of(Class::Required, words);
    }
    let most = limits::revisions().fit_move.value;
    if changed && change.max_mm > most && !meets_something(&new.id, present) {
        return Reason::of(
            Class::Recommended,
            format!(
                "changed by up to {}, and no pose, fit or hole says what it meets; more than {} may not fit",
                mm(change.max_mm),
                mm(most)
            ),
        );
    }
    if old.material != new.material {
        return Reason::of(
            Class::Recommended,
            format!(
                "now printed in {}, before in {}",
                new.material, old.material
            ),
        );
    }
    let laid = same_words();
    if let Some(warned) = gone.first().filter(|_| changed || laid.is_some()) {
        return Reason::of(
            Class::Recommended,
            format!(
                "the old part is warned of by {}: {}",
                warned.rule, warned.message
            ),
        );
    }
    if changed {
        let where_it_meets = if meets_something(&new.id, present) {
            "away from every face that meets another part".to_string()
        } else {
            format!("no more than the {} that a fit takes", mm(most))
        };
        return Reason::of(
            Class::Optional,
            format!("changed by up to {}, {where_it_meets}", mm(change.max_mm)),
        );
    }
    if let Some(words) = laid {
        return Reason::of(Class::Optional, words);
    }
    if pair.part != pair.was {
        let found = match pair.found {
            Found::Shape => ", found by its shape",
            _ => "",
        };
        return Reason::of(
            Class::Renamed,
            format!("was {}{found}; the same surface", old.id),
        );
    }
    Reason::of(
        Class::Same,
        if change.identical && !change.moved {
            "the same triangles".to_string()
        } else if change.moved {
            "only moved in its file".to_string()
        } else {
            format!(
                "the same surface within {}",
                mm(crate::reprint::surface_asks().same_mm)
            )
        },
    )
}

/// Whether the manifest says anything of what a part meets.
fn meets_something(part: &str, kit: &Kit) -> bool {
    kit.poses == Poses::AsModelled
        || kit.placed.iter().any(|pose| pose.part == part)
        || kit
            .fits
            .iter()
            .any(|fit| fit.parts.iter().any(|id| id == part))
        || kit.holes.iter().any(|hole| hole.part == part)
}

/// How a part is laid or set otherwise than before, if it is.
fn set_otherwise((base, old): (&Kit, &Part), (present, new): (&Kit, &Part)) -> Option<String> {
    let mut words = Vec::new();
    if old.orientation.turn != new.orientation.turn {
        words.push("laid on the plate another way".to_string());
    }
    let [was, is] = [base.settings_of(old), present.settings_of(new)];
    let same_values = {
        let mut renamed = was.clone();
        renamed.id.clone_from(&is.id);
        // Where a table stands in its manifest changes nothing.
        renamed.line = is.line;
        renamed == *is
    };
    if !same_values {
        words.push(format!("printed with other settings ({})", is.id));
    }
    (!words.is_empty()).then(|| words.join(", "))
}

/// The face that moved too far beside a neighbour, a fit or a hole: the one furthest over its threshold.
fn mating(pair: &Pair, present: &Kit) -> Option<String> {
    pair.near
        .iter()
        .map(|near| (near, threshold(near, present)))
        .filter(|(near, (most, _))| near.moved_mm.abs() > *most)
        .max_by(|(a, (x, _)), (b, (y, _))| {
            (a.moved_mm.abs() / x).total_cmp(&(b.moved_mm.abs() / y))
        })
        .map(|(near, (most, of))| {
            let moved = mm(near.moved_mm.abs());
            let against = match &near.meets {
                Meets::Neighbour => format!("a face beside {} moved {moved}", near.neighbour),
                Meets::Fit(id) => {
                    format!("a face of the fit {id} with {} moved {moved}", near.neighbour)
                }
                Meets::FitWithoutPose(id) => format!(
                    "its surface moved {moved}, and without poses any face may be that of the fit {id} with {}",
                    near.neighbour
                ),
                Meets::Hole(takes) => format!("a hole ({takes}) moved {moved}"),
            };
            format!("{against}; more than {} ({of}) may not fit", mm(most))
        })
}

/// By how much a face may move, mm, and where that comes from.
pub(crate) fn threshold(near: &Near, present: &Kit) -> (f64, String) {
    let limits = limits::revisions();
    let fit = |id: &str| present.fits.iter().find(|f: &&Fit| f.id == id);
    let range = match &near.meets {
        Meets::Fit(id) | Meets::FitWithoutPose(id) => fit(id).and_then(|f| f.gap_mm),
        _ => None,
    };
    match range {
        Some([least, most]) if most > least => (
            limits.fit_share.value * (most - least),
            "half the fit's gap range".into(),
        ),
        _ => (limits.fit_move.value, "no gap is declared".into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use revisions::{PartChange, Region};

    /// Part `left` of the sample kit, moved by so much somewhere.
    fn reason(more: &str, moved_mm: f64) -> Reason {
        let kit = crate::sample::kit(more);
        let region = Region {
            at: [0.0; 3],
            size_mm: [1.0; 3],
            depth_mm: moved_mm,
            area_mm2: 1.0,
        };
        let change = PartChange {
            identical: false,
            max_mm: moved_mm,
            regions: vec![region],
            regions_total: 1,
            ..PartChange::none()
        };
        let pair = Pair {
            part: Some("left".into()),
            was: Some("left".into()),
            found: Found::Id,
            change: Some(change),
            unmeasured: None,
            near: Vec::new(),
        };
        let part = &kit.parts[0];
        of(&pair, (&kit, part), (&kit, part), &[])
    }

    #[test]
    fn where_nothing_says_what_a_part_meets_a_change_is_not_called_harmless() {
        let unknown = reason("", 0.3);
        assert_eq!(unknown.class, Class::Recommended);
        assert!(
            unknown.words.contains("no pose, fit or hole"),
            "{}",
            unknown.words
        );
        // As much as a fit without a gap may move.
        assert_eq!(reason("", 0.1).class, Class::Optional);
        let posed = "[[pose]]\npart = \"left\"\nmove = [0, 0, 0]\n";
        assert_eq!(reason(posed, 0.3).class, Class::Optional);
    }
}
