//! `show.brim-scar`: a brim that is torn off a show face.

use findings::{Level, Place, Rule, Worse};

use super::known;
use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "show.brim-scar",
        title: "a brim torn off a show face",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "The length of the first layer's outer outline on show faces, where the settings print a brim. \
                   Where a chamfer keeps the outline back from the face above, the burr stays out of sight and does \
                   not count.",
        why: "A brim leaves a rough edge where it is torn off.",
        fix: "Chamfer the foot, turn the part so that its foot is hidden, widen the foot and drop the brim, or plan to \
              scrape the edge: away from the hand.",
        source: "common practice, no source",
        limits: &[
            "show.toml brim.length",
            "first-layer.toml spread.chamfer-height",
            "first-layer.toml spread.least",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let least = limits::show().brim_length.value;
    let Some(scar) = known(case).and_then(|show| show.brim) else {
        return Vec::new();
    };
    if scar.length_mm < least {
        return Vec::new();
    }
    let brim_mm = case.case.kit.settings_of(case.part).brim_mm;
    let first = limits::first_layer();
    // A chamfer of 45 degrees that is as deep at the middle of the first layer.
    let layer_mm = case.case.kit.settings_of(case.part).layer_mm;
    let chamfer = first.spread_least.value + layer_mm / (1.0 + 1.0);
    vec![Departure {
        measured: Some(scar.length_mm),
        limit: Some(least),
        unit: "mm",
        reading: format!(
            "{:.0} mm of {:.0} mm of outline, a brim of {}",
            scar.length_mm,
            scar.rim_mm,
            mm(brim_mm)
        ),
        message: format!("the brim is torn off {:.0} mm of show face", scar.length_mm),
        fix: format!(
            "chamfer the foot by {}, or scrape and sand the edge",
            mm(chamfer)
        ),
        places: vec![Place {
            outward: Some(scar.outward),
            note: "the first layer".to_string(),
            ..Place::at(scar.at)
        }],
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::show::BrimScar;

    fn found(length_mm: f64) -> Vec<Departure> {
        super::super::judged(ENTRY.rule.id, |show| {
            show.brim = Some(BrimScar {
                at: [10.0, 0.0, 0.1],
                outward: [0.0, -1.0, 0.0],
                length_mm,
                rim_mm: 80.0,
            });
        })
    }

    #[test]
    fn a_long_scar_is_noted_and_a_short_one_is_not() {
        let got = found(20.0);
        assert_eq!(got.len(), 1);
        assert!(
            got[0].reading.starts_with("20 mm of 80 mm"),
            "{}",
            got[0].reading
        );
        assert!(got[0].fix.starts_with("chamfer the foot by"));
        assert!(found(9.0).is_empty());
    }
}
