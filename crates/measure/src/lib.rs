<<<<<<< Updated upstream
//! Facts of one part: soundness, walls, gaps, size. It returns values and places and never says pass.

pub mod hull2;
pub mod size;
pub mod turning;
=======
//! Facts of one part: soundness, walls, gaps, size.
//!
//! A measure takes settings as plain arguments and returns values and places. It must not know kits,
//! limits or verdicts, and never says pass.

mod part;

pub use part::PartFacts;
>>>>>>> Stashed changes
