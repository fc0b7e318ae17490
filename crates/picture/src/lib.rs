//! Pictures of parts: software rendering to PNG, sections to SVG, arrow solids for CAD.
//!
//! No graphics hardware and no text in a raster: labels belong to the page, at the pixel positions that
//! every picture returns. The bytes are the same with any number of threads. It must not know what a
//! finding means: it is told places, facets and lengths, and shows them.

pub mod camera;
pub mod canvas;
pub mod closeup;
pub mod ground;
mod ink;
pub mod marker;
pub mod marks;
pub mod palette;
pub mod plan_svg;
mod png_bytes;
mod raster;
pub mod render;
pub mod scale;
pub mod scaled;
pub mod section;
pub mod section_svg;
mod shadow;
pub mod sight;
pub mod strip_svg;
mod svg;

pub use camera::{ScaleBar, View};
pub use canvas::Image;
pub use closeup::{FindingPicture, Shown, finding_picture};
pub use ground::Ground;
pub use plan_svg::{Plan, plan_picture};
pub use render::{PartPicture, Scene, part_picture, render};
pub use scaled::{Eye, marked_picture, scaled_picture};
pub use section_svg::{SectionPicture, section_picture};
pub use sight::Sights;
pub use strip_svg::{Strip, StripPicture, strip_picture};
