//! Where on a part something was measured.

use serde::{Deserialize, Serialize};

/// One place on a part, in the mesh's own frame as exported, mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Place {
    /// The point, mm.
    pub at: [f64; 3],
    /// The value measured here, in the finding's unit.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub measured: Option<f64>,
    /// Outward unit direction from which an arrow or a camera reaches the place; `None` where there is none.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub outward: Option<[f64; 3]>,
    /// The direction in which the value was measured (a wall's thin direction), unit vector.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub along: Option<[f64; 3]>,
    /// How far the fault reaches around the point, mm; 0 for a point.
    #[serde(skip_serializing_if = "is_zero", default)]
    pub reach_mm: f64,
    /// A few words on the place ("edge loop of 12.4 mm"); empty where the point says it all.
    #[serde(skip_serializing_if = "String::is_empty", default)]
    pub note: String,
}

fn is_zero(x: &f64) -> bool {
    *x == 0.0
}

impl Place {
    /// A bare point.
    pub fn at(at: [f64; 3]) -> Place {
        Place {
            at,
            measured: None,
            outward: None,
            along: None,
            reach_mm: 0.0,
            note: String::new(),
        }
    }

    /// The same place with the value measured there.
    #[must_use]
    pub fn measuring(mut self, value: f64) -> Place {
        self.measured = Some(value);
        self
    }

    /// The same place seen from `outward`.
    #[must_use]
    pub fn outward(mut self, direction: [f64; 3]) -> Place {
        self.outward = Some(direction);
        self
    }

    /// The same place with a few words.
    #[must_use]
    pub fn noting(mut self, note: impl Into<String>) -> Place {
        self.note = note.into();
        self
    }
}
