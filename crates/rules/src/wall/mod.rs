//! How thick walls are, against what each promise can print.

mod asked;
mod fold;
mod kind;

pub mod lost;
pub mod thin;
pub mod unmeasured;

pub use asked::asks;
pub(crate) use asked::{Asked, asked};
pub(crate) use fold::{Hit, fold, place_of};
pub(crate) use kind::{Kind, kind};
