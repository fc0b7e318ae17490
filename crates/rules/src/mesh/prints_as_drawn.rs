//! `mesh.prints-as-drawn`: several faults of a mesh that show in no layer, in one note.
//!
//! Each fault has its own rule. Where a part has two or more that are notes only, and its layers come out the same
//! however they are read, their findings are told as this one; no place is lost. A fault that a kit or a part weighs
//! more, or that is waived, stays a finding of its own.

use std::collections::BTreeMap;

use findings::{Level, Rule, Worse};

use super::ambiguous;
use crate::judge::{level_at, waiver};
use crate::words::count;
use crate::{Case, Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.prints-as-drawn",
        title: "faults of the mesh that show in no layer",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Cracks, slivers, facets without area or there twice, edges with more than two facets, sheets that \
                   touch, shells that overlap: where a part has several kinds, and the layers are the same by \
                   every reading (`mesh.ambiguous`), they are one note. The value is the number of kinds; the rules \
                   of each explain it.",
        why: "They print as drawn. A strict reader may still refuse the file, and later edits may suffer.",
        fix: "Nothing is needed to print it; a union and a repair in the modeller make one plain surface.",
        source: "3MF core specification 1.4, 4.1: what a mesh should be, beside what it must",
        limits: &["ambiguity.toml doubt"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

/// The rules that are told together.
static HARMLESS: &[&Entry] = &[
    &super::crack::ENTRY,
    &super::crowded_edge::ENTRY,
    &super::degenerate::ENTRY,
    &super::duplicate_facet::ENTRY,
    &super::nested_shell::ENTRY,
    &super::pinched_vertex::ENTRY,
    &super::self_overlap::ENTRY,
    &super::shells_crossing::ENTRY,
    &super::shells_touching::ENTRY,
    &super::sliver::ENTRY,
    &super::turned_facet::ENTRY,
];

/// What is told together: rules by part.
pub(crate) struct Folded(BTreeMap<String, Vec<&'static str>>);

impl Folded {
    /// Whether a departure is told by `mesh.prints-as-drawn`.
    pub(crate) fn holds(&self, entry: &Entry, departure: &Departure) -> bool {
        let rules = departure.parts.first().and_then(|part| self.0.get(part));
        rules.is_some_and(|rules| rules.contains(&entry.rule.id))
    }
}

/// What of a kit is told together.
pub(crate) fn folded(case: &Case) -> Folded {
    let parts = case.kit.parts.iter().zip(case.parts);
    Folded(
        parts
            .map(|(part, facts)| {
                let together = together(&PartCase { case, part, facts });
                let rules = together.iter().map(|(entry, _)| entry.rule.id);
                (part.id.clone(), rules.collect())
            })
            .collect(),
    )
}

/// The departures of a part that are told together: none, or two and more.
fn together(case: &PartCase) -> Vec<(&'static Entry, Departure)> {
    if !ambiguous::as_drawn(case.facts) {
        return Vec::new();
    }
    let mut found = Vec::new();
    for &entry in HARMLESS {
        let Judge::Part(judge) = entry.judge else {
            continue;
        };
        for mut departure in judge(case) {
            departure.parts.push(case.part.id.clone());
            let note = level_at(case.case, entry, &departure) == Level::Note;
            if note && waiver(case.case, entry, &departure).is_none() {
                found.push((entry, departure));
            }
        }
    }
    if found.len() > 1 { found } else { Vec::new() }
}

fn judge(case: &PartCase) -> Vec<Departure> {
    let together = together(case);
    if together.is_empty() {
        return Vec::new();
    }
    let kinds = together.len();
    let most = limits::soundness_limits().most_places.value as usize;
    let total = |d: &Departure| d.places_total.max(d.places.len());
    let names: Vec<String> = together
        .iter()
        .map(|(entry, d)| format!("{} ({})", entry.rule.title, total(d)))
        .collect();
    let places = together.iter().flat_map(|(entry, d)| {
        d.places.iter().map(|place| {
            let mut place = place.clone();
            place.note = if place.note.is_empty() {
                entry.rule.id.to_string()
            } else {
                format!("{}: {}", entry.rule.id, place.note)
            };
            place
        })
    });
    let layers = case
        .facts
        .ambiguity
        .iter()
        .flatten()
        .map(|a| a.layers)
        .max();
    let empty = ambiguous::left_empty(case.facts);
    vec![Departure {
        measured: Some(kinds as f64),
        unit: "kinds",
        reading: match layers {
            Some(layers) if layers > 0 => format!(
                "{} give one reading{empty}",
                count(layers as u64, "layer", "layers")
            ),
            _ => "none that could show in a layer".to_string(),
        },
        places: places.take(most).collect(),
        places_total: together.iter().map(|(_, d)| total(d)).sum(),
        message: format!("prints as drawn, with {}", names.join(", ")),
        fix: "nothing is needed to print it; a union and a repair in the modeller please strict readers"
            .into(),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;
    use crate::sample;
    use findings::Verdict;
    use measure::{Ambiguity, Beside};

    /// A block with a sliver, and with a facet stored twice where asked; its layers are as drawn where said.
    fn verdict(twice: bool, as_drawn: bool, more: &str) -> Verdict {
        let mut b = block();
        b.push([[0.0, 0.0, 30.0], [20.0, 0.0, 30.0], [10.0, 0.0005, 30.0]]);
        b.push([[0.0, 0.0, 30.0], [10.0, 0.0005, 30.0], [20.0, 0.0, 30.0]]);
        if twice {
            b.push(b[3]);
        }
        let mut all = sample::facts(0.0);
        all[0].soundness = Some(facts(&b, &[]));
        all[0].ambiguity = as_drawn.then(|| Ok(Ambiguity::default()));
        let kit = sample::kit(more);
        crate::judge(&Case {
            against: None,
            purpose: crate::Purpose::Check,
            kit: &kit,
            parts: &all,
            beside: &Beside::default(),
            as_of: kit::Date::parse("2026-11-25").expect("a day"),
            signed: None,
        })
    }

    fn rules(verdict: &Verdict) -> Vec<&str> {
        verdict.findings.iter().map(|f| f.rule.as_str()).collect()
    }

    #[test]
    fn two_kinds_are_one_note_that_holds_the_places_of_both() {
        let v = verdict(true, true, "");
        assert!(!rules(&v).contains(&"mesh.sliver"));
        let note = v
            .findings
            .iter()
            .find(|f| f.rule == "mesh.prints-as-drawn")
            .expect("one note");
        assert!(note.message.contains("slivers (2)"), "{}", note.message);
        assert!(
            note.places
                .iter()
                .any(|p| p.note.starts_with("mesh.duplicate-facet"))
        );
        assert!(
            note.places
                .iter()
                .any(|p| p.note.starts_with("mesh.sliver"))
        );
    }

    #[test]
    fn they_stay_apart_where_layers_were_not_looked_at_or_one_weighs_more() {
        let v = verdict(true, false, "");
        assert!(rules(&v).contains(&"mesh.sliver"));
        assert!(!rules(&v).contains(&"mesh.prints-as-drawn"));
        let v = verdict(true, true, "[rules]\n\"mesh.sliver\" = \"warn\"\n");
        assert!(rules(&v).contains(&"mesh.sliver"));
    }
}
