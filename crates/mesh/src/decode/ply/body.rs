//! The numbers after a PLY header, one by one, whatever they are written in.

use super::header::{Element, Encoding, Header, Kind, Property, Shape};
use crate::decode::fault::{DecodeFault, Place};
use crate::decode::format::Format;
use crate::decode::text::{line_of, quoted};

/// A walk over the body.
pub(super) struct Body<'a> {
    bytes: &'a [u8],
    at: usize,
    encoding: Encoding,
    start: usize,
    header_lines: u64,
    surplus: usize,
}

impl<'a> Body<'a> {
    pub(super) fn new(bytes: &'a [u8], header: &Header) -> Body<'a> {
        Body {
            bytes,
            at: header.body,
            encoding: header.encoding,
            start: header.body,
            header_lines: header.lines,
            surplus: 0,
        }
    }

    /// Rows of a text with more words than the header names.
    pub(super) fn surplus(&self) -> usize {
        self.surplus
    }

    /// A row has been read: in a text it has a line of its own, and what is left of the line belongs to no
    /// property that the header names.
    pub(super) fn end_row(&mut self) {
        if self.encoding != Encoding::Ascii {
            return;
        }
        let rest = &self.bytes[self.at..];
        let end = rest
            .iter()
            .position(|b| matches!(b, b'\n' | b'\r'))
            .unwrap_or(rest.len());
        self.surplus += usize::from(!rest[..end].trim_ascii().is_empty());
        self.at += end;
    }

    /// Refuses a count of rows that the bytes left cannot hold, before anything is read for it.
    pub(super) fn room_for(&self, element: &Element) -> Result<(), DecodeFault> {
        let least = |p: &Property| match (self.encoding, p.shape) {
            // A digit and a space; the very last number needs no space.
            (Encoding::Ascii, _) => 2,
            (_, Shape::Scalar(kind)) => kind.bytes(),
            (_, Shape::List { count, .. }) => count.bytes(),
        };
        let row: usize = element.properties.iter().map(least).sum();
        let slack = u64::from(self.encoding == Encoding::Ascii);
        let needed = element.count.saturating_mul(row as u64);
        let left = (self.bytes.len() - self.at) as u64 + slack;
        if needed > left {
            return Err(DecodeFault::Truncated {
                expected_bytes: (self.at as u64).saturating_add(needed),
                found_bytes: self.bytes.len() as u64,
                announced_by: format!(
                    "a header that claims {} rows of {}",
                    element.count,
                    quoted(element.name.as_bytes())
                ),
            });
        }
        Ok(())
    }

    /// Bytes left, white space at the end of a text aside.
    pub(super) fn left(&self) -> usize {
        let rest = &self.bytes[self.at..];
        match self.encoding {
            Encoding::Ascii => rest.trim_ascii().len(),
            // A text editor's line end after binary data is no content.
            _ if rest.iter().all(u8::is_ascii_whitespace) && rest.len() <= 2 => 0,
            _ => rest.len(),
        }
    }

    /// Where the walk stands.
    pub(super) fn place(&self) -> Place {
        match self.encoding {
            Encoding::Ascii => Place::Line(
                self.header_lines
                    + line_of(
                        &self.bytes[self.start..],
                        self.at.saturating_sub(self.start + 1),
                    ),
            ),
            _ => Place::Byte(self.at as u64),
        }
    }

    fn word(&mut self) -> Result<&'a [u8], DecodeFault> {
        let rest = self.bytes[self.at..].trim_ascii_start();
        let len = rest
            .iter()
            .position(u8::is_ascii_whitespace)
            .unwrap_or(rest.len());
        self.at = self.bytes.len() - rest.len() + len;
        if len == 0 {
            return Err(DecodeFault::EndsEarly {
                place: self.place(),
                expected: "another number".into(),
            });
        }
        Ok(&rest[..len])
    }

    fn take<const N: usize>(&mut self) -> Result<[u8; N], DecodeFault> {
        let Some(four) = self.bytes.get(self.at..self.at + N) else {
            return Err(DecodeFault::EndsEarly {
                place: Place::Byte(self.at as u64),
                expected: format!("a number of {N} bytes"),
            });
        };
        let mut taken = [0; N];
        taken.copy_from_slice(four);
        if self.encoding == Encoding::Big {
            taken.reverse();
        }
        self.at += N;
        Ok(taken)
    }

