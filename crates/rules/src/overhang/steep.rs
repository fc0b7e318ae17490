//! `overhang.steep`: a surface steeper than the settings allow, on which each line still rests on the one below.

use findings::{Level, Rule, Worse};
use kit::Supports;
use measure::print::overhang::Overhang;

use super::unsupported::unheld;
use crate::print::{Hit, fold, from_below, hits};
use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "overhang.steep",
        title: "a lower side steeper than the settings allow",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "How far a surface steeper than the settings' overhang angle reaches from what holds it, where lines \
                   do not lie in the air, and where no supports are promised. It warns where lines lie beside the \
                   layer below, not on it.",
        why: "It prints, with curled edges and a rough lower side.",
        fix: "Make it less steep, or let it look away.",
        source: "common practice, no source",
        limits: &[
            "layers.toml overhang.steep",
            "layers.toml overhang.loose",
            "layers.toml overhang.air-area",
            "settings.toml overhang",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let limits = limits::layers();
    let hits = hits(case, |printed| {
        if printed.supports != Supports::None {
            return None;
        }
        // What is blocked already needs no second word.
        let unheld = unheld(printed).map_or(Vec::new(), |(_, list)| list);
        let mut list: Vec<&Overhang> = printed
            .facts
            .overhang
            .places
            .iter()
            .filter(|o| o.steep_mm > limits.steep.value)
            .filter(|o| !unheld.iter().any(|u| std::ptr::eq(*u, *o)))
            .collect();
        list.sort_by(|a, b| b.steep_mm.total_cmp(&a.steep_mm));
        let loose = |o: &&Overhang| o.loose_mm2 > limits.air_area.value;
        let level = if list.iter().any(loose) {
            Level::Warn
        } else {
            Level::Note
        };
        Some(Hit {
            promise: printed.promise,
            facts: printed.facts,
            level,
            measured: list.iter().map(|o| o.steep_mm).reduce(f64::max)?,
            limit: limits.steep.value,
            places: list
                .iter()
                .map(|o| findings::Place {
                    measured: Some(o.steep_mm),
                    reach_mm: o.reach_mm,
                    ..from_below(
                        case,
                        o.at,
                        o.height_mm,
                        &format!("over {:.0} mm2", o.area_mm2),
                    )
                })
                .collect(),
        })
    });
    let allowed = case.case.kit.settings_of(case.part).overhang_deg;
    let Some((departure, worst)) = fold(case, &hits, |hit| {
        format!("{}, at most {}", mm(hit.measured), mm(hit.limit))
    }) else {
        return Vec::new();
    };
    vec![Departure {
        message: format!(
            "a lower side steeper than {allowed} degrees reaches {}",
            mm(worst.measured)
        ),
        fix: format!(
            "make it no steeper than {allowed} degrees from vertical, or let it look away"
        ),
        ..departure
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boxes::{T, found};

    #[test]
    fn flat_arms_are_not_called_steep_as_well() {
        assert!(found(ENTRY.rule.id, T, "").is_empty());
    }
}
