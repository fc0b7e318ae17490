//! Rules on the mesh of one part.

pub mod body_count;
pub mod crack;
pub mod crowded_edge;
pub mod debris;
pub mod degenerate;
pub mod duplicate_facet;
pub mod inside_out;
pub mod nested_shell;
pub mod open_edge;
pub mod pinched_vertex;
pub mod sealed_cavity;
pub mod sliver;
mod sound;
pub mod turned_facet;
