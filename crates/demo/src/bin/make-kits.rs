//! Rewrites kits/ from the generator: `cargo run -p demo` in the workspace's root.

use std::path::Path;
use std::process::ExitCode;

fn write() -> Result<usize, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../kits");
    let files = demo::all().map_err(|e| e.to_string())?;
    for folder in ["skerry-light", "faulty", "revisions"] {
        let folder = root.join(folder);
        if folder.exists() {
            std::fs::remove_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        }
    }
    for (path, bytes) in &files {
        let path = root.join(path);
        let folder = path.parent().unwrap_or(&root);
        std::fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        std::fs::write(&path, bytes).map_err(|e| format!("{}: {e}", path.display()))?;
    }
    Ok(files.len())
}

fn main() -> ExitCode {
    match write() {
        Ok(count) => {
            println!("{count} files written to kits/");
            ExitCode::SUCCESS
        }
        Err(fault) => {
            eprintln!("make-kits: {fault}");
            ExitCode::from(3)
        }
    }
}
