//! Parts as written: references, mirror chains, and the order in which they can be resolved.

use std::collections::BTreeMap;

use super::resolve::Defaults;
use super::{Builder, Realm};
use crate::checked::{LevelOverride, Part};
use crate::faults::Trouble;
use crate::path;
use crate::written::Entry;

impl<'a> Builder<'a, '_> {
    pub(super) fn parts(&mut self) -> Vec<Part> {
        let entries = self.root.tables("part");
        let defaults = self.defaults();
        let by_id: BTreeMap<&str, usize> = entries
            .iter()
            .enumerate()
            .rev()
            .filter_map(|(i, entry)| entry.text("id").map(|id| (id.value, i)))
            .collect();
        self.earlier_ids(&entries);
        let mirrored: Vec<Option<usize>> = entries
            .iter()
            .map(|entry| self.mirrored(entry, &by_id))
            .collect();
        let cyclic = self.cycles(&entries, &mirrored);
        let mut resolved: Vec<Option<Part>> = entries.iter().map(|_| None).collect();
        for first in 0..entries.len() {
            // Down the chain to a part that is resolved or mirrors nothing, then back up.
            let mut chain = vec![first];
            while let Some(next) = chain.last().and_then(|last| mirrored[*last])
                && !cyclic[next]
                && resolved[next].is_none()
            {
                chain.push(next);
            }
            for &i in chain.iter().rev() {
                if resolved[i].is_none() {
                    let source = mirrored[i]
                        .filter(|_| !cyclic[i])
                        .and_then(|s| resolved[s].clone());
                    resolved[i] = self.part(&entries[i], source.as_ref(), &defaults);
                }
            }
        }
        resolved.into_iter().flatten().collect()
    }

    /// Which part a part mirrors; faults where there is none.
    fn mirrored(&mut self, entry: &Entry<'a>, by_id: &BTreeMap<&str, usize>) -> Option<usize> {
        let of = entry.text("mirror-of")?;
        self.declared("part", &of, &[Realm::Parts]);
        by_id.get(of.value).copied()
    }

    /// Marks the parts whose mirrors lead back to themselves, and says so once for each ring.
    fn cycles(&mut self, entries: &[Entry<'a>], mirrored: &[Option<usize>]) -> Vec<bool> {
        let mut cyclic = vec![false; entries.len()];
        // 0: not seen; otherwise the walk that saw it.
        let mut seen = vec![0_usize; entries.len()];
        for first in 0..entries.len() {
            let walk = first + 1;
            let mut at = Some(first);
            while let Some(i) = at
                && seen[i] == 0
            {
                seen[i] = walk;
                at = mirrored[i];
            }
            let Some(ring) = at.filter(|i| seen[*i] == walk) else {
                continue;
            };
            let mut members = vec![ring];
            let mut next = mirrored[ring];
            while let Some(i) = next
                && i != ring
            {
                members.push(i);
                next = mirrored[i];
            }
            for &i in &members {
                cyclic[i] = true;
            }
            let start = members.iter().copied().min().unwrap_or(ring);
            let names: Vec<&str> = members
                .iter()
                .take(6)
                .filter_map(|i| entries[*i].text("id").map(|id| id.value))
                .collect();
            let span = entries[start]
                .span_of("mirror-of")
                .unwrap_or(entries[start].span.clone());
            let message = if members.len() == 1 {
                "a part cannot mirror itself".to_string()
            } else {
                format!("the mirrors run in a ring: {}", names.join(", "))
            };
            self.cross(
                span,
                Trouble::new(message).help("one of them needs a mesh and no `mirror-of`"),
            );
        }
        cyclic
    }

    pub(super) fn defaults(&mut self) -> Defaults<'a> {
        let table = self.root.table("defaults");
        let read = |key: &str| table.as_ref().and_then(|table| table.text(key));
        let (unit, material, settings) = (read("units"), read("material"), read("settings"));
        if let Some(id) = &material {
            self.declared("material", id, &[Realm::Materials]);
        }
        if let Some(id) = &settings {
            self.declared("settings table", id, &[Realm::Settings]);
        }
        Defaults {
            unit,
            material,
            settings,
        }
    }

    /// Levels by rule, in the order of the text.
    pub(super) fn levels(&mut self, entry: &Entry<'a>) -> Vec<LevelOverride> {
        let words = entry.words("rules");
        words
            .into_iter()
            .filter_map(|(rule, word)| {
                Some(LevelOverride {
                    rule: rule.value.to_string(),
                    level: crate::Level::of_word(word.value)?,
                    line: self.line(&rule.span),
                })
            })
            .collect()
    }

    /// A fault where a named object is asked of a file that names none.
    pub(super) fn object(&mut self, entry: &Entry<'a>) {
        if let (Some(mesh), Some(object)) = (entry.text("mesh"), entry.span_of("object"))
            && path::ending(mesh.value).as_deref() != Some("3mf")
        {
            let trouble = Trouble::new("only a 3MF has named objects");
            self.cross(object, trouble.help("leave `object` out"));
        }
    }
}
