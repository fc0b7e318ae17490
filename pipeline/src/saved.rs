//! A saved result: all that was measured on a kit or on a shard of it, with its meshes, in one file. It is judged when
//! it is read, by the engine that measured it.
//!
//! The file: a line that says what it is, a SHA-256 of the rest, and the content, packed (DEFLATE, RFC 1951; the
//! content in the postcard wire format). Floating-point numbers come back bit by bit.

use std::collections::BTreeMap;
use std::path::Path;

use archive::{Digest, sha256};
use kit::Kit;
use measure::show::joint::JointLine;
use measure::{Beside, PartFacts};
use mesh::Mesh;
use rules::signoff::Prints;
use serde::{Deserialize, Serialize};

use crate::disk;
use crate::measured::Measured;
use crate::reuse::keys;
use crate::shard::{self, Shard};
use crate::stages::origin::Origin;

/// The first line of a file.
const HEAD: &[u8] = b"kitproof result 1\n";
/// Bytes of the hash after it.
const HASH: usize = 32;
/// A file, and what it unpacks to, have at most so many bytes.
const MOST_BYTES: u64 = 4 << 30;
/// How hard the content is packed: meshes and facts shrink to a third with little work.
const PACKING: u8 = 3;

/// What was measured on a kit or a shard of it.
#[derive(Serialize, Deserialize)]
pub struct Saved {
    /// The engine that measured it.
    pub engine: String,
    /// The manifest's text.
    pub text: String,
    /// Where it comes from.
    pub origin: Origin,
    /// The text of its sign-off, where it has one.
    pub signed: Option<String>,
    /// Globs of parts, as asked.
    pub parts: Vec<String>,
    /// Promises, as asked.
    pub promises: Vec<String>,
    /// The day it counts as.
    pub as_of: String,
    /// Which shard of how many; `None` for all of it.
    pub shard: Option<(usize, usize)>,
    /// Every part that was measured, by its number.
    pub measured: Vec<SavedPart>,
    /// What the whole kit gave: in the first shard.
    pub joints: Vec<(usize, JointLine)>,
    /// What cannot be had besides: in the first shard.
    pub beside: Beside,
    /// What the parts are now, for the sign-off.
    pub prints: BTreeMap<String, Prints>,
}

/// A part that was measured.
#[derive(Serialize, Deserialize)]
pub struct SavedPart {
    /// Its number in the kit that was asked for.
    pub number: usize,
    /// What was measured.
    pub facts: PartFacts,
    /// Its mesh; empty where there is none.
    pub mesh: Mesh,
    /// What the mesh was made from.
    pub print: Option<[u8; HASH]>,
}

/// What was asked of a check, as a saved result keeps it.
pub struct Asked<'a> {
    /// Globs of parts.
    pub parts: &'a [String],
    /// Promises.
    pub promises: &'a [String],
    /// The day.
    pub as_of: String,
    /// The shard.
    pub shard: Option<Shard>,
}

/// The name of a result's file.
pub fn name(shard: Option<Shard>) -> String {
    match shard {
        None => "result.kitproof".into(),
        Some(shard) => format!("result-{}-of-{}.kitproof", shard.number, shard.of),
    }
}

/// A result as bytes.
///
/// # Errors
/// In words.
pub fn bytes(measured: &Measured, origin: Origin, asked: &Asked) -> Result<Vec<u8>, String> {
    let nothing = Mesh::default();
    let mut parts: Vec<PartOut> = Vec::new();
    for (i, model) in measured.models.iter().enumerate() {
        if measured.own[i] {
            let made = model
                .make()
                .map_err(|words| format!("{}: {words}", measured.facts[i].id))?;
            parts.push(PartOut {
                number: i,
                facts: &measured.facts[i],
                mesh: made.map_or(&nothing, |made| &made.mesh),
                print: model.print().map(|print| print.0),
            });
        }
    }
    let out = Out {
        engine: keys::engine(),
        text: &measured.text,
        origin,
        signed: measured.signed.as_ref().map(rules::signoff::text),
        parts: asked.parts,
        promises: asked.promises,
        as_of: &asked.as_of,
        shard: asked.shard.map(|shard| (shard.number, shard.of)),
        measured: parts,
        joints: &measured.joints,
        beside: &measured.beside,
        prints: &measured.prints,
    };
    let content = postcard::to_stdvec(&out).map_err(|e| format!("no result can be saved: {e}"))?;
    let packed = miniz_oxide::deflate::compress_to_vec(&content, PACKING);
    let mut bytes = HEAD.to_vec();
    bytes.extend(sha256(&packed).0);
    bytes.extend(packed);
    if bytes.len() as u64 > MOST_BYTES || content.len() as u64 > MOST_BYTES {
        return Err(format!(
            "no result can be saved: it would have more than {MOST_BYTES} bytes; share the kit out over more shards"
        ));
    }
    Ok(bytes)
}

