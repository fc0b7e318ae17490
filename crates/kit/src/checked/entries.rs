//! The smaller tables of a kit: references, files, levels, waivers, changes.

use crate::date::Date;
use crate::level::Level;
use crate::revision::Revision;
use crate::unit::Unit;

use super::part::MeshFile;

/// A body that is not printed: it may be an open mesh.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// The reference's id.
    pub id: String,
    /// Its mesh.
    pub mesh: MeshFile,
    /// The unit of the mesh; `None` leaves it to the file, which only a 3MF can state.
    pub unit: Option<Unit>,
    /// Whether it is part of a release.
    pub ship: bool,
    /// Line of the header in the manifest, from 1.
    pub line: usize,
}

/// What another file of the release is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FileKind {
    /// A decal sheet.
    Decal,
    /// A painting mask.
    Mask,
    /// A licence text.
    License,
    /// A photo.
    Photo,
    /// A document to read.
    Document,
    /// Anything else.
    Other,
}

impl FileKind {
    /// Every kind.
    pub const ALL: [FileKind; 6] = [
        FileKind::Decal,
        FileKind::Mask,
        FileKind::License,
        FileKind::Photo,
        FileKind::Document,
        FileKind::Other,
    ];

    /// The word in a manifest.
    pub fn word(self) -> &'static str {
        match self {
            FileKind::Decal => "decal",
            FileKind::Mask => "mask",
            FileKind::License => "license",
            FileKind::Photo => "photo",
            FileKind::Document => "document",
            FileKind::Other => "other",
        }
    }
}

/// Another file of the release.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileEntry {
    /// Path within the kit's folder, forward slashes.
    pub path: String,
    /// What it is.
    pub kind: FileKind,
    /// What it is for, in the designer's words.
    pub text: Option<String>,
    /// Line of the header in the manifest, from 1.
    pub line: usize,
}

/// A rule's level set in the manifest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LevelOverride {
    /// The rule's id.
    pub rule: String,
    /// The level it has here.
    pub level: Level,
    /// Line in the manifest, from 1.
    pub line: usize,
}

/// When a waiver ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    /// It no longer holds from this revision on.
    Revision(Revision),
    /// It no longer holds after this day.
    Date(Date),
}

/// A written permission to release with a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Waiver {
    /// The rule's id.
    pub rule: String,
    /// The part it is for; `None` for a finding of the whole kit.
    pub part: Option<String>,
    /// It holds only while the measured value is not worse than this, in the rule's own unit.
    pub not_worse_than: Option<f64>,
    /// It holds for at most so many places.
    pub places: Option<u32>,
    /// Why.
    pub reason: String,
    /// When it ends.
    pub until: End,
    /// Printed under "Known limits".
    pub tell_builders: bool,
    /// Line of the header in the manifest, from 1.
    pub line: usize,
}

impl Waiver {
    /// Whether it no longer holds, at a kit's revision and on a day.
    pub fn has_ended(&self, revision: &Revision, day: Date) -> bool {
        match &self.until {
            End::Revision(end) => revision >= end,
            End::Date(end) => day > *end,
        }
    }
}

/// What a designer says of reprinting a changed part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClassWord {
    /// The old part does not serve any more.
    Required,
    /// The new part is better.
    Recommended,
    /// Either serves.
    Optional,
    /// Nothing that a builder would notice.
    Same,
}

impl ClassWord {
    /// Every word.
    pub const ALL: [ClassWord; 4] = [
        ClassWord::Required,
        ClassWord::Recommended,
        ClassWord::Optional,
        ClassWord::Same,
    ];

    /// The word in a manifest.
    pub fn word(self) -> &'static str {
        match self {
            ClassWord::Required => "required",
            ClassWord::Recommended => "recommended",
            ClassWord::Optional => "optional",
            ClassWord::Same => "same",
        }
    }
}

/// A line for a changed part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Id of the part.
    pub part: String,
    /// What changed.
    pub text: String,
    /// The designer's word on reprinting it, in the place of what is computed.
    pub class: Option<ClassWord>,
    /// Line of the header in the manifest, from 1.
    pub line: usize,
}
