//! `overhang.unsupported`: lines in the air, held on one side only, where no support may be printed.

use findings::{Level, Rule, Worse};
use kit::Supports;
use measure::print::overhang::Overhang;

use crate::print::{Hit, Printed, fold, from_below, hits};
use crate::words::{count, mm};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "overhang.unsupported",
        title: "an overhang that nothing holds",
        level: Level::Block,
        worse: Worse::Higher,
        measures: "How far lines that lie in the air, three and more beside each other, reach from what holds them, where they \
                   are held on one side only. Bridges are held on two sides and have a rule of their own; so have \
                   islands. It blocks where a promise has no supports and it is no small one. Where supports may stand on the plate only, it \
                   warns of what lies over the part.",
        why: "A line laid in the air sags and curls, and the lines after it have nothing to hold on to.",
        fix: "Chamfer its lower side at 45 degrees, hold its far end so that it becomes a bridge, turn the part, or \
              promise supports.",
        source: "Mazlan et al. 2020, J. Adv. Ind. Tech. Appl. 1, 38-47, abstract: at most 45 degrees, plain horizontal \
                 overhangs of 0.5 to 1.5 mm",
        limits: &[
            "layers.toml overhang.air",
            "layers.toml overhang.air-area",
            "layers.toml overhang.held",
            "layers.toml overhang.reach",
            "layers.toml overhang.area",
            "layers.toml overhang.sag",
            "layers.toml overhang.fall",
            "layers.toml overhang.over-part",
            "settings.toml overhang",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

/// The overhangs of a promise that nothing holds, with their weight.
pub(crate) fn unheld<'a>(printed: &Printed<'a>) -> Option<(Level, Vec<&'a Overhang>)> {
    let limits = limits::layers();
    let far = |o: &&Overhang| o.air_mm > limits.air.value && !o.island;
    let list = printed.facts.overhang.places.iter().filter(far);
    let (level, list): (Level, Vec<&Overhang>) = match printed.supports {
        Supports::None => {
            let list: Vec<&Overhang> = list.collect();
            let large = list.iter().any(|o| o.air_mm2 > limits.air_area.value);
            (if large { Level::Block } else { Level::Warn }, list)
        }
        Supports::FromPlate => {
            let over_part = |o: &&Overhang| o.landing_mm2 > limits.over_part.value * o.area_mm2;
            (Level::Warn, list.filter(over_part).collect())
        }
        Supports::FromPart => return None,
    };
    (!list.is_empty()).then_some((level, list))
}

fn judge(case: &PartCase) -> Vec<Departure> {
    let hits = hits(case, |printed| {
        let (level, list) = unheld(printed)?;
        Some(Hit {
            promise: printed.promise,
            facts: printed.facts,
            level,
            measured: list.iter().map(|o| o.air_mm).reduce(f64::max)?,
            limit: limits::layers().air.value,
            places: list
                .iter()
                .map(|o| findings::Place {
                    measured: Some(o.air_mm),
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
    let Some((departure, worst)) = fold(case, &hits, |hit| {
        format!("{}, at most {}", mm(hit.measured), mm(hit.limit))
    }) else {
        return Vec::new();
    };
    let limits = limits::layers();
    let supports = case.case.kit.supports_for(case.part, worst.promise);
    let why = if supports == Supports::None {
        "no supports are promised"
    } else {
        "supports may not stand on the part"
    };
    vec![Departure {
        message: format!(
            "lines reach {} into the air in {}, and {why}",
            mm(worst.measured),
            count(worst.places.len() as u64, "place", "places"),
        ),
        fix: format!(
            "chamfer its lower side at {} degrees, hold its far end (a bridge of up to {:.0} mm needs nothing), or turn \
             the part",
            case.case.kit.settings_of(case.part).overhang_deg,
            limits.bridge_note.value
        ),
        ..departure
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boxes::{T, found, promise};

    /// Plane geometry: arms of 10 mm.
    #[test]
    fn the_arms_of_a_t_block_where_no_supports_are_promised() {
        let got = found(ENTRY.rule.id, T, &promise("from-plate"));
        assert_eq!(got.len(), 1);
        let d = &got[0];
        assert_eq!(d.level, Some(Level::Block));
        assert_eq!(d.promises, ["common"]);
        assert_eq!(d.places.len(), 2);
        assert!((d.measured.expect("a reach") - 10.0).abs() < 0.2);
        assert!(d.reading.contains("on 1 of 2 promises"), "{}", d.reading);
        assert_eq!(d.places[0].outward, Some([0.0, 0.0, -1.0]));
    }

    #[test]
    fn what_lies_over_the_part_cannot_be_held_from_the_plate() {
        // A shelf over the part's own foot.
        let shelf = [
            ([0.0, 0.0, 0.0], [30.0, 20.0, 4.0]),
            ([0.0, 0.0, 4.0], [10.0, 20.0, 30.0]),
            ([0.0, 0.0, 30.0], [30.0, 20.0, 34.0]),
        ];
        let promises = |supports| {
            found(ENTRY.rule.id, &shelf, &promise(supports))[0]
                .promises
                .clone()
        };
        assert_eq!(promises("from-plate"), ["common", "other"]);
        assert_eq!(promises("from-part"), ["common"]);
    }

    #[test]
    fn a_ledge_of_two_millimetres_and_a_small_one_do_not_block() {
        let ledge = |reach: f32, deep: f32| {
            [
                ([0.0, 0.0, 0.0], [10.0, 20.0, 20.0]),
                ([10.0, 0.0, 16.0], [10.0 + reach, deep, 20.0]),
            ]
        };
        assert!(found(ENTRY.rule.id, &ledge(1.9, 20.0), "").is_empty());
        let level = |reach, deep| found(ENTRY.rule.id, &ledge(reach, deep), "")[0].level;
        assert_eq!(level(3.0, 20.0), Some(Level::Block));
        assert_eq!(level(6.0, 2.0), Some(Level::Warn));
    }
}
