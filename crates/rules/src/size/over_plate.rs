//! `size.over-plate`: a part that fits a promised plate at no turn, or is too tall.

use findings::{Level, Rule, Worse};
use measure::size::Size;

use super::laid::{Laid, degrees, ids, laid, plate_words};
use crate::words::{mm, of_promises};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "size.over-plate",
        title: "a part larger than a promised plate",
        level: Level::Block,
        worse: Worse::Higher,
        measures: "The convex hull of the part's shadow in its print pose, brim included, is turned through \
                   every angle on the plate less its edge margin: between two edge directions of the hull, \
                   width and depth are sinusoids, so the best angle is found in closed form. The height is \
                   compared with the machine's. The value is the side that is over by most.",
        why: "Who owns the promised machine cannot print the part at all.",
        fix: "Stand the part another way up, split it along a joint line, or promise a larger plate.",
        source: "M. I. Shamos, Computational geometry, 1978 (rotating calipers)",
        limits: &["size.toml rounding"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    match &case.facts.size {
        Some(size) => departures(size, &laid(case)),
        None => Vec::new(),
    }
}

/// The side that is over by most: its axis (0 x, 1 y, 2 z), the part's extent and the plate's, mm.
struct Over {
    axis: usize,
    extent_mm: f64,
    plate_mm: f64,
}

impl Over {
    fn by_mm(&self) -> f64 {
        self.extent_mm - self.plate_mm
    }
}

fn worst_side(size: &Size, laid: &Laid) -> Over {
    let best = &laid.plate.best;
    let side = |axis: usize| {
        let extent_mm = best
            .size_mm
            .get(axis)
            .copied()
            .unwrap_or(size.pose_mm[axis]);
        let over = best
            .slack_mm
            .get(axis)
            .copied()
            .unwrap_or(laid.plate.height_slack_mm);
        Over {
            axis,
            extent_mm,
            plate_mm: extent_mm + over,
        }
    };
    let sides = size.pose_mm.iter().enumerate().map(|(axis, _)| side(axis));
    sides
        .reduce(|a, b| if b.by_mm() > a.by_mm() { b } else { a })
        .unwrap_or_else(|| side(0))
}

fn departures(size: &Size, laid: &[Laid]) -> Vec<Departure> {
    let hit: Vec<&Laid> = laid.iter().filter(|l| l.placed().is_none()).collect();
    let worst = hit
        .iter()
        .map(|l| (*l, worst_side(size, l)))
        .reduce(|a, b| if b.1.by_mm() > a.1.by_mm() { b } else { a });
    let Some((laid_worst, over)) = worst else {
        return Vec::new();
    };
    let promise = laid_worst.promise;
    let tall = over.axis > 1;
    let turn = laid_worst.plate.best.turn_deg;
    let at = if tall {
        "in height".to_string()
    } else if turn == 0.0 {
        "as placed, which is its best turn".to_string()
    } else {
        format!("at its best turn of {}", degrees(turn))
    };
    let [x, y, z] = size.pose_mm;
    vec![Departure {
        promises: ids(&hit),
        measured: Some(over.extent_mm),
        limit: Some(over.plate_mm),
        unit: "mm",
        reading: format!(
            "{x:.1} x {y:.1} x {z:.1} mm, over {} by {} {at}",
            plate_words(promise),
            mm(over.by_mm())
        ),
        message: format!(
            "{} than the plate of promise {}{}",
            if tall { "taller" } else { "larger" },
            promise.id,
            of_promises(hit.len(), laid.len())
        ),
        fix: fix(size, laid_worst, tall),
        ..Departure::default()
    }]
}

fn fix(size: &Size, laid: &Laid, tall: bool) -> String {
    let names = ["x", "y", "z"];
    let upright: Vec<&str> = laid
        .plate
        .would_fit_up
        .iter()
        .filter_map(|&axis| names.get(axis).copied())
        .collect();
    if !upright.is_empty() {
        return format!(
            "it fits with its own {} axis upright: set up = \"+{}\"",
            upright.join(" or "),
            upright[0]
        );
    }
    let [w, d, h] = laid.promise.plate_mm;
    let [x, y, z] = size.pose_mm;
    if tall {
        return format!(
            "shorten it by {}, split it, or promise a height of {:.0} mm (now {h})",
            mm(-laid.plate.height_slack_mm),
            z.ceil()
        );
    }
    // The longer side of the part along the longer side of the plate; what edge margin and brim take comes on top.
    let margin = laid.promise.edge_margin_mm + laid.promise.edge_margin_mm;
    let [ox, oy] = laid.plate.as_placed.size_mm;
    let (long, short) = if (ox >= oy) == (w >= d) {
        (ox, oy)
    } else {
        (oy, ox)
    };
    let longest = x.max(y);
    format!(
        "split it along its {longest:.1} mm, or promise a plate of {:.0} x {:.0} mm (now {w} x {d})",
        (long + margin).ceil(),
        (short + margin).ceil()
    )
}

#[cfg(test)]
mod tests {
    use super::super::laid::tests::{block, lay, promise};
    use super::*;

    #[test]
    fn a_part_over_two_of_three_plates_is_one_departure_with_the_worst() {
        let size = block([275.0, 210.0, 98.0]);
        let promises = [
            promise("small", [240.0, 150.0, 200.0], 0.0),
            promise("common", [220.0, 220.0, 240.0], 0.0),
            promise("large", [300.0, 300.0, 300.0], 0.0),
        ];
        let plates: Vec<_> = promises.iter().map(|p| lay(&size, p)).collect();
        let laid: Vec<Laid> = promises
            .iter()
            .zip(&plates)
            .map(|(promise, plate)| Laid { promise, plate })
            .collect();
        let got = departures(&size, &laid);
        assert_eq!(got.len(), 1);
        assert_eq!(got[0].promises, ["small", "common"]);
        assert!(
            got[0].message.contains("on 2 of 3 promises"),
            "{:?}",
            got[0]
        );
        assert!(got[0].measured > got[0].limit);
        assert!(
            got[0].fix.contains("275 x 210 mm (now 240 x 150)"),
            "{}",
            got[0].fix
        );
        assert!(departures(&size, &laid[2..]).is_empty());
    }

    #[test]
    fn a_part_too_tall_says_so_and_names_the_axis_that_would_fit() {
        let size = block([220.0, 40.0, 264.0]);
        let small = promise("p", [260.0, 220.0, 260.0], 0.0);
        let plate = lay(&size, &small);
        let laid = [Laid {
            promise: &small,
            plate: &plate,
        }];
        let got = departures(&size, &laid);
        assert_eq!((got[0].measured, got[0].limit), (Some(264.0), Some(260.0)));
        assert!(
            got[0].reading.ends_with("by 4.00 mm in height"),
            "{}",
            got[0].reading
        );
        assert!(got[0].fix.contains("up = \"+x\""), "{}", got[0].fix);
    }

    #[test]
    fn over_by_less_than_the_rounding_of_coordinates_is_no_fault() {
        let size = block([220.0, 220.005, 100.0]);
        let p = promise("p", [220.0, 220.0, 240.0], 0.0);
        let plate = lay(&size, &p);
        let laid = [Laid {
            promise: &p,
            plate: &plate,
        }];
        assert!(departures(&size, &laid).is_empty());
    }
}
