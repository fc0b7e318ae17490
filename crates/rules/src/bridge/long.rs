//! `bridge.long`: lines laid across the air from side to side, further than they hold.

use findings::{Level, Rule, Worse};
use kit::Supports;
use measure::print::overhang::Bridge;
use mesh::vector::distance;

use crate::print::{Hit, fold, from_below, hits};
use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "bridge.long",
        title: "a long bridge",
        level: Level::Warn,
        worse: Worse::Higher,
        measures: "The span of lines in the air that are held at both ends, across the shortest way, where no supports \
                   are promised. It notes, warns or blocks by the span.",
        why: "A line across the air sags: a little over a short span, into loose threads over a long one.",
        fix: "Put a rib or a thin wall under its middle, arch it at 45 degrees, or turn the part.",
        source: "common practice, no source; He et al. 2026, Polymers 18(2):261, abstract: 60 to 140 mm as girders",
        limits: &[
            "layers.toml bridge.note",
            "layers.toml bridge.warn",
            "layers.toml bridge.block",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

/// The weight of a span and the limit it is over.
fn weight(span_mm: f64) -> Option<(Level, f64)> {
    let limits = limits::layers();
    [
        (Level::Block, limits.bridge_block.value),
        (Level::Warn, limits.bridge_warn.value),
        (Level::Note, limits.bridge_note.value),
    ]
    .into_iter()
    .find(|(_, limit)| span_mm > *limit)
}

fn judge(case: &PartCase) -> Vec<Departure> {
    let limits = limits::layers();
    let hits = hits(case, |printed| {
        if printed.supports != Supports::None {
            return None;
        }
        let long = |b: &&Bridge| weight(b.span_mm).is_some();
        let list: Vec<&Bridge> = printed.facts.overhang.bridges.iter().filter(long).collect();
        let measured = list.iter().map(|b| b.span_mm).reduce(f64::max)?;
        let (level, limit) = weight(measured)?;
        Some(Hit {
            promise: printed.promise,
            facts: printed.facts,
            level,
            measured,
            limit,
            places: list
                .iter()
                .map(|b| findings::Place {
                    measured: Some(b.span_mm),
                    along: Some(b.along),
                    reach_mm: b
                        .ends
                        .iter()
                        .map(|end| distance(b.at, *end))
                        .fold(0.0, f64::max),
                    ..from_below(
                        case,
                        b.at,
                        b.height_mm,
                        &format!("over {:.0} mm2", b.area_mm2),
                    )
                })
                .collect(),
        })
    });
    let Some((departure, worst)) = fold(case, &hits, |hit| {
        format!("{:.1} mm, at most {:.0} mm", hit.measured, hit.limit)
    }) else {
        return Vec::new();
    };
    vec![Departure {
        message: format!("a bridge of {:.1} mm", worst.measured),
        fix: format!(
            "put a rib under its middle or arch it: a span of up to {:.0} mm prints without a trace, this one is longer by {}",
            limits.bridge_note.value,
            mm(worst.measured - limits.bridge_note.value)
        ),
        ..departure
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boxes::{found, promise};

    fn over(span: f32) -> Vec<Departure> {
        let table = [
            ([0.0, 0.0, 0.0], [10.0, 10.0, 20.0]),
            ([10.0 + span, 0.0, 0.0], [20.0 + span, 10.0, 20.0]),
            ([0.0, 0.0, 20.0], [20.0 + span, 10.0, 25.0]),
        ];
        found(ENTRY.rule.id, &table, &promise("from-plate"))
    }

    #[test]
    fn the_span_sets_the_weight() {
        assert!(over(9.5).is_empty());
        for (span, level) in [
            (12.0, Level::Note),
            (35.0, Level::Warn),
            (70.0, Level::Block),
        ] {
            let got = over(span);
            assert_eq!(got[0].level, Some(level), "{span}");
            assert!((got[0].measured.expect("a span") - f64::from(span)).abs() < 0.2);
            assert_eq!(got[0].promises, ["common"]);
            assert!(got[0].places[0].along.expect("a way")[0].abs() > 0.999);
        }
    }
}
