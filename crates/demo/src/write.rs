//! The least valid file of each mesh format, byte for byte the same on every run.
//! It must not know a part.

mod obj;
mod ply;
mod stl;
mod threemf;
mod zip;

pub use obj::obj;
pub use ply::{ply_ascii, ply_binary};
pub use stl::{Facet, stl, stl_ascii, stl_facets};
pub use threemf::{threemf, threemf_with};
pub use zip::stored_zip;
