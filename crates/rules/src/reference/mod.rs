//! Bodies that are not printed.

pub mod unreadable;
