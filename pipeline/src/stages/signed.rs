//! The sign-off beside a kit: read, and what the kit's parts are now, so that the two can be compared.

use std::collections::BTreeMap;
use std::path::Path;

use kit::{Kit, SignOff};
use rules::measures;
use rules::signoff::{Prints, settings_text};

use crate::disk;
use crate::stages::load::Most;
use crate::stages::read::ReadFault;

/// The sign-off's name.
pub const SIGNOFF: &str = "signoff.toml";
/// A sign-off of ten thousand parts has fewer bytes.
const MOST_BYTES: u64 = 16 << 20;

/// Reads the sign-off of a kit's folder; `None` where there is none.
///
/// # Errors
/// [`ReadFault`]; faults of the text come all at once.
pub fn read(folder: &Path, kit_id: &str) -> Result<Option<SignOff>, ReadFault> {
    let path = folder.join(SIGNOFF);
    if !disk::exists(&path) {
        return Ok(None);
    }
    let bytes = disk::read(&path, MOST_BYTES)?;
    let text = String::from_utf8(bytes).map_err(|e| ReadFault::NotText {
        offset: e.utf8_error().valid_up_to(),
        path: path.clone(),
    })?;
    match kit::read_signoff(&text, &path.to_string_lossy(), kit_id, &measures::keys()) {
        Ok(signed) => Ok(Some(signed)),
        Err(faults) => Err(ReadFault::Manifest {
            count: faults.len(),
            rendered: kit::render(&faults, &text, false),
        }),
    }
}

/// Reads the text of a sign-off that was read before.
///
/// # Errors
/// In words.
pub fn of_text(text: &str, kit_id: &str) -> Result<SignOff, String> {
    kit::read_signoff(text, SIGNOFF, kit_id, &measures::keys())
        .map_err(|faults| kit::render(&faults, text, false))
}

/// What every part is now: hashes of its mesh file, of its settings and of its CAD file.
pub fn prints(kit: &Kit, folder: &Path) -> BTreeMap<String, Prints> {
    let _span = tracing::debug_span!("signed").entered();
    let most = Most::of_this_machine().bytes();
    let hash = |path: &str| {
        // What cannot be read has findings of its own; here it is only not known.
        let bytes = disk::read_within(folder, path, most).ok()?;
        Some(archive::sha256(&bytes).to_string())
    };
    let prints = parallel::map(&kit.parts, |_, part| {
        let (source, _) = kit.source_of(part);
        let mesh = part.mesh.as_ref().or(source.mesh.as_ref());
        Prints {
            mesh: mesh.and_then(|file| hash(&file.path)),
            settings: archive::sha256(settings_text(kit, part).as_bytes()).to_string(),
            source: part.source.as_deref().and_then(hash),
        }
    });
    kit.parts.iter().map(|p| p.id.clone()).zip(prints).collect()
}
