//! Why a mesh file cannot be read: the cause, the place, and what to do.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt;

use super::format::Format;
use super::sniff::Content;

/// Where in a file a fault stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Place {
    /// A line of a text file, from 1.
    Line(u64),
    /// A byte of a binary file, from 0.
    Byte(u64),
    /// A part of a package, and its line where one is known.
    Part {
        /// The part's name in the package.
        name: String,
        /// The line within the part, from 1.
        line: Option<u64>,
    },
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::Line(line) => write!(f, "line {line}"),
            Place::Byte(at) => write!(f, "byte {at}"),
            Place::Part { name, line: None } => write!(f, "part {name}"),
            Place::Part {
                name,
                line: Some(line),
            } => write!(f, "part {name}, line {line}"),
        }
    }
}

/// Why the bytes are not a mesh that can be judged. [`fmt::Display`] says cause and remedy in one line;
/// [`DecodeFault::cause`] and [`DecodeFault::remedy`] say them apart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum DecodeFault {
    /// 0 bytes.
    Empty,
    /// The text that a version control system keeps in place of a large file.
    LargeFilePointer {
        /// The size of the real file, where the pointer says it, bytes.
        real_bytes: Option<u64>,
    },
    /// Content of another kind than the file name promises.
    WrongFormat {
        /// What the name promises.
        expected: Format,
        /// What the bytes are.
        found: Content,
    },
    /// A binary file that went through a conversion of line ends or of text encoding.
    TextConversion {
        /// What the conversion did, in words.
        evidence: String,
    },
    /// Fewer bytes than the file itself announces.
    Truncated {
        /// Bytes the file must have.
        expected_bytes: u64,
        /// Bytes it has.
        found_bytes: u64,
        /// What announces it, such as `a header that claims 12 triangles`.
        announced_by: String,
    },
    /// A text that ends in the middle of a construct.
    EndsEarly {
        /// The last line.
        place: Place,
        /// What should have followed.
        expected: String,
    },
    /// A header count that the size of the file contradicts.
    CountMismatch {
        /// Triangles the header claims.
        claimed: u64,
        /// Triangles the file has room for.
        room: u64,
    },
    /// More triangles than are read.
    TooManyTriangles {
        /// Triangles the file holds or claims.
        count: u64,
        /// The most that is read.
        limit: u64,
    },
    /// A package that unpacks to more than is read.
    UnpacksTooLarge {
        /// The part that went beyond it.
        part: String,
        /// The limit it went beyond, bytes.
        limit_bytes: u64,
    },
    /// The text or the numbers break the format.
    Malformed {
        /// The format.
        format: Format,
        /// Where.
        place: Place,
        /// What was expected there.
        expected: String,
        /// What stands there.
        found: String,
    },
    /// A 3MF that breaks the standard.
    Standard {
        /// Clause of the 3MF Core Specification 1.4.0.
        clause: Cow<'static, str>,
        /// Where.
        place: Place,
        /// What is wrong, in words.
        what: String,
    },
    /// A path in a package that leaves it.
    PartPath {
        /// The path as written.
        path: String,
    },
    /// The package cannot be opened as a zip archive, or one of its parts is damaged.
    Package {
        /// What is wrong, in words.
        what: String,
    },
    /// The object asked for is not in the file, or its name stands for several.
    Object {
        /// The name or id asked for.
        asked: String,
        /// How many objects bear it.
        matches: usize,
        /// What could be asked for instead.
        known: Vec<String>,
    },
    /// Geometry that this reader cannot read and must not drop.
    Unreadable {
        /// What it is.
        what: String,
        /// Where.
        place: Place,
    },
    /// A whole file without a single triangle that can be used.
    NoTriangles {
        /// What it holds instead, where that is known.
        unfit: Option<String>,
    },
}

