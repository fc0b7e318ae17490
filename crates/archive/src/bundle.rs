//! The release bundle: everything a builder downloads, in one zip with nothing left to choice.
//!
//! ```text
//! 3mf/04_gallery_r2_x1.3mf      SHA256SUMS       preview/04_gallery_r2_x1.glb
//! LICENSE                       files/...        report.html
//! NOTES.md                      kit.toml         report.json
//! README.md                     notes/...        stl/04_gallery_r2_x1.stl
//!                                                zip.sha256
//! ```
//! A 3MF's object stands in the part's own frame and its build item carries it to the print pose; an STL stands in
//! the print pose.
//! Entries stand in the order of the bytes of their names. `SHA256SUMS` holds the hash of every other entry's
//! contents, for people who unpacked the zip. `zip.sha256`, the seal, stands last, stored as it is: the hash of
//! all bytes of the zip in front of its own local header. So a bit that changes inside a packed stream without
//! changing what comes out is seen, and whoever checks a bundle needs not the packer that made it: a newer
//! kitproof verifies an older bundle. What lies behind the seal (directory and end record) follows from what
//! stands in front of it, and [`crate::verify()`] makes it anew and compares.
//!
//! Hashes show damage, not authorship: whoever can change the zip can seal it again.

use mesh::Mesh;

use crate::cautions::Trigger;
use crate::closing;
use crate::date::Stamp;
use crate::glb;
use crate::manifest::{self, ManifestFault};
use crate::names::{self, NameFault, Named, PathFault};
use crate::plate::{self, PlateFault, Rotation};
use crate::preview;
use crate::readme::{self, KitCard, PartCard, PromiseCard, Readme, SettingsCard};
use crate::sha256::{Digest, sha256};
use crate::stl;
use crate::sums;
use crate::three_mf::{self, ThreeMfFault};
use crate::zip::{self, Member, WriteFault};

/// Name of the seal: behind every other name of a bundle.
pub const SEAL_NAME: &str = "zip.sha256";

/// Name of the release notes.
pub const NOTES_NAME: &str = "NOTES.md";

/// A part of the kit.
#[derive(Debug, Clone)]
pub struct BundlePart<'a> {
    /// Its line in the print table; `stem`, `mended`, `no_three_mf` and `no_preview` are filled in here.
    pub card: PartCard,
    /// Its mesh, mm, welded.
    pub mesh: &'a Mesh,
    /// Where its cracks close on merging vertices: at most how far apart, mm. They are closed in what is
    /// written, and the read-me says so.
    pub close_within_mm: Option<f64>,
    /// From the mesh's own frame to its print pose.
    pub rotation: Rotation,
}

/// Another file of the release, as the designer made it.
#[derive(Debug, Clone)]
pub struct ExtraFile {
    /// Path as in the manifest; it stands under `files/` in the bundle.
    pub path: String,
    /// Contents.
    pub bytes: Vec<u8>,
}

/// Release notes: `NOTES.md`, to which the files with their checksums are added here, and its pictures under
/// `notes/`.
#[derive(Debug, Clone, Default)]
pub struct Notes {
    /// The text, without the list of files.
    pub text: String,
    /// Pictures by their name below `notes/`.
    pub pictures: Vec<(String, Vec<u8>)>,
}

/// All that a bundle is made of.
#[derive(Debug, Clone)]
pub struct BundleInput<'a> {
    /// The kit.
    pub kit: KitCard,
    /// Parts in the order of the manifest.
    pub parts: Vec<BundlePart<'a>>,
    /// Promises the kit was proven on.
    pub promises: Vec<PromiseCard>,
    /// Settings that the parts use.
    pub settings: Vec<SettingsCard>,
    /// Departures that builders are to know.
    pub known_limits: Vec<String>,
    /// What calls for a caution.
    pub triggers: Vec<Trigger>,
    /// Text of the manifest as filed.
    pub manifest: &'a str,
    /// The report for people.
    pub report_html: &'a [u8],
    /// The report for programs.
    pub report_json: &'a [u8],
    /// Text of the licence, where the kit brings one.
    pub license_text: Option<&'a str>,
    /// Other files.
    pub extra: Vec<ExtraFile>,
    /// What changed since an earlier release.
    pub notes: Option<Notes>,
    /// The time that every entry carries.
    pub stamp: Stamp,
}

