//! How thick walls are, against what each promise can print.

mod asked;
mod fold;
mod kind;
pub mod layered;

pub mod lost;
pub mod thin;
pub mod unmeasured;

pub use asked::asks;
pub(crate) use asked::{Asked, Least, asked};
pub(crate) use fold::{Hit, fold, place_of, share};
pub(crate) use kind::{Kind, kind};
