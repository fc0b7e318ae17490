//! The smaller tables: poses, references, files, waivers, changes.

use std::collections::BTreeMap;

use super::{Builder, Realm};
use crate::checked::{
    Change, ClassWord, End, FileEntry, FileKind, MeshFile, Pose, Reference, Repeat, Waiver,
};
use crate::faults::Trouble;
use crate::revision::Revision;
use crate::unit::Unit;
use crate::{path, turn};

impl Builder<'_, '_> {
    pub(super) fn poses(&mut self) -> Vec<Pose> {
        let mut poses = Vec::new();
        for entry in self.root.tables("pose") {
            let Some(part) = entry.text("part") else {
                continue;
            };
            self.declared(
                "part or reference",
                &part,
                &[Realm::Parts, Realm::References],
            );
            let repeat = entry.table("repeat").and_then(|repeat| {
                Some(Repeat {
                    count: repeat.whole("count")?.value,
                    about: turn::unit(repeat.direction("about")?.value)?,
                    through: repeat.numbers("through").map_or([0.0; 3], |v| v.value),
                })
            });
            poses.push(Pose {
                part: part.value.to_string(),
                turn_deg: entry.numbers("turn").map_or([0.0; 3], |v| v.value),
                move_mm: entry.numbers("move").map_or([0.0; 3], |v| v.value),
                repeat,
                line: self.line(&entry.span),
            });
        }
        poses
    }

    pub(super) fn references(&mut self) -> Vec<Reference> {
        let default = self
            .root
            .table("defaults")
            .and_then(|table| table.text("units"));
        let mut references = Vec::new();
        for entry in self.root.tables("reference") {
            self.object(&entry);
            let (Some(id), Some(mesh)) = (entry.text("id"), entry.text("mesh")) else {
                continue;
            };
            let states_its_own = path::ending(mesh.value).as_deref() == Some("3mf");
            let word = match entry.text("units") {
                Some(word) => Some(word),
                None if states_its_own => None,
                None => default.clone(),
            };
            if word.is_none() && !states_its_own {
                let trouble = Trouble::new("nothing says which unit this mesh is in")
                    .expected("`units` here or in [defaults]");
                self.cross(mesh.span.clone(), trouble);
            }
            references.push(Reference {
                id: id.value.to_string(),
                mesh: MeshFile {
                    path: mesh.value.to_string(),
                    object: entry.text("object").map(|object| object.value.to_string()),
                },
                unit: word.and_then(|word| Unit::of_word(word.value)),
                ship: entry.flag("ship").is_some_and(|flag| flag.value),
                line: self.line(&entry.span),
            });
        }
        references
    }

    pub(super) fn files(&mut self) -> Vec<FileEntry> {
        let mut files = Vec::new();
        let mut seen: BTreeMap<String, usize> = BTreeMap::new();
        for entry in self.root.tables("file") {
            let Some(path) = entry.text("path") else {
                continue;
            };
            let line = self.line(&entry.span);
            match seen.get(&path.value.to_lowercase()) {
                Some(first) => {
                    let trouble = Trouble::new(format!(
                        "`{}` is listed twice; first on line {first}",
                        path.value
                    ));
                    self.cross(path.span.clone(), trouble.help("leave one of them out"));
                }
                None => {
                    seen.insert(path.value.to_lowercase(), line);
                }
            }
            let word = entry.text("kind").map(|word| word.value);
            files.push(FileEntry {
                path: path.value.to_string(),
                kind: FileKind::ALL
                    .into_iter()
                    .find(|kind| Some(kind.word()) == word)
                    .unwrap_or(FileKind::Other),
                text: entry.text("text").map(|text| text.value.to_string()),
                line,
            });
        }
        files
    }

    pub(super) fn waivers(&mut self) -> Vec<Waiver> {
        let mut waivers = Vec::new();
        for entry in self.root.tables("waiver") {
            let part = entry.text("part");
            if let Some(id) = &part {
                self.declared("part", id, &[Realm::Parts]);
            }
            let by_revision = entry
                .text("until-revision")
                .and_then(|text| Revision::parse(text.value))
                .map(End::Revision);
            let until =
                by_revision.or_else(|| entry.date("until").map(|date| End::Date(date.value)));
            let (Some(rule), Some(reason), Some(until)) =
                (entry.text("rule"), entry.text("reason"), until)
            else {
                continue;
            };
            waivers.push(Waiver {
                rule: rule.value.to_string(),
                part: part.map(|id| id.value.to_string()),
                not_worse_than: entry.number("not-worse-than").map(|n| n.value),
                places: entry.whole("places").map(|n| n.value),
                reason: reason.value.trim().to_string(),
                until,
                tell_builders: entry.flag("tell-builders").is_some_and(|flag| flag.value),
                line: self.line(&entry.span),
            });
        }
        waivers
    }

    pub(super) fn changes(&mut self) -> Vec<Change> {
        let mut changes = Vec::new();
        for entry in self.root.tables("change") {
            let (Some(part), Some(text)) = (entry.text("part"), entry.text("text")) else {
                continue;
            };
            self.declared("part", &part, &[Realm::Parts]);
            changes.push(Change {
                part: part.value.to_string(),
                text: text.value.to_string(),
                class: entry.text("class").and_then(|word| {
                    ClassWord::ALL
                        .into_iter()
                        .find(|class| class.word() == word.value)
                }),
                line: self.line(&entry.span),
            });
        }
        changes
    }
}
