//! `regression.worse`: a changed part that is worse than what was signed off.

use findings::{Level, Place, Rule, Worse};

use crate::measures::ENGINE;
use crate::signoff::{Pair, changed, differences};
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "regression.worse",
        title: "a changed part that is worse than what was signed off",
        level: Level::Block,
        worse: Worse::Higher,
        measures: "By how many per cent a value of a part whose mesh or settings changed is worse than in \
                   signoff.toml; what is worse by less than the tolerated share, or by less than the measure's \
                   resolution, does not count. Of several the worst is given.",
        why: "A change of the design may cost printability without breaking a limit: walls that were strong \
              become just strong enough.",
        fix: "Mend the part; or, where the change is meant, look at both values and take them as signed off with \
              `kitproof accept`.",
        source: "common practice, no source",
        limits: &["signoff.toml worse"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let Some(signed) = case.case.signed else {
        return Vec::new();
    };
    let Some((then, now)) = signed.part(&case.part.id) else {
        return Vec::new();
    };
    if !changed(then, now) {
        return Vec::new();
    }
    let mut worse: Vec<(f64, Pair)> = differences(then, case.facts)
        .into_iter()
        .filter_map(|pair| Some((pair.worse_by()?, pair)))
        .collect();
    worse.sort_by(|(a, _), (b, _)| b.total_cmp(a));
    let Some((share, worst)) = worse.first() else {
        return Vec::new();
    };
    let tolerated = limits::signoff().worse.value;
    let measure = worst.measure;
    let others: Vec<&str> = worse.iter().skip(1).map(|(_, p)| p.measure.title).collect();
    let place = (measure.at)(case.facts).map(|at| Place {
        note: measure.title.into(),
        ..Place::at(at)
    });
    let engine = signed.accepted.engine;
    let other_engine = if engine == ENGINE {
        String::new()
    } else {
        format!("; signed off by way of measuring {engine}, measured by {ENGINE}")
    };
    vec![Departure {
        measured: Some(*share),
        limit: Some(tolerated),
        unit: "%",
        reading: format!(
            "{} {}, signed off {}: {share:.0} % worse, tolerates {tolerated} %{other_engine}",
            measure.title,
            measure.say(worst.now),
            measure.say(worst.then),
        ),
        places: place.into_iter().collect(),
        message: match others.len() {
            0 => format!("{} is worse than signed off", measure.title),
            n => format!(
                "{} is worse than signed off, and so {} more: {}",
                measure.title,
                count(n as u64, "is one", "are"),
                others.join("; ")
            ),
        },
        fix: format!(
            "mend the part; where the change is meant, run `kitproof accept --part {}`",
            case.part.id
        ),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::{Trial, found};

    fn worse(then: f64, now: f64, mesh_changed: bool) -> Vec<Departure> {
        let trial = Trial {
            then,
            now,
            mesh_changed,
            ..Trial::default()
        };
        found(ENTRY.rule.id, &trial)
    }

    /// Areas of plane rectangles: 100 mm2 down to 80 mm2 is 20 % less.
    #[test]
    fn a_changed_part_may_be_worse_by_less_than_the_tolerated_share() {
        let got = worse(100.0, 80.0, true);
        assert_eq!(got.len(), 1);
        assert!((got[0].measured.expect("a share") - 20.0).abs() < 0.5);
        assert_eq!(got[0].parts, ["left"]);
        assert_eq!(got[0].places.len(), 1);
        assert!(worse(100.0, 96.0, true).is_empty(), "4 %");
        assert!(worse(100.0, 130.0, true).is_empty(), "it is better");
        assert!(
            worse(10.5, 10.0, true).is_empty(),
            "half a square millimetre is below the resolution"
        );
    }

    #[test]
    fn an_unchanged_part_is_never_worse() {
        assert!(worse(100.0, 80.0, false).is_empty());
    }
}
