//! The stages, a file each, in the order of the data's flow.

pub mod read;
pub mod load;
pub mod inspect;
pub mod judge;
pub mod draft;
pub mod draw;
pub mod report;
pub mod bundle;
