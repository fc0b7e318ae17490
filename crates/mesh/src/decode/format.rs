//! Which formats are read, and how much of a file is read at most.

use serde::{Deserialize, Serialize};
use std::fmt;

/// A mesh format by its file name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Format {
    /// STL, binary or ASCII: triangles without unit or shared vertices.
    Stl,
    /// 3MF, core specification 1.4: a package with unit, objects and a build.
    ThreeMf,
    /// OBJ: text with shared vertices and polygons.
    Obj,
    /// PLY: ASCII or binary of either byte order, shared vertices and polygons.
    Ply,
}

impl Format {
    /// All formats, in the order they are listed to a person.
    pub const ALL: [Format; 4] = [Format::Stl, Format::ThreeMf, Format::Obj, Format::Ply];

    /// The file name extension, lower case, without the dot.
    pub fn extension(self) -> &'static str {
        match self {
            Format::Stl => "stl",
            Format::ThreeMf => "3mf",
            Format::Obj => "obj",
            Format::Ply => "ply",
        }
    }

    /// The format a file name promises, in any case; `None` for another extension or none.
    pub fn of_file_name(name: &str) -> Option<Format> {
        let (_, extension) = name.rsplit_once('.')?;
        Format::ALL
            .into_iter()
            .find(|f| extension.eq_ignore_ascii_case(f.extension()))
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Format::Stl => "STL",
            Format::ThreeMf => "3MF",
            Format::Obj => "OBJ",
            Format::Ply => "PLY",
        })
    }
}

/// How much of one file is read at most; both are checked before memory is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DecodeLimits {
    /// More triangles than this are refused.
    pub max_triangles: usize,
    /// What the parts of a 3MF package may unpack to, all together, bytes.
    pub max_unpacked_bytes: u64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn extensions_are_read_in_any_case() {
        assert_eq!(Format::of_file_name("a/b.STL"), Some(Format::Stl));
        assert_eq!(Format::of_file_name("x.y.3MF"), Some(Format::ThreeMf));
        assert_eq!(Format::of_file_name("cube.Obj"), Some(Format::Obj));
        assert_eq!(Format::of_file_name("cube.ply"), Some(Format::Ply));
        assert_eq!(Format::of_file_name("stl"), None);
        assert_eq!(Format::of_file_name("cube.step"), None);
    }
}
