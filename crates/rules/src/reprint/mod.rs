//! Must a builder print a part again? The class of every part against an earlier release, and the smallest step of
//! the kit's revision that follows from all of them.
//!
//! | class | when | unbuilt kit | finished kit |
//! |---|---|---|---|
//! | required | a face within reach of a posed neighbour, or of a declared fit or hole, moved by more than half the fit's gap range (`revisions.toml` where none is declared); or the old part failed a blocking rule that the new one passes | print the new part | print the new part, and what is glued to it |
//! | recommended | its surface moved by more than a fit without a gap may and no pose, fit or hole says what it meets; or another material, or the old part was warned of by a rule that says nothing of the new one | print the new part | keep, or print at the next repair |
//! | optional | its surface changed elsewhere, or it is laid or set otherwise | either | keep |
//! | same | its surface lies within the tolerance of the old one, wherever it lies in its file | either | keep |
//! | new | the old kit had no such part | print | print |
//! | retired | the kit has no such part any more | do not print | take off, or keep as it is |
//! | renamed | the same surface under another name | either | keep |
//!
//! A finished kit is closed over bonds: a part glued to a required part is required with it. A `[[change]]` may set
//! another class with its text; the notes say that it is the designer's word.
//!
//! | step of the revision | when |
//! |---|---|
//! | major | any part is required |
//! | minor | any part is new, recommended or retired, or is needed more often |
//! | patch | anything else changed |
//!
//! Source: the meaning of the three numbers is that of Semantic Versioning 2.0.0 (clauses 6 to 8; clause 4 for kits
//! before 1.0.0, where a step is one place lower), with "a part that fits the others" for its interface; the classes
//! are common practice, no source.

mod against;
mod asks;
mod bonds;
mod class;
mod mixed;
mod reason;
mod since;
mod step;

pub use against::Against;
pub use asks::{hole_reach_mm, rename_asks, surface_asks, within_reach_mm};
pub use class::{Class, Override, Row, Table, table};
pub use mixed::Mixed;
pub(crate) use since::mark;
pub use step::{Step, enough, smallest};
