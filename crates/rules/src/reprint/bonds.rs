//! What is glued together: a finished kit gives up all of it or nothing.

use kit::{Fit, FitKind, Kit};

/// The glued joints of both revisions, in the present parts' names; the old ones hold what a builder has in hand.
pub(crate) fn bonds(
    base: &Kit,
    present: &Kit,
    now_called: impl Fn(&str) -> Option<String>,
) -> Vec<Bond> {
    let glued = |fit: &&Fit| fit.kind == FitKind::Glued;
    let mut found: Vec<Bond> = present
        .fits
        .iter()
        .filter(glued)
        .map(|f| Bond {
            fit: f.id.clone(),
            parts: f.parts.clone(),
        })
        .collect();
    for fit in base.fits.iter().filter(glued) {
        let [Some(a), Some(b)] = [now_called(&fit.parts[0]), now_called(&fit.parts[1])] else {
            continue;
        };
        let there = |bond: &Bond| bond.parts.contains(&a) && bond.parts.contains(&b);
        if !found.iter().any(there) {
            found.push(Bond {
                fit: fit.id.clone(),
                parts: [a, b],
            });
        }
    }
    found
}

/// Two parts glued to each other.
pub(crate) struct Bond {
    /// The fit's id.
    pub fit: String,
    /// Both parts.
    pub parts: [String; 2],
}

impl Bond {
    /// The part on the other side of a part.
    pub fn other(&self, part: &str) -> Option<&str> {
        match &self.parts {
            [a, b] if a == part => Some(b),
            [a, b] if b == part => Some(a),
            _ => None,
        }
    }
}
