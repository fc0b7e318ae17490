//! The 3-D kernel: decode, weld, edges, shells, tree, rays, mass properties.
//! It knows no kit, limit or verdict.

pub mod shape;
pub mod vector;

pub use shape::{Bounds, Mesh};
