//! `support.trapped`: support that cannot be pulled out.

use findings::{Level, Rule, Worse};
use kit::Supports;
use measure::print::overhang::Trapped;

use crate::print::{Hit, fold, from_below, hits};
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "support.trapped",
        title: "support that cannot be pulled out",
        level: Level::Warn,
        worse: Worse::Higher,
        measures: "The volume of support, where it is promised and needed, in spaces that have no way out as wide as a \
                   pair of pliers needs.",
        why: "The builder cannot remove it: it stays in the part, and holes and moving pieces are blocked.",
        fix: "Open the space, or shape its roof so that it needs no support: a bridge, a gable of 45 degrees.",
        source: "common practice, no source",
        limits: &[
            "layers.toml support.way-out",
            "layers.toml support.trapped",
            "layers.toml overhang.air",
            "layers.toml bridge.note",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let limits = limits::layers();
    let hits = hits(case, |printed| {
        if printed.supports != Supports::FromPart {
            return None;
        }
        let needed =
            |t: &&Trapped| t.air_mm > limits.air.value || t.span_mm > limits.bridge_note.value;
        let support = &printed.facts.overhang.support;
        let list: Vec<&Trapped> = support.trapped.iter().filter(needed).collect();
        let volume_mm3: f64 = list.iter().map(|t| t.volume_mm3).sum();
        (volume_mm3 > limits.trapped.value).then(|| Hit {
            promise: printed.promise,
            facts: printed.facts,
            level: Level::Warn,
            measured: volume_mm3,
            limit: limits.trapped.value,
            places: list
                .iter()
                .map(|t| findings::Place {
                    measured: Some(t.volume_mm3),
                    ..from_below(case, t.at, t.height_mm, &format!("{:.0} mm3", t.volume_mm3))
                })
                .collect(),
        })
    });
    let Some((departure, worst)) = fold(case, &hits, |hit| {
        format!("{:.0} mm3, at most {:.0} mm3", hit.measured, hit.limit)
    }) else {
        return Vec::new();
    };
    vec![Departure {
        unit: "mm3",
        message: format!(
            "{:.0} mm3 of support in {} cannot be pulled out",
            worst.measured,
            count(worst.places.len() as u64, "space", "spaces")
        ),
        fix: format!(
            "open a way out of more than {:.0} mm, or give the space a roof that bridges up to {:.0} mm",
            limits.way_out.value, limits.bridge_note.value
        ),
        ..departure
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boxes::{found, promise};

    #[test]
    fn a_closed_room_keeps_its_support() {
        let room = [
            ([0.0, 0.0, 0.0], [24.0, 24.0, 2.0]),
            ([0.0, 0.0, 2.0], [24.0, 2.0, 12.0]),
            ([0.0, 22.0, 2.0], [24.0, 24.0, 12.0]),
            ([0.0, 2.0, 2.0], [2.0, 22.0, 12.0]),
            ([22.0, 2.0, 2.0], [24.0, 22.0, 12.0]),
            ([0.0, 0.0, 12.0], [24.0, 24.0, 14.0]),
        ];
        let got = found(ENTRY.rule.id, &room, &promise("from-part"));
        assert_eq!(got.len(), 1);
        assert_eq!(got[0].promises, ["other"]);
        // 20 x 20 x 10.
        assert!((got[0].measured.expect("a volume") - 4000.0).abs() < 120.0);
        assert!(found(ENTRY.rule.id, &room, &promise("from-plate")).is_empty());
    }
}
