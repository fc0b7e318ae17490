//! OBJ: vertices, polygons, objects and groups; everything about looks is passed over.
//!
//! Own code, with tobj as the witness in the tests: tobj splits a mesh by material, cuts every polygon into
//! a fan, and names no line. Names of materials and textures are never opened.

use std::collections::BTreeSet;

use super::fault::{DecodeFault, Place};
use super::format::{DecodeLimits, Format};
use super::polygon::{Budget, TooCostly, triangulate};
use super::sniff::{self, Content};
use super::text::{quoted, real};
use super::{Decoded, Oddity};

/// The state between lines.
struct Reader<'a> {
    limits: &'a DecodeLimits,
    asked: Option<&'a str>,
    decoded: Decoded,
    /// The object of every run of faces, or its group where no object is named.
    named: Vec<String>,
    /// Object and group that the next faces belong to.
    current: [String; 2],
    budget: Budget,
    corners: Vec<u32>,
    /// The greatest vertex number named so far, and the line that names it: faces may stand before their
    /// vertices.
    greatest: (u32, u64),
    /// Polygons of more than three corners that stand before their vertices, to be cut at the end: where
    /// their triangles stand, their corners, their line.
    early: Vec<(usize, Vec<u32>, u64)>,
    loose: usize,
}

/// Reads all objects and joins them, or the object or group named `object`.
pub(super) fn decode(
    bytes: &[u8],
    object: Option<&str>,
    limits: &DecodeLimits,
) -> Result<Decoded, DecodeFault> {
    match sniff::content(bytes) {
        Content::Text => {}
        found => {
            return Err(DecodeFault::WrongFormat {
                expected: Format::Obj,
                found,
            });
        }
    }
    let mut reader = Reader {
        limits,
        asked: object,
        decoded: Decoded {
            indexed: true,
            ..Decoded::default()
        },
        named: Vec::new(),
        current: [String::new(), String::new()],
        budget: Budget::new(),
        corners: Vec::new(),
        greatest: (0, 0),
        early: Vec::new(),
        loose: 0,
    };
    for (number, line) in Lines::of(bytes) {
        reader.line(number, &line)?;
    }
    reader.finish()
}

impl Reader<'_> {
    fn line(&mut self, number: u64, line: &[u8]) -> Result<(), DecodeFault> {
        let mut words = line
            .split(|b| b.is_ascii_whitespace() || *b == 0x0B)
            .filter(|w| !w.is_empty());
        match words.next() {
            Some(b"v") => {
                let mut p = [0.0; 3];
                for x in &mut p {
                    let word = words.next();
                    *x = word
                        .and_then(real)
                        .ok_or_else(|| wrong(number, "three numbers after \"v\"", word))?;
                }
                self.decoded.vertices.push(p);
            }
            Some(b"f") => {
                self.corners.clear();
                for word in words {
                    let corner = self.corner(number, word)?;
                    self.corners.push(corner);
                }
                self.face(number)?;
            }
            Some(b"o") => self.rename(0, line),
            Some(b"g") => self.rename(1, line),
            Some(b"p" | b"l" | b"curv" | b"curv2" | b"surf") => self.loose += 1,
            // Texture, normals, materials, smoothing and parameters of curves say nothing about the shape.
            _ => {}
        }
        Ok(())
    }

    /// The vertex of a corner `v`, `v/t`, `v//n` or `v/t/n`; negative numbers count back from the last vertex.
    fn corner(&mut self, line: u64, word: &[u8]) -> Result<u32, DecodeFault> {
        let first = word.split(|&b| b == b'/').next().unwrap_or_default();
        let expected = "a vertex number from 1, or negative to count back";
        let number: i64 = std::str::from_utf8(first)
            .ok()
            .and_then(|t| t.parse().ok())
            .ok_or_else(|| wrong(line, expected, Some(word)))?;
        let known = self.decoded.vertices.len() as i64;
        let index = if number < 0 {
            known + number
        } else {
            number - 1
        };
        let index = (number != 0)
            .then_some(index)
            .and_then(|i| u32::try_from(i).ok())
            .ok_or_else(|| wrong(line, expected, Some(word)))?;
        if index >= self.greatest.0 {
            self.greatest = (index, line);
        }
        Ok(index)
    }

    fn face(&mut self, line: u64) -> Result<(), DecodeFault> {
        if self.corners.len() < 3 {
            self.loose += 1;
            return Ok(());
        }
        let wanted = match self.asked {
            None => true,
            Some(asked) => self.current.iter().any(|name| name == asked),
        };
        self.mark_used();
        if !wanted {
            return Ok(());
        }
        let corners = &self.corners;
        let triangles = &mut self.decoded.triangles;
        let known = (self.greatest.0 as usize) < self.decoded.vertices.len();
        if corners.len() > 3 && known {
            triangulate(corners, &self.decoded.vertices, &mut self.budget, triangles)
                .map_err(|TooCostly| too_costly(corners, line))?;
        } else {
            if corners.len() > 3 {
                self.early.push((triangles.len(), corners.clone(), line));
            }
            // Room for the triangles of the polygon, so that they keep their place in the file.
            triangles.extend(corners[1..].windows(2).map(|w| [corners[0], w[0], w[1]]));
        }
        if triangles.len() > self.limits.max_triangles {
            return Err(DecodeFault::TooManyTriangles {
                count: triangles.len() as u64,
                limit: self.limits.max_triangles as u64,
            });
        }
        Ok(())
    }

    fn rename(&mut self, kind: usize, line: &[u8]) {
        let line = line.trim_ascii();
        let name = String::from_utf8_lossy(line[1..].trim_ascii()).into_owned();
        self.current[kind] = name;
    }

    fn mark_used(&mut self) {
        let name = self.current.iter().find(|name| !name.is_empty());
        if let Some(name) = name
            && self.named.last() != Some(name)
        {
            self.named.push(name.clone());
        }
    }

    fn finish(mut self) -> Result<Decoded, DecodeFault> {
        let count = self.decoded.vertices.len();
        if !self.decoded.triangles.is_empty() && self.greatest.0 as usize >= count {
            return Err(DecodeFault::Malformed {
                format: Format::Obj,
                place: Place::Line(self.greatest.1),
                expected: format!("a vertex number up to {count}"),
                found: format!("{}", u64::from(self.greatest.0) + 1),
            });
        }
        let mut cut = Vec::new();
        for (at, corners, line) in &self.early {
            cut.clear();
            triangulate(corners, &self.decoded.vertices, &mut self.budget, &mut cut)
                .map_err(|TooCostly| too_costly(corners, *line))?;
            self.decoded.triangles[*at..at + cut.len()].copy_from_slice(&cut);
        }
        let mut seen = BTreeSet::new();
        let objects: Vec<String> = std::mem::take(&mut self.named)
            .into_iter()
            .filter(|name| seen.insert(name.clone()))
            .collect();
        if let Some(asked) = self.asked
            && self.decoded.triangles.is_empty()
        {
            return Err(DecodeFault::Object {
                asked: asked.into(),
                matches: 0,
                known: objects,
            });
        }
        self.decoded.objects = objects;
        if self.loose > 0 {
            self.decoded
                .oddities
                .push(Oddity::LinesOrPoints { count: self.loose });
        }
        Ok(self.decoded)
    }
}

