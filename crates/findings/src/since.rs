//! Since when a finding stands, against an earlier revision.

use serde::{Deserialize, Serialize};

/// What the base says of a finding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Since {
    /// Whether the base does not have it: this revision brought it.
    pub new: bool,
    /// The base's revision.
    pub base: String,
    /// The value in the base, in the finding's unit, where it was measured.
    pub measured: Option<f64>,
    /// The same in words: "new: 0.88 mm in 1.3.0", "in 1.3.0 too: 0.31 mm there".
    pub words: String,
}
