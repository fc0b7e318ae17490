//! One part at two revisions: is it the same, and if not, where and how far did its surface move?
//!
//! The base is laid onto the present first ([`Rigid`]), so that a part that was only moved in its file, stored in
//! another order, re-tessellated or exported again is the same part. Then distances of surfaces both ways, regions
//! of change, and the one dimension by which a builder tells old from new on the bench.
//!
//! Distances are from surface to surface (exact closest points), never from vertex to vertex: on a bump of 0.3 mm
//! the two differ by a quarter. This room returns values and places; it knows no kit and never says what to reprint.
//!
//! Sources: Hausdorff distance of meshes by adaptive sampling: Cignoni, Rocchini, Scopigno 1998, and Guthe, Borodin,
//! Klein 2005 (bounds over a triangle by convexity); registration: Chen, Medioni 1992 (point to plane), Chetverikov
//! et al. 2002 (trimmed).

mod align;
mod area;
mod caliper;
mod change;
mod compared;
mod deviation;
mod eigen;
mod field;
mod identity;
mod near;
mod regions;
mod rigid;
mod shape;
mod sign;

pub use caliper::{Caliper, Dimension, LEAST_MM, RoundChange};
pub use change::{Asks, Body, PartChange, compare};
pub use compared::{Compared, Found, Meets, Near, Pair};
pub use deviation::{OneWay, vertex_distances};
pub use field::field;
pub use identity::Fingerprint;
pub use near::{moved_about, moved_near};
pub use regions::{MovedAt, Region};
pub use rigid::Rigid;
pub use shape::{Shape, alike, shape_of};
