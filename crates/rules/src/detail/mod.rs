//! Small things on solid ground: rivets, letters, panel lines.

pub mod lost;
