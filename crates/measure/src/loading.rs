//! What was learnt while a part's mesh file was read, or why there is no mesh.

use mesh::decode::{DecodeFault, Oddity};
use mesh::weld::{Basis, Collapsed};
use serde::{Deserialize, Serialize};

/// What a mesh file held.
#[derive(Debug, Serialize, Deserialize)]
pub struct Loading {
    /// Triangles in the file.
    pub triangles_filed: usize,
    /// Millimetres in one unit of the numbers in the file.
    pub unit_mm: f64,
    /// Whether the file itself states its unit.
    pub unit_in_file: bool,
    /// Largest side in the file's own numbers.
    pub largest_side_filed: f64,
    /// What is odd about the file.
    pub oddities: Vec<Oddity>,
    /// Which sharing of vertices the mesh was built from.
    pub basis: Basis,
    /// Triangles that the weld took out.
    pub collapsed: Collapsed,
}

/// Why there is no mesh.
#[derive(Debug, thiserror::Error, Serialize, Deserialize)]
pub enum LoadFault {
    /// No file of that name.
    #[error("there is no such file")]
    Missing,
    /// A folder, a pipe or a device.
    #[error("it is a folder or a device, not a file")]
    NotAFile,
    /// A link leads out of the kit's folder.
    #[error("it leads out of the kit's folder; a kit holds all its files itself")]
    Outside,
    /// No permission to read.
    #[error("there is no permission to read it")]
    Denied,
    /// More bytes than this machine takes.
    #[error("it has {bytes} bytes; at most {most} are read on this machine")]
    TooLarge {
        /// Bytes of the file.
        bytes: u64,
        /// Bytes taken at most.
        most: u64,
    },
    /// Anything else the disk says.
    #[error("it cannot be read: {0}")]
    Disk(String),
    /// The name's ending is of no format that is read.
    #[error("its name ends in no format that is read: expected .stl, .3mf, .obj or .ply")]
    UnknownFormat,
    /// Neither manifest nor file states a unit.
    #[error(
        "neither the manifest nor the file states a unit; add units = \"mm\" to the part or to [defaults]"
    )]
    NoUnit,
    /// The bytes are not a whole mesh.
    #[error(transparent)]
    Decode(#[from] DecodeFault),
}

impl LoadFault {
    /// True where no file can be opened at that place.
    pub fn is_missing(&self) -> bool {
        matches!(
            self,
            LoadFault::Missing | LoadFault::NotAFile | LoadFault::Denied | LoadFault::Outside
        )
    }

    /// True where the file was read to its end and holds no triangle.
    pub fn is_empty(&self) -> bool {
        matches!(
            self,
            LoadFault::Decode(DecodeFault::Empty | DecodeFault::NoTriangles { .. })
        )
    }

    /// What is wrong, without the remedy.
    pub fn cause(&self) -> String {
        match self {
            LoadFault::Decode(fault) => fault.cause(),
            other => other.to_string(),
        }
    }

    /// What the designer can do about it.
    pub fn remedy(&self) -> &'static str {
        match self {
            LoadFault::Missing => "add the file, or correct the part's path in kit.toml",
            LoadFault::NotAFile => "name the mesh file itself in kit.toml",
            LoadFault::Denied => "give read permission on the file",
            LoadFault::Outside => "copy the file into the kit's folder",
            LoadFault::UnknownFormat => "export the part in one of these formats",
            LoadFault::TooLarge { .. } => "export with a coarser tolerance",
            LoadFault::Disk(_) => "check the disk, then run again",
            LoadFault::NoUnit => "state the unit that the mesh was drawn in",
            LoadFault::Decode(fault) => fault.remedy(),
        }
    }
}
