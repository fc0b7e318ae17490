//! One measured departure from a limit.

use serde::{Deserialize, Serialize};

use crate::{Level, Place, Since};

/// A part as a finding names it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct PartRef {
    /// The part's id.
    pub id: String,
    /// Its revision.
    pub rev: u32,
}

/// The permission under which a finding does not count.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Waived {
    /// The designer's reason.
    pub reason: String,
    /// When it ends, in words ("until revision 2.0.0").
    pub until: String,
    /// Whether builders are told under "Known limits".
    pub tell_builders: bool,
}

/// One measured departure from a limit: rule, part, value, limit, place, since when, what to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// Stable short name within one report: `gallery-1`.
    pub id: String,
    /// The rule's id.
    pub rule: String,
    /// The weight after the kit's and part's own settings.
    pub level: Level,
    /// The parts it concerns; empty for the kit as a whole.
    pub parts: Vec<PartRef>,
    /// The promises it breaks; empty where it does not depend on a promise.
    pub promises: Vec<String>,
    /// The value measured at the worst place.
    pub measured: Option<f64>,
    /// The limit it met.
    pub limit: Option<f64>,
    /// Unit of both.
    pub unit: String,
    /// Value and limit in words: "0.31 mm, needs 0.40 mm (one width of a 0.4 mm nozzle)".
    pub reading: String,
    /// Where, worst first; may be capped, see `places_total`.
    pub places: Vec<Place>,
    /// How many places there are in all.
    pub places_total: usize,
    /// Whether the base has it too; `None` without a base.
    pub since: Option<Since>,
    /// The fault in one sentence.
    pub message: String,
    /// What to do about it, with numbers.
    pub fix: String,
    /// The permission it stands under, if any.
    pub waived: Option<Waived>,
}

impl Finding {
    /// Whether it stops a release.
    pub fn blocks(&self) -> bool {
        self.fails(Level::Block)
    }

    /// Whether it fails a run that tolerates nothing from a level on: the level reached, and no waiver.
    pub fn fails(&self, least: Level) -> bool {
        self.level >= least && self.waived.is_none()
    }
}
