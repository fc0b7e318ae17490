//! Which ids are declared, and that none is declared twice.

use super::{Builder, Ids};
use crate::faults::Trouble;
use crate::suggest::fold;
use crate::written::{At, Entry};

impl<'a> Builder<'a, '_> {
    pub(super) fn declare(&mut self) {
        let mut ids = Ids::default();
        for material in limits::materials() {
            ids.materials.insert(material.id, 0);
        }
        for (name, _) in self.root.named("settings") {
            self.settings_order.push(name.value);
            ids.settings.insert(name.value, self.line(&name.span));
        }
        for (name, _) in self.root.named("materials") {
            ids.materials.insert(name.value, self.line(&name.span));
        }
        ids.promises = self.unique("promise", &self.root.tables("promise"));
        ids.parts = self.unique("part", &self.root.tables("part"));
        ids.references = self.unique("reference", &self.root.tables("reference"));
        // A pose names a part or a reference, so no id may mean both.
        for reference in self.root.tables("reference") {
            if let Some(id) = reference.text("id")
                && let Some(line) = ids.parts.get(id.value)
            {
                let trouble = Trouble::new(format!(
                    "`{}` is the id of a part too, line {line}",
                    id.value
                ));
                self.cross(id.span, trouble.expected("an id of its own"));
            }
        }
        self.ids = ids;
    }

    /// The ids of some tables; a second use is a fault, also where only case tells two apart: on many
    /// systems their files would have one name.
    pub(super) fn unique(
        &mut self,
        what: &str,
        entries: &[Entry<'a>],
    ) -> std::collections::BTreeMap<&'a str, usize> {
        let mut found = std::collections::BTreeMap::new();
        let mut folded: std::collections::BTreeMap<String, At<&str>> =
            std::collections::BTreeMap::new();
        for entry in entries {
            let Some(id) = entry.text("id") else { continue };
            let line = self.line(&id.span);
            found.entry(id.value).or_insert(line);
            match folded.get(&fold(id.value)) {
                None => {
                    folded.insert(fold(id.value), id);
                }
                Some(first) => {
                    let there = self.line(&first.span);
                    let message = if first.value == id.value {
                        format!(
                            "the {what} `{}` is declared twice; first on line {there}",
                            id.value
                        )
                    } else {
                        format!(
                            "`{}` and `{}` on line {there} would share one file name",
                            id.value, first.value
                        )
                    };
                    self.faults
                        .add(id.span, Trouble::new(message).expected("an id of its own"));
                }
            }
        }
        found
    }
}
