//! The manifest of a kit: as written, with spans, then checked. No disk.
//!
//! It must not know a mesh, a limit's verdict or a file's content: it reads a text and returns a [`Kit`]
//! or every [`Fault`] of that text at once.

pub mod checked;
mod date;
mod fault;
mod level;
mod revision;
pub mod turn;
mod unit;

pub use checked::{
    Change, End, FileEntry, FileKind, From, Kit, LevelOverride, Machine, Material, MeshFile,
    Mirror, Mode, Orientation, Origin, Part, Placement, Pose, Poses, Process, Promise, Reference,
    Repeat, Settings, Show, ShowDirection, Supports, Waiver,
};
pub use date::Date;
pub use fault::Fault;
pub use level::Level;
pub use revision::Revision;
pub use turn::Axis;
pub use unit::Unit;
