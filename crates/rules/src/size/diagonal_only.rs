//! `size.diagonal-only`: a part that fits a plate neither as placed nor turned by a quarter.

use findings::{Level, Rule, Worse};

use super::laid::{Laid, degrees, ids, laid};
use crate::words::{mm, of_promises};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "size.diagonal-only",
        title: "fits a plate only when turned by an angle",
        level: Level::Note,
        worse: Worse::Lower,
        measures: "The room left on the plate at the best angle, where the part fits neither as placed nor \
                   turned by 90 degrees.",
        why: "A builder who loads the part as filed is told that it is too large, and gives up.",
        fix: "Say the angle in the guide, or file the part already turned.",
        source: "J. E. Wetzel, Rectangles in rectangles, Mathematics Magazine 73(3), 2000",
        limits: &["size.toml rounding"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    departures(&laid(case))
}

fn is_diagonal(laid: &Laid) -> bool {
    laid.placed().is_some_and(|placed| {
        placed.turn_deg != laid.plate.as_placed.turn_deg
            && placed.turn_deg != laid.plate.quarter.turn_deg
    })
}

fn departures(laid: &[Laid]) -> Vec<Departure> {
    let hit: Vec<&Laid> = laid.iter().filter(|l| is_diagonal(l)).collect();
    let worst = hit
        .iter()
        .filter_map(|l| Some((*l, l.placed()?)))
        .reduce(|a, b| {
            if b.1.least_slack_mm() < a.1.least_slack_mm() {
                b
            } else {
                a
            }
        });
    let Some((laid_worst, placed)) = worst else {
        return Vec::new();
    };
    let slack = placed.least_slack_mm().max(0.0);
    let range = laid_worst
        .plate
        .ranges_deg
        .iter()
        .find(|[from, to]| (*from..=*to).contains(&placed.turn_deg))
        .map(|[from, to]| format!("; it fits from {from:.0} to {to:.0}"))
        .unwrap_or_default();
    vec![Departure {
        promises: ids(&hit),
        measured: Some(slack),
        unit: "mm",
        reading: format!(
            "{} to spare at {}{range}",
            mm(slack),
            degrees(placed.turn_deg)
        ),
        message: format!(
            "fits the plate of promise {} only turned by {}{}",
            laid_worst.promise.id,
            degrees(placed.turn_deg),
            of_promises(hit.len(), laid.len())
        ),
        fix: format!(
            "tell builders to turn it by {} on the plate, or file it so",
            degrees(placed.turn_deg)
        ),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use super::super::laid::tests::{block, lay, promise};
    use super::*;

    #[test]
    fn a_long_neck_says_its_angle_and_a_short_one_says_nothing() {
        let p = promise("p", [220.0, 220.0, 240.0], 0.0);
        let long = lay(&block([234.5, 40.0, 20.0]), &p);
        let got = departures(&[Laid {
            promise: &p,
            plate: &long,
        }]);
        assert!(
            got[0].message.contains("only turned by 45 degrees"),
            "{:?}",
            got[0]
        );
        // 220 - (234.5 + 40) / sqrt 2 = 25.9 (a bar at 45 degrees).
        assert!(
            got[0].reading.starts_with("25.90 mm to spare"),
            "{:?}",
            got[0]
        );
        let short = lay(&block([40.0, 219.0, 20.0]), &p);
        assert!(
            departures(&[Laid {
                promise: &p,
                plate: &short
            }])
            .is_empty()
        );
    }

    #[test]
    fn a_quarter_turn_is_no_diagonal() {
        let p = promise("p", [240.0, 150.0, 240.0], 0.0);
        let turned = lay(&block([100.0, 200.0, 20.0]), &p);
        assert!(
            departures(&[Laid {
                promise: &p,
                plate: &turned
            }])
            .is_empty()
        );
    }
}