/// Why there is no bundle.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BundleFault {
    /// A part cannot be set down.
    #[error("part {part}: {fault}")]
    Plate {
        /// Id of the part.
        part: String,
        /// What is wrong.
        fault: PlateFault,
    },
    /// A part makes too large a 3MF file.
    #[error("part {part}: {fault}")]
    Part {
        /// Id of the part.
        part: String,
        /// What is wrong.
        fault: WriteFault,
    },
    /// A part cannot be named.
    #[error(transparent)]
    Name(#[from] NameFault),
    /// Another file cannot be named.
    #[error(transparent)]
    Path(#[from] PathFault),
    /// Two files would have names that differ in case only, or not at all.
    #[error("two files of the bundle would be called {name}: rename one")]
    Twice {
        /// The name.
        name: String,
    },
    /// The manifest's text.
    #[error(transparent)]
    Manifest(#[from] ManifestFault),
    /// The container.
    #[error(transparent)]
    Container(#[from] WriteFault),
}

/// The seal's contents for the bytes in front of its local header.
pub fn seal_text(front: &[u8]) -> String {
    format!(
        "{}  the first {} bytes of this zip\n",
        sha256(front),
        front.len()
    )
}

struct Written {
    files: [Option<(&'static str, &'static str, Vec<u8>)>; 3],
    card: PartCard,
}

/// The parts as their files are named for.
pub(crate) fn named<'a>(input: &'a BundleInput) -> Vec<Named<'a>> {
    input
        .parts
        .iter()
        .map(|p| Named {
            id: &p.card.id,
            rev: p.card.rev,
            count: p.card.count,
        })
        .collect()
}

/// The files of one part.
fn part_files(kit: &KitCard, part: &BundlePart, stem: &str) -> Result<Written, BundleFault> {
    let id = || part.card.id.clone();
    let mut card = part.card.clone();
    let closed = part
        .close_within_mm
        .and_then(|within| closing::close_cracks(part.mesh, within));
    card.mended = closed.as_ref().map(|c| {
        let micrometres = c.farthest_mm * 1000.0;
        let by = if micrometres < 0.01 {
            "by less than 0.01 micrometres".to_string()
        } else {
            format!("by {micrometres:.2} micrometres at most")
        };
        format!(
            "{} vertices along cracks were moved onto their neighbours, {by}",
            c.merged
        )
    });
    let mesh = closed.as_ref().map_or(part.mesh, |c| &c.mesh);
    let standing = plate::stand(mesh, &part.rotation)
        .map_err(|fault| BundleFault::Plate { part: id(), fault })?;
    let mesh = &standing.printed;
    card.stem = stem.to_string();
    let stl = stl::write(
        mesh,
        &stl::Label {
            kit: &kit.id,
            revision: &kit.revision,
            part: &card.id,
            part_rev: card.rev,
        },
    );
    let three_mf = match three_mf::write(&standing, &metadata_of(kit, &card).borrowed()) {
        Ok(bytes) => Some(bytes),
        Err(ThreeMfFault::Container(fault)) => return Err(BundleFault::Part { part: id(), fault }),
        Err(why) => {
            card.no_three_mf = Some(why.to_string());
            None
        }
    };
    let glb = match preview::preview(mesh) {
        Ok(preview) => Some(glb::write(
            &preview,
            &glb::Label {
                name: &card.id,
                copyright: kit.designer.as_deref().unwrap_or_default(),
            },
        )),
        Err(why) => {
            card.no_preview = Some(why.to_string());
            None
        }
    };
    Ok(Written {
        files: [
            Some(("stl", ".stl", stl)),
            three_mf.map(|bytes| ("3mf", ".3mf", bytes)),
            glb.map(|bytes| ("preview", ".glb", bytes)),
        ],
        card,
    })
}

/// The files of some parts, by their numbers, and their lines in the print table.
pub(crate) fn members_of(
    input: &BundleInput,
    parts: &[usize],
    stems: &[String],
) -> Result<(Vec<Member>, Vec<PartCard>), BundleFault> {
    let written = parallel::map(parts, |_, &k| {
        part_files(&input.kit, &input.parts[k], &stems[k])
    });
    let (mut members, mut cards) = (Vec::new(), Vec::new());
    for part in written {
        let part = part?;
        for (folder, ending, bytes) in part.files.into_iter().flatten() {
            members.push(Member {
                name: format!("{folder}/{}{ending}", part.card.stem),
                bytes,
            });
        }
        cards.push(part.card);
    }
    Ok((members, cards))
}

/// Adds the notes, which list the members so far, and their pictures.
pub(crate) fn add_notes(input: &BundleInput, members: &mut Vec<Member>) -> Result<(), BundleFault> {
    let Some(notes) = &input.notes else {
        return Ok(());
    };
    let text = format!("{}{}", notes.text, files_section(members));
    members.push(Member {
        name: NOTES_NAME.to_string(),
        bytes: text.into_bytes(),
    });
    for (name, bytes) in &notes.pictures {
        names::check_path(name)?;
        members.push(Member {
            name: format!("notes/{name}"),
            bytes: bytes.clone(),
        });
    }
    Ok(())
}

struct OwnedMetadata {
    title: String,
    designer: String,
    license: String,
    object: String,
    number: String,
}

fn metadata_of(kit: &KitCard, card: &PartCard) -> OwnedMetadata {
    OwnedMetadata {
        title: format!("{} {}: {} r{}", kit.title, kit.revision, card.id, card.rev),
        designer: kit.designer.clone().unwrap_or_default(),
        license: kit.license.clone(),
        object: card.id.clone(),
        number: format!("{}/{}/{}/r{}", kit.id, kit.revision, card.id, card.rev),
    }
}

impl OwnedMetadata {
    fn borrowed(&self) -> three_mf::Metadata<'_> {
        three_mf::Metadata {
            title: &self.title,
            designer: &self.designer,
            license_terms: &self.license,
            object_name: &self.object,
            part_number: &self.number,
            ..three_mf::Metadata::default()
        }
    }
}

