//! `stability.tips`: stands on too little for its height.

use findings::{Level, Place, Rule, Worse};
use measure::print::mending::{self, Enough, Pads};
use measure::print::{Frame, Tip};

use super::{Printed, lying, printed, promises};
use crate::words::{mm, of_promises};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "stability.tips",
        title: "stands on too little for its height",
        level: Level::Warn,
        worse: Worse::Lower,
        measures: "At every height of the growing part, for each body that stands for itself: the angle at which it \
                   tips by its own weight, from its centroid and the hull of its contact, and the grip of the plate, \
                   contact times the distance from its middle to its edge over height. Either is enough. The brim \
                   counts.",
        why: "The nozzle pushes at the top of a tall part. What stands on little is knocked off the plate, late in \
              the print.",
        fix: "Widen the foot, put pads at its ends, give it a brim, or lay it down.",
        source: "statics of a rigid body; limits: common practice, no source",
        limits: &[
            "stability.toml tips.lean",
            "stability.toml tips.grip",
            "stability.toml tips.widest-foot",
            "stability.toml tips.long-foot",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let limits = limits::stability();
    let enough = Enough {
        lean_deg: limits.lean.value,
        grip_mm2: limits.grip.value,
    };
    let all = printed(case);
    let hits: Vec<&Printed> = all.iter().filter(|p| falls(p, &enough)).collect();
    let lean = |p: &Printed| p.facts.stability.tip_deg().unwrap_or(f64::INFINITY);
    let Some(worst) = hits
        .iter()
        .copied()
        .reduce(|a, b| if lean(b) < lean(a) { b } else { a })
    else {
        return Vec::new();
    };
    let stability = &worst.facts.stability;
    let Some(tip) = &stability.tip else {
        return Vec::new();
    };
    let brim = stability.brim_mm;
    let (lean, grip) = (tip.lean_deg(brim), tip.grip_mm2(brim));
    let broken = promises(&hits);
    let offered = case.case.kit.promises_for(case.part).len();
    let foot = mending::foot_mm(tip, brim, &enough, limits.widest_foot.value);
    let pads = mending::pads(
        tip,
        &enough,
        limits.long_foot.value,
        limits.widest_foot.value,
    );
    vec![Departure {
        measured: Some(lean),
        limit: Some(enough.lean_deg),
        unit: "deg",
        reading: format!(
            "{}; a grip of {grip:.1} mm2, needs {}{}",
            if lean < 0.0 {
                format!(
                    "its centroid is {} outside its foot",
                    mm(-tip.arm_mm - brim)
                )
            } else {
                format!("tips at {lean:.1} degrees, needs {}", enough.lean_deg)
            },
            enough.grip_mm2,
            of_promises(broken.len(), offered)
        ),
        promises: broken,
        places: places(tip, &worst.facts.frame, pads.as_ref()),
        places_total: 1,
        message: if lean < 0.0 {
            format!(
                "leans over its {:.0} mm2 of plate once it has grown to {:.1} mm",
                tip.foot.contact_mm2, tip.grown_mm
            )
        } else {
            format!(
                "{:.1} mm tall on {:.0} mm2 of plate: easily knocked over",
                tip.grown_mm, tip.foot.contact_mm2
            )
        },
        fix: fix(foot, pads.as_ref(), lying(stability.lying.as_ref()), brim),
        ..Departure::default()
    }]
}

/// Whether a part falls on a promise. What leans over its own foot is held where supports are allowed.
fn falls(printed: &Printed, enough: &Enough) -> bool {
    let stability = &printed.facts.stability;
    let (Some(lean), Some(grip)) = (stability.tip_deg(), stability.grip_mm2()) else {
        return false;
    };
    lean < enough.lean_deg && grip < enough.grip_mm2 && !(printed.supports && lean < 0.0)
}

fn places(tip: &Tip, frame: &Frame, pads: Option<&Pads>) -> Vec<Place> {
    let on_plate = |[x, y]: [f64; 2]| Place::at(frame.to_mesh([x, y, 0.0]));
    let [x, y, _] = tip.centroid_mm;
    let away = [tip.edge_mm[0] - x, tip.edge_mm[1] - y, 0.0];
    let away = if tip.arm_mm < 0.0 {
        mesh::vector::scale(away, -1.0)
    } else {
        away
    };
    let mut edge = on_plate(tip.edge_mm).noting("it tips over this edge");
    edge.outward = mesh::vector::unit(away).map(|d| frame.direction(d));
    let mut out = vec![edge];
    if let Some(pads) = pads {
        let named = ["pad A", "pad B"];
        out.extend(
            pads.ends_mm
                .iter()
                .zip(named)
                .map(|(&end, name)| on_plate(end).noting(name)),
        );
    }
    out
}

fn fix(foot_mm: Option<f64>, pads: Option<&Pads>, lying: Option<String>, brim_mm: f64) -> String {
    let mut ways: Vec<String> = Vec::new();
    if let Some(wider) = foot_mm {
        ways.push(format!(
            "make its foot {wider:.0} mm wider all round (brim = {} does it too)",
            brim_mm + wider
        ));
    }
    if let Some(pads) = pads {
        ways.push(format!(
            "put a round pad of {:.0} mm at each end, A and B",
            pads.diameter_mm
        ));
    }
    ways.extend(lying);
    if ways.is_empty() {
        return "turn it, or split it, so that it stands on a wider foot".into();
    }
    ways.join(", or ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;
    use crate::stability::slender::tests::printed_box;
    use measure::Beside;

    fn found(size: [f32; 3], more: &str) -> Vec<Departure> {
        let kit = sample::kit(more);
        let mut facts = sample::facts(0.0);
        facts[0].print = Some(printed_box(&kit, size));
        sample::found(ENTRY.rule.id, &kit, &facts, &Beside::default())
    }

    /// Statics: atan(5 / 30) = 9.4623 degrees, and a grip of 100 x 5 / 60 = 8.3 mm2: it stands.
    #[test]
    fn a_tower_of_ten_by_ten_by_sixty_stands_and_a_pin_does_not() {
        assert!(found([10.0, 10.0, 60.0], "").is_empty());
        let got = found([6.0, 6.0, 100.0], "");
        assert_eq!(got.len(), 1);
        assert!(
            got[0].fix.contains("3 mm wider all round (brim = 3"),
            "{}",
            got[0].fix
        );
        assert!(
            got[0].fix.contains("lay it down with up = \""),
            "{}",
            got[0].fix
        );
        assert!(!got[0].fix.contains("pad"), "{}", got[0].fix);
    }

    #[test]
    fn a_pane_gets_pads_at_its_ends() {
        let got = found([40.0, 1.0, 60.0], "");
        assert!(
            got[0]
                .fix
                .contains("a round pad of 8 mm at each end, A and B"),
            "{}",
            got[0].fix
        );
        assert_eq!(got[0].places.len(), 3);
        assert_eq!(got[0].places_total, 1);
        for pad in &got[0].places[1..] {
            assert!(
                (pad.at[1] - 0.5).abs() < 1e-6 && pad.at[2].abs() < 1e-6,
                "{pad:?}"
            );
        }
    }
}
