//! The level of a rule, as a manifest may set it: the same type as a finding carries.

pub use findings::Level;
