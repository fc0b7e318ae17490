//! The header of a PLY: which elements follow, with which properties.

use crate::decode::fault::{DecodeFault, Place};
use crate::decode::format::Format;
use crate::decode::text::quoted;

/// How the body is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Encoding {
    Ascii,
    Little,
    Big,
}

/// A number type.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Kind {
    fn of(name: &str) -> Option<Kind> {
        Some(match name {
            "char" | "int8" => Kind::I8,
            "uchar" | "uint8" => Kind::U8,
            "short" | "int16" => Kind::I16,
            "ushort" | "uint16" => Kind::U16,
            "int" | "int32" => Kind::I32,
            "uint" | "uint32" => Kind::U32,
            "float" | "float32" => Kind::F32,
            "double" | "float64" => Kind::F64,
            _ => return None,
        })
    }

    pub(super) fn bytes(self) -> usize {
        match self {
            Kind::I8 | Kind::U8 => 1,
            Kind::I16 | Kind::U16 => 2,
            Kind::I32 | Kind::U32 | Kind::F32 => 4,
            Kind::F64 => 8,
        }
    }
}

/// One number, or a counted list of numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    Scalar(Kind),
    List { count: Kind, item: Kind },
}

/// A named value of every row of an element.
#[derive(Debug)]
pub(super) struct Property {
    pub(super) name: String,
    pub(super) shape: Shape,
}

/// A table of the file: its rows follow the header.
#[derive(Debug)]
pub(super) struct Element {
    pub(super) name: String,
    /// Rows as the header claims them.
    pub(super) count: u64,
    pub(super) properties: Vec<Property>,
    /// The header line that begins it.
    pub(super) line: u64,
}

impl Element {
    /// Rows to read: a row without properties takes no bytes, so that any number of them is nothing.
    pub(super) fn rows(&self) -> u64 {
        if self.properties.is_empty() {
            0
        } else {
            self.count
        }
    }

    /// The names of the properties, for an error.
    pub(super) fn names(&self) -> String {
        let mut names: Vec<String> = self
            .properties
            .iter()
            .take(8)
            .map(|p| quoted(p.name.as_bytes()))
            .collect();
        if names.is_empty() {
            names.push("no properties".into());
        }
        names.join(", ")
    }
}

/// What the header says.
#[derive(Debug)]
pub(super) struct Header {
    pub(super) encoding: Encoding,
    pub(super) elements: Vec<Element>,
    /// Where the body begins, bytes.
    pub(super) body: usize,
    /// Lines of the header.
    pub(super) lines: u64,
}

/// Lines of a header that are read at most: comments can be many, but not a file's worth.
const LINES: u64 = 10_000;

/// Reads up to and with `end_header`.
pub(super) fn read(bytes: &[u8]) -> Result<Header, DecodeFault> {
    let mut at = 0;
    let mut number = 0;
    let mut encoding = None;
    let mut elements: Vec<Element> = Vec::new();
    loop {
        let rest = &bytes[at..];
        let end = rest
            .iter()
            .position(|b| matches!(b, b'\n' | b'\r'))
            .unwrap_or(rest.len());
        if rest.is_empty() || number == LINES {
            return Err(DecodeFault::EndsEarly {
                place: Place::Line(number),
                expected: "\"end_header\"".into(),
            });
        }
        let line = &rest[..end];
        // One line end only: the body of a binary file may begin with a line feed.
        at += end
            + match rest[end..] {
                [b'\r', b'\n', ..] => 2,
                [] => 0,
                _ => 1,
            };
        number += 1;
        if line.trim_ascii() == b"end_header" {
            break;
        }
        let wrong = |expected: &str| DecodeFault::Malformed {
            format: Format::Ply,
            place: Place::Line(number),
            expected: expected.into(),
            found: quoted(line),
        };
        let text = String::from_utf8_lossy(line);
        let words: Vec<&str> = text.split_ascii_whitespace().collect();
        match words[..] {
            ["ply"] if number == 1 => {}
            [] | ["comment" | "obj_info", ..] => {}
            ["format", name, _] => {
                encoding = Some(match name {
                    "ascii" => Encoding::Ascii,
                    "binary_little_endian" => Encoding::Little,
                    "binary_big_endian" => Encoding::Big,
                    _ => {
                        return Err(wrong("ascii, binary_little_endian or binary_big_endian"));
                    }
                });
            }
            ["element", name, count] => {
                let count = count.parse().map_err(|_| wrong("a whole number of rows"))?;
                elements.push(Element {
                    name: name.into(),
                    count,
                    properties: Vec::new(),
                    line: number,
                });
            }
            ["property", ref rest @ ..] => {
                let property = property(rest).ok_or_else(|| {
                    wrong("\"property\" with a number type and a name, or with a list")
                })?;
                elements
                    .last_mut()
                    .ok_or_else(|| wrong("an \"element\" before its properties"))?
                    .properties
                    .push(property);
            }
            _ => {
                return Err(wrong("format, element, property, comment or end_header"));
            }
        }
    }
    let encoding = encoding.ok_or_else(|| DecodeFault::Malformed {
        format: Format::Ply,
        place: Place::Line(number),
        expected: "a \"format\" line in the header".into(),
        found: "none".into(),
    });
    // A header alone, without element or format, is a file that holds nothing rather than a broken one.
    let encoding = if elements.is_empty() {
        encoding.unwrap_or(Encoding::Ascii)
    } else {
        encoding?
    };
    Ok(Header {
        encoding,
        elements,
        body: at,
        lines: number,
    })
}

fn property(words: &[&str]) -> Option<Property> {
    let (shape, name) = match words {
        ["list", count, item, name] => (
            Shape::List {
                count: Kind::of(count).filter(|k| !matches!(k, Kind::F32 | Kind::F64))?,
                item: Kind::of(item)?,
            },
            name,
        ),
        [kind, name] => (Shape::Scalar(Kind::of(kind)?), name),
        _ => return None,
    };
    Some(Property {
        name: (*name).into(),
        shape,
    })
}