impl DecodeFault {
    /// What is wrong and where, without the remedy.
    pub fn cause(&self) -> String {
        match self {
            DecodeFault::Empty => "the file is empty (0 bytes)".into(),
            DecodeFault::LargeFilePointer { real_bytes } => match real_bytes {
                Some(n) => {
                    format!("a large-file pointer, not the mesh (the real file has {n} bytes)")
                }
                None => "a large-file pointer, not the mesh".into(),
            },
            DecodeFault::WrongFormat { expected, found } => {
                format!("named as {expected}, but the content is {found}")
            }
            DecodeFault::TextConversion { evidence } => {
                format!("a binary file damaged by a conversion of text: {evidence}")
            }
            DecodeFault::Truncated {
                expected_bytes,
                found_bytes,
                announced_by,
            } => format!(
                "the file is cut short: {expected_bytes} bytes expected by {announced_by}, {found_bytes} found"
            ),
            DecodeFault::EndsEarly { place, expected } => {
                format!("the file ends at {place} where {expected} was expected")
            }
            DecodeFault::CountMismatch { claimed, room } => {
                format!("the header claims {claimed} triangles, the file has room for {room}")
            }
            DecodeFault::TooManyTriangles { count, limit } => {
                format!("{count} triangles, at most {limit} are read")
            }
            DecodeFault::UnpacksTooLarge { part, limit_bytes } => format!(
                "part {part} unpacks to more than {limit_bytes} bytes, out of all proportion to the file"
            ),
            DecodeFault::Malformed {
                format,
                place,
                expected,
                found,
            } => format!("broken {format} at {place}: expected {expected}, found {found}"),
            DecodeFault::Standard {
                clause,
                place,
                what,
            } => format!("{place}: {what} (3MF Core 1.4, clause {clause})"),
            DecodeFault::PartPath { path } => {
                format!("the package holds the path {path:?}, which leaves the package")
            }
            DecodeFault::Package { what } => format!("the 3MF package cannot be read: {what}"),
            DecodeFault::Object {
                asked,
                matches,
                known,
            } => {
                let known = known_objects(known);
                if *matches > 1 {
                    format!("{matches} objects are named {asked:?}; {known}")
                } else {
                    format!("no object is named {asked:?}; {known}")
                }
            }
            DecodeFault::Unreadable { what, place } => {
                format!("{place}: {what} is not read here, and the part would be wrong without it")
            }
            DecodeFault::NoTriangles { unfit } => match unfit {
                Some(words) => format!("the file holds no usable triangle: {words}"),
                None => "the file holds no triangle".into(),
            },
        }
    }

    /// What the designer can do about it.
    pub fn remedy(&self) -> &'static str {
        match self {
            DecodeFault::Empty | DecodeFault::EndsEarly { .. } | DecodeFault::Truncated { .. } => {
                "export the mesh again and check that the copy finished"
            }
            DecodeFault::LargeFilePointer { .. } => {
                "fetch the real file from the large-file store, then run again"
            }
            DecodeFault::WrongFormat { .. } => {
                "give the file the extension of its content, or export it in the named format"
            }
            DecodeFault::TextConversion { .. } => {
                "mark mesh files as binary in version control and transfer, then restore the original"
            }
            DecodeFault::CountMismatch { .. } => {
                "export the mesh again: the exporter did not finish its header"
            }
            DecodeFault::TooManyTriangles { .. } => "export with a coarser tolerance",
            DecodeFault::UnpacksTooLarge { .. } => "export the package again with a known program",
            DecodeFault::Malformed { .. } => "mend that place, or export the mesh again",
            DecodeFault::Standard { .. } => {
                "export the 3MF again with a program that follows the standard"
            }
            DecodeFault::PartPath { .. } => "remove the package: its paths are unsafe",
            DecodeFault::Package { .. } => "export the 3MF again and check that the copy finished",
            DecodeFault::Object { .. } => {
                "name one of the objects the file holds, by name or by id"
            }
            DecodeFault::Unreadable { .. } => "export the part as a plain mesh in one model part",
            DecodeFault::NoTriangles { .. } => "export the part as a surface mesh",
        }
    }

    /// The clause of the 3MF Core Specification 1.4.0 that the file breaks, where one is named.
    pub fn clause(&self) -> Option<&str> {
        match self {
            DecodeFault::Standard { clause, .. } => Some(clause),
            _ => None,
        }
    }
}

/// At most this many names are listed to a person.
const NAMES_SHOWN: usize = 8;

fn known_objects(known: &[String]) -> String {
    if known.is_empty() {
        return "the file names no objects".into();
    }
    let shown: Vec<&str> = known.iter().take(NAMES_SHOWN).map(String::as_str).collect();
    let more = known.len().saturating_sub(NAMES_SHOWN);
    let rest = if more > 0 {
        format!(" and {more} more")
    } else {
        String::new()
    };
    format!("it holds {}{rest}", shown.join(", "))
}

impl fmt::Display for DecodeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.cause(), self.remedy())
    }
}

impl std::error::Error for DecodeFault {}
