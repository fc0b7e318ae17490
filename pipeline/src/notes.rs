//! `notes`: the release notes of a kit, with their pictures, and drafts of the lines that are missing.

use std::path::Path;

use crate::args::{AgainstArgs, Format};
use crate::diff;
use crate::disk;
use crate::outcome::Outcome;
use crate::outputs::Outputs;
use crate::proof::Proof;
use crate::say::Said;
use crate::set_up::set_up_and;
use crate::stages::draw;

/// Release notes with their pictures.
pub struct Written {
    /// The text, without the list of files.
    pub text: String,
    /// Pictures by name below `notes/`.
    pub pictures: Vec<(String, Vec<u8>)>,
}

/// Writes out/NOTES.md, out/notes/ and out/changes.toml.
pub fn run(args: &AgainstArgs, said: &mut dyn Said) -> Outcome {
    if args.common.format == Format::Json {
        said.fault("notes --format json: notes are Markdown for people; `kitproof diff --format json` says the same as data");
        return Outcome::BadRequest;
    }
    set_up_and(&args.common, said, |set_up, said| {
        let proof = match diff::proved(args, set_up, said) {
            Ok(proof) => proof,
            Err(outcome) => return outcome,
        };
        let out =
            Outputs::new(args.common.out.as_deref(), false).of(&args.kit, &proof.kit.id, "out");
        let written = written(&proof);
        if let Err(e) = put(&out, &written, &proof, said) {
            said.fault(&e.to_string());
            return Outcome::Unfinished;
        }
        if args.common.quiet {
            said.data(&out.join("NOTES.md").display().to_string());
        } else {
            said.data(&written.text);
        }
        if proof.failed() {
            Outcome::Unfinished
        } else {
            Outcome::Ready
        }
    })
}

/// The notes of a proof.
pub fn written(proof: &Proof) -> Written {
    let figures = draw::changes(proof);
    let names = figures
        .keys()
        .map(|part| (part.clone(), format!("{part}.svg")))
        .collect();
    let checked = proof.checked();
    Written {
        text: report::notes(&report::NotesInput {
            checked: &checked,
            against: proof.against.as_ref(),
            pictures: &names,
        }),
        pictures: figures
            .into_iter()
            .map(|(part, figure)| (format!("{part}.svg"), figure.svg.into_bytes()))
            .collect(),
    }
}

fn put(
    out: &Path,
    written: &Written,
    proof: &Proof,
    said: &mut dyn Said,
) -> Result<(), disk::DiskFault> {
    disk::write(&out.join(".gitignore"), b"*\n")?;
    disk::write(&out.join("NOTES.md"), written.text.as_bytes())?;
    for (name, bytes) in &written.pictures {
        disk::write(&out.join("notes").join(name), bytes)?;
    }
    let draft = proof
        .against
        .as_ref()
        .map(report::draft)
        .unwrap_or_default();
    if !draft.is_empty() {
        let path = out.join("changes.toml");
        disk::write(&path, draft.as_bytes())?;
        said.talk(&format!(
            "changed parts without a [[change]]: fill in {} and add it to kit.toml",
            path.display()
        ));
    }
    Ok(())
}
