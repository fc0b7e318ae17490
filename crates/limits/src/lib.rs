//! Materials, settings and the limits of every rule: tables with sources, read into typed values.
//!
//! Every number that a verdict can hang on stands in `tables/*.toml` with value, unit, source and how sure
//! it is; nothing here compares, and nothing here knows a mesh, a kit or a rule.

pub mod draft;
pub mod kit;
pub mod loading;
pub mod manifest;
pub mod materials;
mod row;
pub mod settings;
pub mod size;
pub mod soundness;
mod table;
mod typed;
pub mod units;
pub mod walls;

pub use draft::{Draft, draft};
pub use kit::{Kit, kit};
pub use loading::{LoadingLimits, loading_limits};
pub use materials::{Material, material, materials};
pub use row::{Limit, Span, Sure};
pub use settings::{Settings, settings};
pub use size::{SizeLimits, size_limits};
pub use soundness::{SoundnessLimits, soundness_limits};
pub use table::Table;
pub use units::{Units, units};
pub use walls::{Walls, walls};
