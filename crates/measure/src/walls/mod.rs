//! Wall thickness and gap width over the whole surface of one part, and what stands out about thin places.
//!
//! The thickness at a point of the surface is the diameter of the largest ball that touches it there from
//! inside and holds no surface that faces the other way: the shrinking ball of Ma, Bae and Choi ("3D medial
//! axis point approximation using nearest neighbors and the normal field", The Visual Computer 28, 2012).
//! It counts only where the two contact normals are at least 120 degrees apart; elsewhere the point has no
//! opposing wall, which is neither thick nor thin. A ray along the normal is the pre-filter. The same
//! measure outward is the width of a gap.
//!
//! The caller asks "where is it thinner than this" in plain lengths ([`Ask`]); this room answers with
//! places. It must not know what a nozzle may print, nor whether a place is good or bad.

mod ask;
mod ball;
mod buried;
mod cluster;
mod cones;
mod feather;
mod field;
mod places;
mod probe;
mod refine;
mod sampling;
mod survey;

pub use ask::{Ask, Asks};
pub use ball::{Ball, Ground, Side, ball_at, normals};
pub use cones::{Cone, cones};
pub use feather::Feather;
pub use field::Reading;
pub use places::{MOST_PLACES, Place, Places};
pub use survey::{Unmeasured, Walls, measure};
