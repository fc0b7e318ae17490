//! Faults of the gate itself.

pub mod fault;