    fn binary(&mut self, kind: Kind) -> Result<f64, DecodeFault> {
        Ok(match kind {
            Kind::I8 => f64::from(i8::from_le_bytes(self.take()?)),
            Kind::U8 => f64::from(u8::from_le_bytes(self.take()?)),
            Kind::I16 => f64::from(i16::from_le_bytes(self.take()?)),
            Kind::U16 => f64::from(u16::from_le_bytes(self.take()?)),
            Kind::I32 => f64::from(i32::from_le_bytes(self.take()?)),
            Kind::U32 => f64::from(u32::from_le_bytes(self.take()?)),
            Kind::F32 => f64::from(f32::from_le_bytes(self.take()?)),
            Kind::F64 => f64::from_le_bytes(self.take()?),
        })
    }

    fn parsed<T: std::str::FromStr>(&mut self, expected: &str) -> Result<T, DecodeFault> {
        let word = self.word()?;
        std::str::from_utf8(word)
            .ok()
            .and_then(|t| t.parse().ok())
            .ok_or_else(|| DecodeFault::Malformed {
                format: Format::Ply,
                place: self.place(),
                expected: expected.into(),
                found: quoted(word),
            })
    }

    /// A coordinate.
    pub(super) fn real(&mut self, kind: Kind) -> Result<f32, DecodeFault> {
        match self.encoding {
            Encoding::Ascii => self.parsed("a number"),
            _ => Ok(self.binary(kind)? as f32),
        }
    }

    fn whole(&mut self, kind: Kind, expected: &str) -> Result<i64, DecodeFault> {
        if self.encoding == Encoding::Ascii {
            return self.parsed(expected);
        }
        let x = self.binary(kind)?;
        if x.trunc() == x && x.abs() < 9e15 {
            return Ok(x as i64);
        }
        Err(DecodeFault::Malformed {
            format: Format::Ply,
            place: self.place(),
            expected: expected.into(),
            found: format!("{x}"),
        })
    }

    /// The length of a list that comes next, held against the bytes left.
    pub(super) fn list(&mut self, property: &Property) -> Result<u64, DecodeFault> {
        let Shape::List { count, item } = property.shape else {
            return Ok(1);
        };
        let len = self.whole(count, "the length of a list")?;
        let least = match self.encoding {
            Encoding::Ascii => 2,
            _ => item.bytes() as u64,
        };
        let left = (self.bytes.len() - self.at) as u64 + 1;
        match u64::try_from(len) {
            Ok(len) if len.saturating_mul(least) <= left => Ok(len),
            _ => Err(DecodeFault::Malformed {
                format: Format::Ply,
                place: self.place(),
                expected: "the length of a list that fits into the file".into(),
                found: len.to_string(),
            }),
        }
    }

    /// A vertex number of a list whose length has been read.
    pub(super) fn index(&mut self, property: &Property) -> Result<i64, DecodeFault> {
        let (Shape::List { item: kind, .. } | Shape::Scalar(kind)) = property.shape;
        self.whole(kind, "a vertex number")
    }

    /// The fault of a vertex number just read.
    pub(super) fn wrong_index(&self, index: i64, vertices: usize) -> DecodeFault {
        DecodeFault::Malformed {
            format: Format::Ply,
            place: self.place(),
            expected: format!("a vertex number below {vertices}"),
            found: index.to_string(),
        }
    }

    /// Reads over one property.
    pub(super) fn skip_one(&mut self, property: &Property) -> Result<(), DecodeFault> {
        let (kind, len) = match property.shape {
            Shape::Scalar(kind) => (kind, 1),
            Shape::List { item, .. } => (item, self.list(property)?),
        };
        for _ in 0..len {
            match self.encoding {
                Encoding::Ascii => {
                    self.word()?;
                }
                _ => {
                    self.binary(kind)?;
                }
            }
        }
        Ok(())
    }

    /// Reads over one row.
    pub(super) fn skip(&mut self, element: &Element) -> Result<(), DecodeFault> {
        for property in &element.properties {
            self.skip_one(property)?;
        }
        self.end_row();
        Ok(())
    }
}
