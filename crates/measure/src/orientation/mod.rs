//! Orientation

mod candidates;
mod columns;
mod normal_image;
mod proxy;
mod slender;
mod surface;
