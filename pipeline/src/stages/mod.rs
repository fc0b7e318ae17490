//! The stages, a file each, in the order of the data's flow.

pub mod announce;
pub mod base;
pub mod bundle;
pub mod compare;
pub mod draft;
pub mod draw;
pub mod inspect;
pub mod judge;
pub mod lay;
pub mod load;
pub mod look;
pub mod model;
pub mod origin;
pub mod read;
pub mod report;
pub mod signed;