/// [`Saved`], borrowed: field by field the same.
#[derive(Serialize)]
struct Out<'a> {
    engine: String,
    text: &'a str,
    origin: Origin,
    signed: Option<String>,
    parts: &'a [String],
    promises: &'a [String],
    as_of: &'a str,
    shard: Option<(usize, usize)>,
    measured: Vec<PartOut<'a>>,
    joints: &'a [(usize, JointLine)],
    beside: &'a Beside,
    prints: &'a BTreeMap<String, Prints>,
}

/// [`SavedPart`], borrowed: field by field the same.
#[derive(Serialize)]
struct PartOut<'a> {
    number: usize,
    facts: &'a PartFacts,
    mesh: &'a Mesh,
    print: Option<[u8; HASH]>,
}

/// Reads a result.
///
/// # Errors
/// In words, naming the file.
pub fn read(path: &Path) -> Result<Saved, String> {
    let bytes = disk::read(path, MOST_BYTES).map_err(|e| e.to_string())?;
    of_bytes(&bytes).map_err(|words| format!("{}: {words}", path.display()))
}

fn of_bytes(bytes: &[u8]) -> Result<Saved, String> {
    let rest = bytes.strip_prefix(HEAD).ok_or(
        "it is no result of kitproof; expected a file that `kitproof check --emit result` or --shard wrote",
    )?;
    let broken = "it is damaged or cut short; write it again";
    let (hash, packed) = rest.split_at_checked(HASH).ok_or(broken)?;
    if sha256(packed).0 != hash {
        return Err(broken.into());
    }
    let most = usize::try_from(MOST_BYTES).unwrap_or(usize::MAX);
    let content = miniz_oxide::inflate::decompress_to_vec_with_limit(packed, most)
        .map_err(|_| broken.to_string())?;
    // The engine stands first: what another engine wrote need not have the shape of ours.
    let (engine, _): (String, _) = postcard::take_from_bytes(&content).map_err(|_| broken)?;
    if engine != keys::engine() {
        return Err(
            "another version of kitproof measured it, or one for another machine; measure and read it with the \
             same program"
                .into(),
        );
    }
    let saved: Saved = postcard::from_bytes(&content).map_err(|_| broken)?;
    let count = saved.kit()?.0.parts.len();
    let fits = saved
        .shard
        .is_none_or(|(number, of)| number >= 1 && number <= of && of <= shard::MOST);
    let joints = saved
        .joints
        .iter()
        .all(|(part, line)| *part < count && line.other < count);
    if !fits || !joints {
        return Err(broken.into());
    }
    for part in &saved.measured {
        if let Some(fault) = part.mesh.check().first() {
            return Err(format!("{broken} ({fault})"));
        }
    }
    Ok(saved)
}

impl SavedPart {
    /// What the mesh was made from.
    pub fn digest(&self) -> Option<Digest> {
        self.print.map(Digest)
    }
}

impl Saved {
    /// The manifest, checked, with the parts and promises that were asked for.
    ///
    /// # Errors
    /// In words; the text was checked when it was saved.
    pub fn kit(&self) -> Result<(Kit, report::Extent), String> {
        let kit = crate::stages::read::of_text(&self.text, crate::stages::read::MANIFEST)
            .map_err(|e| e.to_string())?;
        crate::chosen::narrow(kit, &self.parts, &self.promises)
    }
}
