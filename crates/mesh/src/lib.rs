//! The 3-D kernel: decode, weld, edges, shells, tree, rays, mass properties.
//! It knows no kit, limit or verdict.

pub mod crossing;
pub mod decode;
pub mod edges;
pub mod facets;
pub mod fans;
pub mod hull3;
pub(crate) mod joints;
pub mod mass;
pub mod merge;
pub mod nesting;
pub mod rims;
pub(crate) mod segments;
pub mod shape;
pub mod shapes;
pub mod shells;
pub mod topology;
pub mod tree;
pub mod turned;
pub mod vector;
pub mod weld;
pub(crate) mod weld_soup;
pub(crate) mod weld_table;
pub mod winding;

pub use edges::Edges;
pub use fans::Fans;
pub use hull3::Hull3;
pub use mass::MassProperties;
pub use shape::{Bounds, Mesh};
pub use shells::{Shell, Shells};
pub use topology::Topology;
pub use weld::{Basis, Collapsed, Welded, weld};
