//! Facts of one part: soundness, walls, gaps, size.
//!
//! A measure takes settings as plain arguments and returns values and places. It must not know kits,
//! limits or verdicts, and never says pass.

pub mod ambiguity;
pub mod beside;
pub mod crossings;
pub mod hull2;
pub mod loading;
pub mod mirror;
pub mod orientation;
mod part;
pub mod print;
pub mod resting;
pub mod show;
pub mod size;
pub mod soundness;
pub mod turning;
pub mod walls;

pub use ambiguity::Ambiguity;
pub use beside::{Beside, Unavailable};
pub use crossings::{CrossingFacts, CrossingPlace, crossing_facts};
pub use loading::{LoadFault, Loading};
pub use part::{PartFacts, PromisePlate};
pub use soundness::{Soundness, soundness};
