//! `new`: a folder of meshes becomes a kit that can be checked at once; every guess is said in a comment.

use kit::DraftPart;
use mesh::decode::Format;

use crate::args::NewArgs;
use crate::disk;
use crate::outcome::Outcome;
use crate::say::Said;
use crate::stages::draft;
use crate::stages::load::Most;
use crate::stages::read::MANIFEST;

/// Reads the folder's meshes and writes a manifest beside them.
pub fn run(args: &NewArgs, said: &mut dyn Said) -> Outcome {
    let folder = &args.folder;
    if !disk::is_folder(folder) {
        said.fault(&format!(
            "{}: no such folder; expected a folder with meshes (.stl .3mf .obj .ply)",
            folder.display()
        ));
        return Outcome::BadRequest;
    }
    let manifest = folder.join(MANIFEST);
    if disk::exists(&manifest) && !args.force {
        said.fault(&format!(
            "{}: stands there already; --force replaces it",
            manifest.display()
        ));
        return Outcome::BadRequest;
    }
    let files = match disk::files_below(folder, &["out", "dist", "target"]) {
        Ok(files) => files,
        Err(e) => {
            said.fault(&e.to_string());
            return Outcome::Unfinished;
        }
    };
    let meshes: Vec<String> = files
        .into_iter()
        .filter(|f| Format::of_file_name(f).is_some())
        .collect();
    if meshes.is_empty() {
        said.fault(&format!(
            "{}: no meshes in it; expected .stl, .3mf, .obj or .ply files",
            folder.display()
        ));
        return Outcome::Nothing;
    }
    let most = Most::of_this_machine();
    let drafted = parallel::with_threads(args.jobs, || {
        parallel::map_caught(&meshes, |_, path| draft::part(folder, path, most))
    });
    let drafted = match drafted {
        Ok(drafted) => drafted,
        Err(e) => {
            said.fault(&format!("threads could not be started: {e}; try --jobs 1"));
            return Outcome::Unfinished;
        }
    };
    let mut parts: Vec<DraftPart> = Vec::new();
    for (path, draft) in meshes.iter().zip(drafted) {
        match draft {
            Ok(draft) => parts.push(draft),
            Err(e) => {
                said.fault(&format!(
                    "{path}: kitproof failed on it: {e}; it is left out"
                ));
            }
        }
    }
    let title = folder
        .canonicalize()
        .ok()
        .and_then(|p| p.file_name().map(|n| n.to_string_lossy().into_owned()))
        .unwrap_or_else(|| "kit".into());
    let text = kit::draft(&parts, &title);
    if let Err(e) = disk::write(&manifest, text.as_bytes()) {
        said.fault(&e.to_string());
        return Outcome::Unfinished;
    }
    // The draft names the schema beside it, so that an editor completes and checks as one types.
    if let Err(e) = disk::write(&folder.join("kit.schema.json"), kit::schema().as_bytes()) {
        said.fault(&e.to_string());
        return Outcome::Unfinished;
    }
    said.data(&format!(
        "{}: {} parts from {} meshes; every guess stands in a comment\nnext: kitproof check {}",
        manifest.display(),
        parts.len(),
        meshes.len(),
        folder.display()
    ));
    Outcome::Ready
}
