//! Volume by slices against the facets': a check of the layers themselves, made on every part.

use layers::Stack;
use serde::{Deserialize, Serialize};

/// The volume of a part's layers, twice.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Volume {
    /// By the contours of the layers, mm3.
    pub slices_mm3: f64,
    /// By its facets, clipped at the same heights, mm3.
    pub facets_mm3: f64,
}

impl Volume {
    /// How far the two are apart, as a share of the greater; 0 where both are nought.
    pub fn apart(&self) -> f64 {
        let most = self.slices_mm3.abs().max(self.facets_mm3.abs());
        if most > 0.0 {
            (self.slices_mm3 - self.facets_mm3).abs() / most
        } else {
            0.0
        }
    }
}

/// Measures both. Only of a closed surface whose facets are wound alike can they be the same.
pub fn measure(stack: &Stack) -> Volume {
    Volume {
        slices_mm3: stack.volume_mm3(),
        facets_mm3: stack.volume_by_facets_mm3(),
    }
}
