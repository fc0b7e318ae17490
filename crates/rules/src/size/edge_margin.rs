//! `size.edge-margin`: a part that fits with hardly anything left at the plate's edges.

use findings::{Level, Rule, Worse};

use super::laid::{Laid, ids, laid};
use crate::words::{mm, of_promises};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "size.edge-margin",
        title: "close to the edge of the plate",
        level: Level::Note,
        worse: Worse::Lower,
        measures: "The free width at each edge of the plate with the part centred at the turn it fits at, \
                   brim included.",
        why: "Many machines level and hold worst at the rim of the plate, and clips or a skirt need room there.",
        fix: "Promise a slightly larger plate, shorten the part, or keep its brim small.",
        source: "common practice, no source",
        limits: &["size.toml edge-margin"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    departures(&laid(case))
}

fn departures(laid: &[Laid]) -> Vec<Departure> {
    let wanted = limits::size_limits().edge_margin.value;
    let margin = |l: &Laid| l.placed().map(|p| p.margin_mm.max(0.0));
    let hit: Vec<&Laid> = laid
        .iter()
        .filter(|l| margin(l).is_some_and(|m| m < wanted))
        .collect();
    let worst = hit
        .iter()
        .filter_map(|l| Some((*l, margin(l)?)))
        .reduce(|a, b| if b.1 < a.1 { b } else { a });
    let Some((laid_worst, free)) = worst else {
        return Vec::new();
    };
    let [w, d, _] = laid_worst.promise.plate_mm;
    vec![Departure {
        promises: ids(&hit),
        measured: Some(free),
        limit: Some(wanted),
        unit: "mm",
        reading: format!("{} free at the edge, {} wanted", mm(free), mm(wanted)),
        message: format!(
            "leaves {} at the edge of the {w} x {d} mm plate of promise {}{}",
            mm(free),
            laid_worst.promise.id,
            of_promises(hit.len(), laid.len())
        ),
        fix: format!(
            "shorten it by {}, or tell builders to print it without a skirt and centred",
            mm((wanted - free) + (wanted - free))
        ),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use super::super::laid::tests::{block, lay, promise};
    use super::*;

    #[test]
    fn two_millimetres_at_each_edge_are_noted_and_three_are_not() {
        let p = promise("p", [220.0, 220.0, 240.0], 0.0);
        let margin = |side: f32| {
            let plate = lay(&block([side, 20.0, 20.0]), &p);
            departures(&[Laid {
                promise: &p,
                plate: &plate,
            }])
            .first()
            .and_then(|d| d.measured)
        };
        assert_eq!(margin(216.0), Some(2.0));
        assert_eq!(margin(214.0), None);
        assert_eq!(margin(100.0), None);
    }
}
