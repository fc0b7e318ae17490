//! Two revisions of a kit, part by part: which parts belong together, and what each pair came to.

use serde::{Deserialize, Serialize};

use crate::PartChange;

/// Every part of both revisions in one pair each.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Compared {
    /// The present parts in the manifest's order, then those that only the base has.
    pub pairs: Vec<Pair>,
}

/// How a part of the base was found for a present one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Found {
    /// By its id.
    Id,
    /// By the name that the manifest says it had.
    Was,
    /// By its shape.
    Shape,
}

/// A part and what it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pair {
    /// The present part's id; `None` where only the base has it.
    pub part: Option<String>,
    /// The base's part; `None` where it is new.
    pub was: Option<String>,
    /// How the two were found for each other.
    pub found: Found,
    /// What changed; `None` where one side is missing, or has no mesh.
    pub change: Option<PartChange>,
    /// Why two parts could not be compared.
    pub unmeasured: Option<String>,
    /// Where faces moved that meet something.
    pub near: Vec<Near>,
}

/// What a face meets.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Meets {
    /// A posed neighbour, with no fit declared.
    Neighbour,
    /// A posed neighbour, by a declared fit of that id.
    Fit(String),
    /// The other part of a declared fit of that id; one of the two has no pose, so any face may be the one.
    FitWithoutPose(String),
    /// A declared hole; what it takes.
    Hole(String),
}

/// A face that moved within reach of something.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Near {
    /// The neighbour's id; empty for a hole.
    pub neighbour: String,
    /// What the face meets.
    pub meets: Meets,
    /// How far the face moved, mm; positive where plastic was added.
    pub moved_mm: f64,
    /// Where, in the present part's own frame, mm.
    pub at: [f64; 3],
}

impl Compared {
    /// The pair of a present part.
    pub fn pair(&self, part: &str) -> Option<&Pair> {
        self.pairs.iter().find(|p| p.part.as_deref() == Some(part))
    }
}
