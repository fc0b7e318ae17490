//! The checked kit: plain values, every reference resolved, every default filled in. Nothing here can be
//! wrong any more, so nothing here returns an error; what the files on disk hold is another matter.

mod entries;
mod material;
mod meeting;
mod part;
mod pose;
mod promise;
mod settings;

use std::collections::BTreeMap;

pub use entries::{Change, ClassWord, End, FileEntry, FileKind, LevelOverride, Reference, Waiver};
pub use material::{Material, Process};
pub use meeting::{Fit, FitKind, Hole, HoleUse};
pub use part::{From, MeshFile, Mirror, Orientation, Origin, Part, Show, ShowDirection};
pub use pose::{Placement, Pose, Repeat};
pub use promise::{Machine, Promise, Supports};
pub(crate) use settings::without_dust;
pub use settings::{Mode, Settings};

use crate::revision::Revision;

/// Where the copies of parts sit in the assembled kit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Poses {
    /// Each copy has a `[[pose]]`.
    Listed,
    /// The meshes already share the assembled kit's frame.
    AsModelled,
}

/// A published multi-part model, as its manifest declares it.
#[derive(Debug, Clone, PartialEq)]
pub struct Kit {
    /// The manifest's file name, as given to [`crate::read`]: findings anchor there.
    pub file: String,
    /// The rule set the kit is held to.
    pub rule_set: String,
    /// The kit's id, which never changes.
    pub id: String,
    /// The kit's title.
    pub title: String,
    /// The revision these files are.
    pub revision: Revision,
    /// Who designed it.
    pub designer: Option<String>,
    /// SPDX licence expression.
    pub license: String,
    /// Model scale, such as `1:48`.
    pub scale: Option<String>,
    /// Where the copies sit in the assembled kit.
    pub poses: Poses,
    /// What the kit promises to print on, in the manifest's order; at least one.
    pub promises: Vec<Promise>,
    /// How parts are meant to be printed, in the manifest's order; at least one.
    pub settings: Vec<Settings>,
    /// Every material known here: the built-in ones (overridden or not), then the kit's own.
    pub materials: Vec<Material>,
    /// The parts, in the manifest's order.
    pub parts: Vec<Part>,
    /// Copies of parts and references in the assembled kit.
    pub placed: Vec<Pose>,
    /// Bodies that are not printed.
    pub references: Vec<Reference>,
    /// How parts meet.
    pub fits: Vec<Fit>,
    /// Holes and what goes in.
    pub holes: Vec<Hole>,
    /// Other files of the release.
    pub files: Vec<FileEntry>,
    /// Levels set for the whole kit.
    pub levels: Vec<LevelOverride>,
    /// Written permissions to release with a finding.
    pub waivers: Vec<Waiver>,
    /// A line for each changed part.
    pub changes: Vec<Change>,
    /// Names of declared tables and keys that nothing measures yet, sorted, each once: `[[fit]]`, `part.coat`.
    pub declared_unmeasured: Vec<String>,
    /// The content of those tables, kept as written; keys are the tables' names without brackets.
    pub later: BTreeMap<String, toml::Value>,
    /// `[extra]`: free, never looked at.
    pub extra: Option<toml::Value>,
}

impl Kit {
    /// A part by its id.
    pub fn part(&self, id: &str) -> Option<&Part> {
        self.parts.iter().find(|part| part.id == id)
    }

    /// A promise by its id.
    pub fn promise(&self, id: &str) -> Option<&Promise> {
        self.promises.iter().find(|promise| promise.id == id)
    }

    /// The settings a part is printed with.
    ///
    /// # Panics
    /// On a part of another kit: a checked part's settings always exist in its own.
    pub fn settings_of(&self, part: &Part) -> &Settings {
        self.settings
            .iter()
            .find(|settings| settings.id == part.settings)
            .expect("a checked part's settings exist")
    }

    /// The material a part is printed in.
    ///
    /// # Panics
    /// On a part of another kit: a checked part's material always exists in its own.
    pub fn material_of(&self, part: &Part) -> &Material {
        self.materials
            .iter()
            .find(|material| material.id == part.material)
            .expect("a checked part's material exists")
    }

    /// The promises a part is proven on: those whose kind and materials admit its material, in the
    /// manifest's order. Empty: no promise admits it.
    pub fn promises_for(&self, part: &Part) -> Vec<&Promise> {
        let material = self.material_of(part);
        self.promises
            .iter()
            .filter(|promise| promise.admits(material))
            .collect()
    }

    /// Which supports a part may have on a promise: the tighter of the two.
    pub fn supports_for(&self, part: &Part, promise: &Promise) -> Supports {
        part.supports
            .map_or(promise.supports, |own| own.min(promise.supports))
    }

    /// The part whose mesh a part is the mirror image of, and the mirrors on the way, first to be applied
    /// first: up the chain to the next part with a mesh of its own. A part that mirrors nothing is its own.
    pub fn source_of<'a>(&'a self, part: &'a Part) -> (&'a Part, Vec<crate::Axis>) {
        let mut axes = Vec::new();
        let mut at = part;
        // Cycles are refused when the manifest is read; the bound only keeps the loop provably finite.
        for _ in 0..self.parts.len() {
            let Some((mirror, next)) = at
                .mirror
                .as_ref()
                .and_then(|m| self.part(&m.of).map(|next| (m, next)))
            else {
                break;
            };
            axes.push(mirror.axis);
            at = next;
            if at.mesh.is_some() {
                break;
            }
        }
        axes.reverse();
        (at, axes)
    }
}
