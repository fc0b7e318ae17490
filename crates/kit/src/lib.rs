//! The manifest of a kit: as written, with spans, then checked. No disk.
//!
//! It must not know a mesh, a limit's verdict or a file's content: it reads a text and returns a [`Kit`]
//! or every [`Fault`] of that text at once.

mod append;
mod build;
pub mod checked;
mod content;
mod date;
mod draft;
mod fault;
mod faults;
mod keys;
mod level;
mod license;
mod lines;
pub mod names;
mod path;
mod read;
mod render;
mod revision;
mod schema;
mod shape;
mod signoff;
pub mod suggest;
mod syntax;
mod template;
pub mod turn;
mod unit;
mod written;

pub use append::with_waiver;
pub use checked::{
    Change, ClassWord, End, FileEntry, FileKind, Fit, FitKind, From, Hole, HoleUse, Kit,
    LevelOverride, Machine, Material, MeshFile, Mirror, Mode, Orientation, Origin, Part, Placement,
    Pose, Poses, Process, Promise, Reference, Repeat, Settings, Show, ShowDirection, Supports,
    Waiver,
};
pub use content::is_reason;
pub use date::Date;
pub use draft::{DraftPart, Guess, count_from_name, draft};
pub use fault::Fault;
pub use level::Level;
pub use read::{read, read_bytes};
pub use render::render;
pub use revision::Revision;
pub use schema::schema;
pub use signoff::{SignOff, SignedPart, read_signoff};
pub use template::template;
pub use turn::Axis;
pub use unit::Unit;
