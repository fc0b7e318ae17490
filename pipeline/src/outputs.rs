//! Where kits' outputs go.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Where kits' outputs go.
pub struct Outputs<'a> {
    /// The folder that was asked for.
    asked: Option<&'a Path>,
    /// Whether it gets a folder a kit.
    several: bool,
    /// Names that are taken: two kits of one id keep apart.
    seen: BTreeSet<String>,
}

impl<'a> Outputs<'a> {
    /// Outputs of one or of several kits.
    pub fn new(asked: Option<&'a Path>, several: bool) -> Outputs<'a> {
        Outputs {
            asked,
            several,
            seen: BTreeSet::new(),
        }
    }

    /// The folder of one kit's outputs: `name` within the kit where nothing was asked for.
    pub fn of(&mut self, folder: &Path, kit_id: &str, name: &str) -> PathBuf {
        match self.asked {
            None => folder.join(name),
            Some(dir) if self.several => {
                let numbered = (2..).map(|times| format!("{kit_id}-{times}"));
                let name = std::iter::once(kit_id.to_string())
                    .chain(numbered)
                    .find(|name| !self.seen.contains(name))
                    .unwrap_or_default();
                self.seen.insert(name.clone());
                dir.join(name)
            }
            Some(dir) => dir.to_path_buf(),
        }
    }
}
