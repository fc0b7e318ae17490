//! How many layers close a part over its fill, against what closes it.

pub mod thin;
