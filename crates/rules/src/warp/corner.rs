//! `warp.corner`: the parts of a kit most inclined to lift at their corners.

use findings::{Level, Place, Rule, Worse};
use kit::Part;
use measure::print::{PrintFacts, Warp};

use crate::words::{count, mm};
use crate::{Case, Departure, Entry, Judge};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "warp.corner",
        title: "the parts most inclined to lift at their corners",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "The lift that a model of cooling layers gives for the longest side of the contact, at the \
                   settings' own layer height. It is used to rank the parts of a kit and is no forecast: grip and \
                   slow cooling are not in it.",
        why: "Layers shrink as they cool and pull the corners of a long contact up. Sharp corners lift first.",
        fix: "Give the part a brim, round its corners on the plate, or print it in a material that shrinks less.",
        source: "Wang, Xi, Jin 2007, International Journal of Advanced Manufacturing Technology 33, 1087-1096 (from \
                 memory, derived again); limits: common practice, no source",
        limits: &[
            "stability.toml warp.lift",
            "stability.toml warp.height",
            "stability.toml warp.chamber",
            "stability.toml warp.brim",
            "stability.toml warp.parts",
        ],
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

struct Ranked<'a> {
    part: &'a Part,
    facts: &'a PrintFacts,
    warp: &'a Warp,
    rank: usize,
}

fn judge(case: &Case) -> Vec<Departure> {
    let limits = limits::stability();
    let mut ranked: Vec<Ranked> = case
        .kit
        .parts
        .iter()
        .zip(case.parts)
        .filter_map(|(part, facts)| {
            let facts = facts.print.as_ref()?.as_ref().ok()?.first()?;
            let warp = facts.warp.as_ref()?;
            Some(Ranked {
                part,
                facts,
                warp,
                rank: warp.rank?,
            })
        })
        .filter(|r| {
            r.warp.lift_mm >= limits.lift.value
                && !r.warp.corners.is_empty()
                && r.facts.stability.brim_mm < limits.warp_brim.value
        })
        .collect();
    ranked.sort_by_key(|r| r.rank);
    ranked.truncate(limits.warp_parts.value as usize);
    let Some(worst) = ranked.first() else {
        return Vec::new();
    };
    let corners = &worst.warp.corners;
    let others: Vec<String> = ranked.iter().skip(1).map(|r| r.part.id.clone()).collect();
    vec![Departure {
        parts: ranked.iter().map(|r| r.part.id.clone()).collect(),
        measured: Some(worst.warp.lift_mm),
        limit: Some(limits.lift.value),
        unit: "mm by the model",
        reading: format!(
            "{} by the model, over a contact of {:.0} mm that shrinks by {}; a ranking, no forecast",
            mm(worst.warp.lift_mm),
            worst.warp.contact_length_mm,
            mm(worst.warp.shrink_mm)
        ),
        places: corners
            .iter()
            .map(|c| Place {
                note: format!("corner of {:.0} degrees", c.turn_deg),
                ..Place::at(worst.facts.frame.to_mesh([c.at[0], c.at[1], 0.0]))
            })
            .collect(),
        message: if others.is_empty() {
            format!(
                "{} on the plate may lift",
                count(corners.len() as u64, "sharp corner", "sharp corners")
            )
        } else {
            format!(
                "sharp corners on the plate may lift, on {} first, then on {}",
                worst.part.id,
                others.join(" and ")
            )
        },
        fix: format!(
            "set brim = {} in its settings, or round its corners on the plate",
            limits.warp_brim.value
        ),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;
    use crate::stability::slender::tests::printed_box;
    use measure::Beside;
    use measure::print::warp;

    fn found(left: [f32; 3], right: [f32; 3], more: &str) -> Vec<Departure> {
        let kit = sample::kit(more);
        let mut facts = sample::facts(0.0);
        facts[0].print = Some(printed_box(&kit, left));
        facts[1].print = Some(printed_box(&kit, right));
        warp::rank(&mut facts, crate::warp::least_height_mm());
        sample::found(ENTRY.rule.id, &kit, &facts, &Beside::default())
    }

    /// 150 mm of PLA in 20 layers of 0.2 mm: 0.504 mm by the model's worked value.
    #[test]
    fn the_worst_come_first_in_one_note() {
        let got = found([150.0, 40.0, 4.0], [200.0, 40.0, 4.0], "");
        assert_eq!(got.len(), 1);
        assert_eq!(got[0].parts, ["right", "left"]);
        assert_eq!(got[0].places.len(), 4);
        assert!(
            got[0].message.ends_with("on right first, then on left"),
            "{:?}",
            got[0]
        );
        let one = found([150.0, 40.0, 4.0], [40.0, 40.0, 4.0], "");
        assert_eq!(one[0].parts, ["left"]);
        assert!((one[0].measured.expect("a lift") - 0.504).abs() < 1e-3);
    }

    #[test]
    fn short_tall_and_thin_parts_are_none() {
        assert!(found([140.0, 40.0, 4.0], [150.0, 40.0, 2.0], "").is_empty());
        assert!(found([150.0, 40.0, 8.0], [40.0, 40.0, 4.0], "").is_empty());
    }
}
