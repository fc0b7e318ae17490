//! Where kits' outputs go.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Where kits' outputs go.
pub struct Outputs<'a> {
    /// The folder that was asked for.
    asked: Option<&'a Path>,
    /// Whether it gets a folder a kit.
    several: bool,
    /// How often a kit's id was seen: two kits of one id keep apart.
    seen: BTreeMap<String, u32>,
}

impl<'a> Outputs<'a> {
    /// Outputs of one or of several kits.
    pub fn new(asked: Option<&'a Path>, several: bool) -> Outputs<'a> {
        Outputs {
            asked,
            several,
            seen: BTreeMap::new(),
        }
    }

    /// The folder of one kit's outputs: `name` within the kit where nothing was asked for.
    pub fn of(&mut self, folder: &Path, kit_id: &str, name: &str) -> PathBuf {
        match self.asked {
            None => folder.join(name),
            Some(dir) if self.several => {
                let times = self.seen.entry(kit_id.to_string()).or_default();
                *times += 1;
                if *times == 1 {
                    dir.join(kit_id)
                } else {
                    dir.join(format!("{kit_id}-{times}"))
                }
            }
            Some(dir) => dir.to_path_buf(),
        }
    }
}
