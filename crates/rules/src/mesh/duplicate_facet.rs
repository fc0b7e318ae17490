//! `mesh.duplicate-facet`: facets that are there twice.

use findings::{Level, Rule, Worse};
use measure::soundness::Soundness;

use super::sound;
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.duplicate-facet",
        title: "facets that are there twice",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Facets with the same three vertices: with the same winding, a second copy; with opposite winding \
                   within one shell, two back to back.",
        why: "A second copy adds nothing and is left out of every sum; back to back they enclose nothing. Both \
                   print as if they were not there, but crowd the edges they lie on.",
        fix: "Delete duplicate faces in the modeller before exporting.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let (copies, backs) = (&facts.repeated, &facts.opposed);
    let all = copies.count + backs.count;
    if all == 0 {
        return None;
    }
    let n = count(all as u64, "facet", "facets");
    let places: Vec<_> = sound::spots(copies)
        .into_iter()
        .chain(sound::spots(backs))
        .collect();
    let most = limits::soundness_limits().most_places.value as usize;
    Some(Departure {
        measured: Some(all as f64),
        limit: Some(0.0),
        unit: "facets",
        reading: format!(
            "{n} twice: {} the same way, {} back to back",
            copies.count, backs.count
        ),
        places: places.into_iter().take(most).collect(),
        places_total: all,
        message: format!("has {n} twice"),
        fix: "nothing is needed to print it; delete duplicate faces before exporting".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;

    #[test]
    fn copies_and_backs_are_told_apart() {
        let mut b = block();
        b.push(b[3]);
        let got = departures(&facts(&b, &[])).expect("a copy");
        assert_eq!(got.reading, "1 facet twice: 1 the same way, 0 back to back");
        let t = [[30.0, 0.0, 0.0], [35.0, 0.0, 0.0], [30.0, 5.0, 0.0]];
        let pillow = [block(), vec![t, [t[0], t[2], t[1]]]].concat();
        let got = departures(&facts(&pillow, &[])).expect("a pillow");
        assert_eq!(got.reading, "1 facet twice: 0 the same way, 1 back to back");
        assert!(departures(&facts(&block(), &[])).is_none());
    }
}