fn too_costly(corners: &[u32], line: u64) -> DecodeFault {
    DecodeFault::Unreadable {
        what: format!("a concave face of {} corners", corners.len()),
        place: Place::Line(line),
    }
}

fn wrong(line: u64, expected: &str, found: Option<&[u8]>) -> DecodeFault {
    DecodeFault::Malformed {
        format: Format::Obj,
        place: Place::Line(line),
        expected: expected.into(),
        found: found.map_or("the end of the line".into(), quoted),
    }
}

/// Lines with their numbers, comments cut off, and lines that end in a backslash joined to the next.
struct Lines<'a> {
    bytes: &'a [u8],
    number: u64,
}

impl<'a> Lines<'a> {
    fn of(bytes: &'a [u8]) -> Lines<'a> {
        Lines {
            bytes: bytes.strip_prefix(sniff::BYTE_ORDER_MARK).unwrap_or(bytes),
            number: 0,
        }
    }

    fn one(&mut self) -> Option<&'a [u8]> {
        if self.bytes.is_empty() {
            return None;
        }
        let end = self
            .bytes
            .iter()
            .position(|b| matches!(b, b'\n' | b'\r'))
            .unwrap_or(self.bytes.len());
        let line = &self.bytes[..end];
        let gap = match self.bytes[end..] {
            [b'\r', b'\n', ..] => 2,
            [] => 0,
            _ => 1,
        };
        self.bytes = &self.bytes[end + gap..];
        self.number += 1;
        Some(line)
    }
}

impl<'a> Iterator for Lines<'a> {
    type Item = (u64, std::borrow::Cow<'a, [u8]>);

    fn next(&mut self) -> Option<Self::Item> {
        let mut line = std::borrow::Cow::Borrowed(self.one()?);
        let number = self.number;
        while let Some(head) = line.strip_suffix(b"\\") {
            let mut joined = head.to_vec();
            joined.push(b' ');
            match self.one() {
                Some(next) => joined.extend_from_slice(next),
                None => {
                    line = joined.into();
                    break;
                }
            }
            line = joined.into();
        }
        if let Some(comment) = line.iter().position(|&b| b == b'#') {
            match &mut line {
                std::borrow::Cow::Borrowed(text) => *text = &text[..comment],
                std::borrow::Cow::Owned(text) => text.truncate(comment),
            }
        }
        Some((number, line))
    }
}

#[cfg(test)]
mod tests;
