//! Views of a finished verdict: terminal text, JSON, HTML. They decide nothing.
//!
//! Everything they say about a rule comes from the registry of crate `rules`; every number leaves through
//! module `number`.

mod against;
pub mod ci;
mod describe;
mod explain;
mod first;
mod html;
mod input;
mod json;
mod list;
mod number;
mod orient;
mod signoff;
mod text;
mod wrap;

pub use against::{NotesInput, diff_json, diff_text, draft, notes, promise_words};
pub use explain::{explain_finding, explain_part, explain_rule};
pub use html::{Figure, Figures, PageFault, html};
pub use input::{Checked, Extent, VERSION};
pub use json::{JsonFault, json, orientations_json};
pub use list::{parts_table, rules_markdown, rules_table, waivers_table};
pub use orient::orientations_text;
pub use signoff::signoff_table;
pub use text::{TextStyle, finding, last_line, text};
