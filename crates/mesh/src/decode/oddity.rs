//! What is odd about a mesh file that could still be read.

use serde::{Deserialize, Serialize};

/// A departure that left the triangles readable; the rules decide what it is worth.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Oddity {
    /// Bytes after the last triangle that no reader will look at.
    TrailingBytes {
        /// How many.
        count: u64,
    },
    /// Lines of an ASCII PLY with more words than its header names; the surplus is passed over.
    SurplusWords {
        /// How many lines.
        rows: usize,
    },
    /// An ASCII STL with more than one solid: all are read and joined here, while a reader that stops at
    /// the first loses the others.
    FurtherSolids {
        /// Solids after the first.
        count: usize,
    },
    /// Triangles with a coordinate that is no finite number; they are left out.
    NotFinite {
        /// Number of the first such triangle in the file, from 0.
        first_triangle: usize,
        /// How many.
        count: usize,
    },
    /// Content of a 3MF extension that is not read; the geometry is complete without it.
    ExtensionUnread {
        /// The namespace that names the extension.
        namespace: String,
    },
    /// Points, lines or curves that have no surface and are left out.
    LinesOrPoints {
        /// How many.
        count: usize,
    },
    /// An object of a 3MF build that is not printed as part of the model (support, surface), left out.
    NotPrinted {
        /// Its name, or its id where it has none.
        object: String,
        /// Its type as the file writes it.
        kind: String,
    },
    /// Metadata of a 3MF whose name is neither listed by the standard (3MF Core 1.4.0, clause 3.4.1) nor
    /// within a namespace; its value is not used.
    MetadataUnlisted {
        /// The name as the file writes it.
        name: String,
    },
}
