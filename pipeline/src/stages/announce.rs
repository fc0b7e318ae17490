//! Announce: the views for a build server, written beside the report; the step's summary is appended where the
//! environment asks for it, and the annotations are handed back to be printed.

use std::path::{Path, PathBuf};

use findings::Level;
use report::ci::{self, Room, Run};

use crate::args::Emit;
use crate::disk;
use crate::outcome::Outcome;
use crate::proof::Proof;
use crate::stages::origin::Origin;

/// What one step of a build server takes in all; the kits of a run share it.
pub struct Step {
    room: Room,
    /// The file that the server shows as the step's summary.
    summary: Option<PathBuf>,
}

impl Step {
    /// The step that this process is, as its environment tells.
    pub fn of_this_process() -> Step {
        Step {
            room: Room::of_a_step(),
            summary: std::env::var_os("GITHUB_STEP_SUMMARY")
                .filter(|v| !v.is_empty())
                .map(PathBuf::from),
        }
    }
}

/// Writes the views that were asked for into a folder; one that fails leaves the others written. The text is that
/// of the annotations, empty where none were asked for.
///
/// # Errors
/// Every fault in words, joined by line feeds.
pub fn announce(
    proof: &Proof,
    origin: &Origin,
    out: &Path,
    emit: &[Emit],
    ended: (Level, Outcome),
    step: &mut Step,
) -> Result<String, String> {
    let views = [
        Emit::Sarif,
        Emit::Junit,
        Emit::Summary,
        Emit::Comment,
        Emit::Annotations,
    ];
    if !views.iter().any(|v| emit.contains(v)) {
        return Ok(String::new());
    }
    let _span = tracing::info_span!("announce").entered();
    let run = Run {
        checked: proof.checked(),
        folder: &origin.within,
        fail_on: ended.0,
        exit: ended.1.code(),
        files: &origin.files,
        whole_list: if emit.contains(&Emit::Html) {
            "report.html"
        } else if emit.contains(&Emit::Json) {
            "report.json"
        } else {
            "the text of kitproof check -v"
        },
    };
    let mut faults: Vec<String> = Vec::new();
    let mut put = |name: &str, text: Result<String, String>| {
        let written = text.and_then(|text| {
            disk::write(&out.join(name), text.as_bytes()).map_err(|e| e.to_string())
        });
        faults.extend(written.err());
    };
    if emit.contains(&Emit::Sarif) {
        put("report.sarif", ci::sarif(&run).map_err(|e| e.to_string()));
    }
    if emit.contains(&Emit::Junit) {
        put("junit.xml", Ok(ci::junit(&run)));
    }
    if emit.contains(&Emit::Summary) {
        put("summary.md", Ok(ci::summary(&run, ci::summary_room())));
        if let Some(path) = &step.summary {
            faults.extend(append(&run, path).err());
        }
    }
    let mut put = |name: &str, text: &str| {
        let written = disk::write(&out.join(name), text.as_bytes());
        faults.extend(written.err().map(|e| e.to_string()));
    };
    if emit.contains(&Emit::Comment) {
        put("comment.md", &ci::comment(&run));
    }
    let mut annotations = String::new();
    if emit.contains(&Emit::Annotations) {
        annotations = ci::annotations(&run, &mut step.room);
        put("annotations.txt", &annotations);
    }
    if faults.is_empty() {
        Ok(annotations)
    } else {
        Err(faults.join("\n"))
    }
}

/// Adds the summary to what the step's file holds already, within what the server takes of one step.
fn append(run: &Run, path: &Path) -> Result<(), String> {
    let held = disk::length(path).map_err(|e| e.to_string())?;
    let room = (ci::summary_room() as u64).saturating_sub(held + 1);
    let text = format!("\n{}", ci::summary(run, room as usize));
    disk::append(path, text.as_bytes()).map_err(|e| e.to_string())
}
