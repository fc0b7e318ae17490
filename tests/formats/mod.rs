//! The formats of a build server, each required field checked by code of ours: what is wrong comes back as
//! sentences. Sources: SARIF 2.1.0 (OASIS standard) and its limits at a code host; JUnit has no official standard,
//! so the strictest schema in use is held to; log commands as a code host documents them.

#![allow(dead_code, reason = "each suite uses a part of it")]

pub mod junit;
pub mod log;
pub mod sarif;
