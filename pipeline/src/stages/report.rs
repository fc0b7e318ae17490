//! Report: the outputs of a check, always written, whatever the verdict.

use std::path::Path;

use crate::args::Emit;
use crate::disk;
use crate::proof::Proof;
use crate::reuse::Store;
use crate::stages::draw;

/// Writes the outputs that were asked for into a folder; one that fails leaves the others written.
///
/// # Errors
/// Every fault in words, joined by line feeds.
pub fn write(proof: &Proof, out: &Path, emit: &[Emit], store: &Store) -> Result<(), String> {
    let _span = tracing::info_span!("report").entered();
    let mut faults: Vec<String> = Vec::new();
    let mut put = |name: &str, bytes: Result<Vec<u8>, String>| match bytes {
        Ok(bytes) => {
            if let Err(e) = disk::write(&out.join(name), &bytes) {
                faults.push(e.to_string());
            }
        }
        Err(e) => faults.push(e),
    };
    let checked = proof.checked();
    // git must not take outputs for a part of the kit.
    put(".gitignore", Ok(b"*\n".to_vec()));
    if emit.contains(&Emit::Json) {
        put(
            "report.json",
            report::json(&checked)
                .map(String::into_bytes)
                .map_err(|e| e.to_string()),
        );
    }
    if emit.contains(&Emit::Html) {
        let figures = draw::figures(proof, store);
        put(
            "report.html",
            report::html(&checked, &figures)
                .map(String::into_bytes)
                .map_err(|e| e.to_string()),
        );
    }
    if emit.contains(&Emit::Marks) {
        for (part, stl) in draw::marks(proof) {
            put(&format!("marks/{part}.stl"), Ok(stl));
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults.join("\n"))
    }
}
