//! One file per rule: id, words, level, source, the judging function and its tests.
//!
//! The only room that sees both facts and limits: a number meets a limit here and nowhere else. A rule is
//! `<family>/<fault>.rs` for the id `family.fault`; one line in [`registry`] registers it. A rule holds no
//! numeric literal but 0 and 1: limits stand in the tables of crate `limits`.

mod asks;
#[cfg(test)]
mod boxes;
pub mod bridge;
mod case;
pub mod change;
mod departure;
pub mod detail;
pub mod edge;
pub mod file;
pub mod first_layer;
pub mod floor;
pub mod gap;
mod guess;
pub mod internal;
pub mod island;
mod judge;
pub mod kit;
pub mod measures;
pub mod mesh;
pub mod mirror;
pub mod orientation;
pub mod overhang;
pub mod print;
pub mod promise;
pub mod reference;
pub mod registry;
pub mod regression;
pub mod reprint;
pub mod revision;
#[cfg(test)]
mod sample;
pub mod show;
pub mod signoff;
pub mod single_line;
pub mod size;
mod small;
pub mod stability;
pub mod string;
pub mod support;
#[cfg(test)]
mod trial;
mod unmeasured;
pub mod waiver;
pub mod wall;
pub mod warp;
pub mod words;

pub use asks::{ambiguity_asks, soundness_asks};
pub use case::{Case, PartCase, Purpose};
pub use departure::Departure;
pub use guess::{guess_unit, guess_up};
pub use judge::{judge, until};
pub use registry::{Entry, Judge, find};
pub use reprint::Against;
pub use small::may_be_small;
