//! How parts meet: fits and holes; and what parts were called before.

use std::collections::BTreeMap;

use super::{Builder, Realm};
use crate::checked::{Fit, FitKind, Hole, HoleUse};
use crate::faults::Trouble;
use crate::turn;
use crate::written::{At, Entry};

impl<'a> Builder<'a, '_> {
    pub(super) fn fits(&mut self) -> Vec<Fit> {
        let mut fits = Vec::new();
        let entries = self.root.tables("fit");
        self.unique("fit", &entries);
        for entry in entries {
            let parts = entry.texts("parts");
            for part in &parts {
                let among = [Realm::Parts, Realm::References];
                self.declared("part or reference", part, &among);
            }
            let Some(span) = entry.span_of("parts") else {
                continue;
            };
            let [first, second] = parts.as_slice() else {
                let trouble = Trouble::new(format!(
                    "a fit is between two, and here are {}",
                    parts.len()
                ));
                self.cross(
                    span,
                    trouble.expected("two ids: parts = [\"lid\", \"box\"]"),
                );
                continue;
            };
            let kind = entry.text("kind").and_then(|word| {
                FitKind::ALL
                    .into_iter()
                    .find(|kind| kind.word() == word.value)
            });
            let (Some(id), Some(kind)) = (entry.text("id"), kind) else {
                continue;
            };
            fits.push(Fit {
                id: id.value.to_string(),
                parts: [first.value.to_string(), second.value.to_string()],
                kind,
                gap_mm: entry.numbers("gap").map(|gap| gap.value),
                insert: entry.direction("insert").and_then(|d| turn::unit(d.value)),
                masked: entry.flag("masked").is_some_and(|flag| flag.value),
                line: self.line(&entry.span),
            });
        }
        fits
    }

    pub(super) fn holes(&mut self) -> Vec<Hole> {
        let mut holes = Vec::new();
        for entry in self.root.tables("hole") {
            let Some(part) = entry.text("part") else {
                continue;
            };
            self.declared("part", &part, &[Realm::Parts]);
            let axis = entry.direction("axis").and_then(|d| turn::unit(d.value));
            let (Some(at), Some(axis)) = (entry.numbers("at"), axis) else {
                continue;
            };
            holes.push(Hole {
                part: part.value.to_string(),
                at: at.value,
                axis,
                takes: entry.text("takes").map(|text| text.value.to_string()),
                purpose: entry.text("use").and_then(|word| {
                    HoleUse::ALL
                        .into_iter()
                        .find(|purpose| purpose.word() == word.value)
                }),
                line: self.line(&entry.span),
            });
        }
        holes
    }

    /// Checks the earlier ids of all parts: each names one part, and no part of today.
    pub(super) fn earlier_ids(&mut self, entries: &[Entry<'a>]) {
        let mut taken: BTreeMap<&str, At<&str>> = BTreeMap::new();
        for entry in entries {
            for id in entry.one_or_texts("was") {
                if let Some(line) = self.ids.parts.get(id.value) {
                    let own = entry.text("id").is_some_and(|own| own.value == id.value);
                    let trouble = if own {
                        Trouble::new(format!("`{}` is the part's own id", id.value))
                            .expected("an id that it had in an earlier release")
                    } else {
                        Trouble::new(format!(
                            "`{}` is the id of another part, line {line}",
                            id.value
                        ))
                        .expected("an id that no part has today: ids are not used twice")
                    };
                    self.cross(id.span.clone(), trouble);
                } else if let Some(first) = taken.get(id.value) {
                    let there = self.line(&first.span);
                    let trouble = Trouble::new(format!(
                        "`{}` is an earlier id of two parts; first on line {there}",
                        id.value
                    ));
                    self.cross(
                        id.span.clone(),
                        trouble.help("keep it at the part that takes the old one's place"),
                    );
                } else {
                    taken.insert(id.value, id);
                }
            }
        }
    }
}
