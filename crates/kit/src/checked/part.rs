//! One printed piece.

use std::fmt;

use super::entries::LevelOverride;
use super::promise::Supports;
use crate::turn::{Axis, Matrix};
use crate::unit::Unit;

/// A mesh file within the kit's folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeshFile {
    /// Path within the kit's folder, forward slashes.
    pub path: String,
    /// The named object of a 3MF; `None` takes everything its build lists.
    pub object: Option<String>,
}

/// A part that is another part's mirror image: real geometry, winding turned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mirror {
    /// Id of the part that is mirrored.
    pub of: String,
    /// The coordinate whose sign turns, through the mesh's origin.
    pub axis: Axis,
}

/// How a part lies on the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Orientation {
    /// Takes the mesh's own frame to the print pose, z away from the plate; a proper turn.
    pub turn: Matrix,
    /// The mesh direction that points away from the plate, one long.
    pub up: [f64; 3],
}

/// A direction that show faces look along.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShowDirection {
    /// One long, in the mesh's own frame.
    pub toward: [f64; 3],
    /// Half angle of the cone about it, degrees.
    pub cone_deg: f64,
}

/// Which faces are on show.
#[derive(Debug, Clone, PartialEq)]
pub enum Show {
    /// Those seen from outside in the assembled kit.
    Visible,
    /// Every face.
    All,
    /// None.
    None,
    /// Those whose normals lie in one of the cones.
    Directions(Vec<ShowDirection>),
}

/// Where a part's value comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum From {
    /// The part's own table, on a line of the manifest.
    Part {
        /// Line from 1.
        line: usize,
    },
    /// `[defaults]`, on a line of the manifest.
    Defaults {
        /// Line from 1.
        line: usize,
    },
    /// The part that this one mirrors.
    MirrorOf(String),
    /// Built in.
    BuiltIn,
    /// The mesh file itself: a 3MF states its unit.
    File,
}

impl fmt::Display for From {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            From::Part { line } => write!(f, "part, line {line}"),
            From::Defaults { line } => write!(f, "defaults, line {line}"),
            From::MirrorOf(id) => write!(f, "as {id}, which it mirrors"),
            From::BuiltIn => f.write_str("built in"),
            From::File => f.write_str("the mesh file"),
        }
    }
}

/// One value of a part and where it comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Origin {
    /// The key in the manifest, such as `material`.
    pub key: &'static str,
    /// The value in words.
    pub value: String,
    /// Where it comes from.
    pub from: From,
}

/// One printed piece, with an id that never changes between revisions.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// The part's id.
    pub id: String,
    /// Its own mesh; `None` for a mirrored part without one.
    pub mesh: Option<MeshFile>,
    /// What it mirrors. With a mesh of its own as well, the two are compared.
    pub mirror: Option<Mirror>,
    /// The unit of the mesh; `None` leaves it to the file, which only a 3MF can state.
    pub unit: Option<Unit>,
    /// The CAD file that the mesh was exported from.
    pub source: Option<String>,
    /// Id of the material.
    pub material: String,
    /// Id of the settings.
    pub settings: String,
    /// Colour, in words.
    pub color: Option<String>,
    /// Revision of the part, from 1.
    pub rev: u32,
    /// Copies a kit needs.
    pub count: u32,
    /// Copies on top.
    pub spare: u32,
    /// Expected number of separate bodies.
    pub bodies: u32,
    /// How it lies on the plate.
    pub orientation: Orientation,
    /// Why this orientation was chosen, in the designer's words.
    pub up_because: Option<String>,
    /// Which faces are on show.
    pub show: Show,
    /// Tightens the promises' supports.
    pub supports: Option<Supports>,
    /// Thickness under which a thin wall blocks, mm.
    pub min_wall_mm: Option<f64>,
    /// What it was called in earlier revisions.
    pub was: Vec<String>,
    /// Levels set for this part.
    pub levels: Vec<LevelOverride>,
    /// Line of the part's header in the manifest, from 1.
    pub line: usize,
    /// Where each value comes from, in the order of `list parts`.
    pub origins: Vec<Origin>,
}

impl Part {
    /// Copies in a release: what the kit needs and what lies on top.
    pub fn copies(&self) -> u64 {
        u64::from(self.count) + u64::from(self.spare)
    }
}
