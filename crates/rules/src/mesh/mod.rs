//! Rules on the mesh of one part.

pub mod ambiguous;
pub mod body_count;
pub mod crack;
mod crossed;
pub mod crowded_edge;
pub mod debris;
pub mod degenerate;
pub mod duplicate_facet;
pub mod empty;
pub mod extension_unread;
pub mod inside_out;
mod loaded;
pub mod missing;
pub mod nested_shell;
pub mod not_finite;
pub mod open_edge;
pub mod pinched_vertex;
pub mod prints_as_drawn;
pub mod sealed_cavity;
pub mod self_crossing;
pub mod self_overlap;
pub mod shells_crossing;
pub mod shells_touching;
pub mod sliver;
mod sound;
pub mod stale_export;
pub mod trailing_data;
pub mod turned_facet;
pub mod unit_doubtful;
pub mod unreadable;

use measure::Soundness;

/// What of a mesh's soundness the bounded searches left open, and why.
pub(crate) fn unmeasured(facts: &Soundness) -> Vec<(&'static str, &'static str)> {
    let mut out = Vec::new();
    if !facts.watertight() && facts.openings.merging.is_none() {
        out.push((
            "whether cracks close",
            "too many vertices lie too close together",
        ));
    }
    if !facts.nesting_complete {
        out.push((
            "shells within shells",
            "too many shells lie in one another's boxes",
        ));
    }
    if facts.bodies.is_none() {
        out.push(("separate bodies", "which shells touch was not measured"));
    }
    out
}
