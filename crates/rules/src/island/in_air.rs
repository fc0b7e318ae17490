//! `island.in-air`: a piece of a layer with nothing under it and nothing beside it.

use findings::{Level, Rule, Worse};
use kit::Supports;
use measure::print::overhang::Island;

use crate::print::{Hit, fold, from_below, hits};
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "island.in-air",
        title: "a piece that begins in the air",
        level: Level::Block,
        worse: Worse::Higher,
        measures: "Pieces of a layer that lie on nothing and touch nothing of their own layer, and are not joined within \
                   two layers, where no supports are promised: how many there are.",
        why: "Its first lines fall down; what should stand on them is torn or missing.",
        fix: "Join it to the part from below by a slope of 45 degrees, turn the part, or promise supports.",
        source: "geometry of the layers; how small and how short-lived is none: common practice, no source",
        limits: &["layers.toml island.area", "layers.toml island.layers"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let hits = hits(case, |printed| {
        let islands = &printed.facts.overhang.islands;
        let bare = printed.supports == Supports::None && !islands.is_empty();
        bare.then(|| Hit {
            promise: printed.promise,
            facts: printed.facts,
            level: Level::Block,
            measured: islands.len() as f64,
            limit: 0.0,
            places: islands.iter().map(|i| place(case, i)).collect(),
        })
    });
    let Some((departure, worst)) = fold(case, &hits, |hit| {
        format!("{}, none allowed", pieces(hit.places.len()))
    }) else {
        return Vec::new();
    };
    let lowest = worst.facts.overhang.islands.first();
    let (above, area) = lowest.map_or((0.0, 0.0), |i| (i.height_mm, i.area_mm2));
    vec![Departure {
        unit: "pieces",
        message: format!(
            "{} in the air, the lowest {above:.1} mm above the plate, of {area:.1} mm2",
            if worst.places.len() == 1 {
                "a piece begins".into()
            } else {
                format!("{} begin", pieces(worst.places.len()))
            }
        ),
        fix: "join it to the part from below by a slope of 45 degrees, or turn the part".into(),
        ..departure
    }]
}

fn pieces(n: usize) -> String {
    count(n as u64, "piece", "pieces")
}

fn place(case: &PartCase, island: &Island) -> findings::Place {
    let joined = island
        .joined_mm
        .map_or("joined to nothing".to_string(), |z| {
            format!("joined at {z:.1} mm")
        });
    from_below(
        case,
        island.at,
        island.height_mm,
        &format!("{:.1} mm2, {joined}", island.area_mm2),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boxes::{T, found, promise};

    #[test]
    fn a_hook_begins_in_the_air_and_a_t_does_not() {
        let hook = [
            ([0.0, 0.0, 0.0], [4.0, 4.0, 30.0]),
            ([4.0, 0.0, 26.0], [20.0, 4.0, 30.0]),
            ([16.0, 0.0, 5.0], [20.0, 4.0, 26.0]),
        ];
        let got = found(ENTRY.rule.id, &hook, &promise("from-plate"));
        assert_eq!(got.len(), 1);
        assert_eq!(got[0].promises, ["common"]);
        assert!(
            got[0].message.contains("5.0 mm above"),
            "{}",
            got[0].message
        );
        assert!(found(ENTRY.rule.id, T, "").is_empty());
    }
}