pub(crate) fn license_file(input: &BundleInput) -> String {
    let kit = &input.kit;
    let mut text = format!("{} {}\n", kit.title, kit.revision);
    if let Some(designer) = &kit.designer {
        text.push_str(&format!("Designer: {designer}\n"));
    }
    text.push_str(&format!("SPDX-License-Identifier: {}\n", kit.license));
    if let Some(own) = input.license_text {
        text.push('\n');
        text.push_str(&own.replace("\r\n", "\n"));
        if !text.ends_with('\n') {
            text.push('\n');
        }
    }
    text
}

/// Makes the bundle. Pure: the same input gives the same bytes, with any number of threads.
///
/// A part whose mesh is not closed gets no 3MF file, and the read-me says so.
///
/// # Errors
/// [`BundleFault`] of the first part or file that cannot go in.
pub fn bundle(input: &BundleInput) -> Result<Vec<u8>, BundleFault> {
    let stems = names::stems(&named(input))?;
    let all: Vec<usize> = (0..input.parts.len()).collect();
    let (mut members, cards) = members_of(input, &all, &stems)?;
    let mut other_files = Vec::new();
    for file in &input.extra {
        names::check_path(&file.path)?;
        let name = format!("files/{}", file.path);
        other_files.push(name.clone());
        members.push(Member {
            name,
            bytes: file.bytes.clone(),
        });
    }
    other_files.sort_unstable();
    add_notes(input, &mut members)?;
    let read_me = readme::write(&Readme {
        kit: input.kit.clone(),
        promises: input.promises.clone(),
        parts: cards,
        settings: input.settings.clone(),
        known_limits: input.known_limits.clone(),
        triggers: input.triggers.clone(),
        other_files,
        only_since: None,
    });
    for (name, bytes) in [
        ("LICENSE", license_file(input).into_bytes()),
        ("README.md", read_me.into_bytes()),
        ("kit.toml", manifest::released(input.manifest)?.into_bytes()),
        ("report.html", input.report_html.to_vec()),
        ("report.json", input.report_json.to_vec()),
    ] {
        members.push(Member {
            name: name.to_string(),
            bytes,
        });
    }
    sealed(members, input.stamp)
}

/// The files to print and to keep, with their sums: people compare what they hold without unpacking a thing.
fn files_section(members: &[Member]) -> String {
    let mut lines: Vec<String> = parallel::map(members, |_, m| {
        format!(
            "| {} | {} | `{}` |\n",
            m.name,
            m.bytes.len(),
            sha256(&m.bytes)
        )
    });
    lines.sort_unstable();
    format!(
        "\n## Files\n\n| file | bytes | SHA-256 |\n|---|---|---|\n{}",
        lines.concat()
    )
}

/// Puts sums and seal to the files and writes the container.
///
/// # Errors
/// [`BundleFault::Twice`] and [`BundleFault::Container`].
pub fn sealed(mut members: Vec<Member>, stamp: Stamp) -> Result<Vec<u8>, BundleFault> {
    let hashes: Vec<Digest> = parallel::map(&members, |_, m| sha256(&m.bytes));
    let text = sums::write(members.iter().map(|m| m.name.as_str()).zip(hashes));
    members.push(Member {
        name: sums::NAME.to_string(),
        bytes: text.into_bytes(),
    });
    members.sort_unstable_by(|a, b| a.name.cmp(&b.name));
    // Some file systems do not tell case apart: a file must not overwrite another there.
    let mut lower: Vec<String> = members.iter().map(|m| m.name.to_lowercase()).collect();
    lower.push(SEAL_NAME.to_string());
    lower.sort_unstable();
    if let Some(pair) = lower.windows(2).find(|pair| pair[0] == pair[1]) {
        return Err(BundleFault::Twice {
            name: pair[0].clone(),
        });
    }
    let seal = |front: &[u8]| Member {
        name: SEAL_NAME.to_string(),
        bytes: seal_text(front).into_bytes(),
    };
    Ok(zip::write(&members, stamp, Some(&seal))?)
}
