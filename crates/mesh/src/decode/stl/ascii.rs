//! ASCII STL. Own code: it must read every solid of a file, keywords in any case, every line end, and name
//! the line of an error; stl_io is its witness in the tests.

use super::unshared;
use crate::decode::fault::DecodeFault;
use crate::decode::format::{DecodeLimits, Format};
use crate::decode::sniff;
use crate::decode::text::{Words, real};
use crate::decode::{Decoded, Oddity};

/// Reads all solids and joins them, or the one named `object`.
pub(super) fn decode(
    bytes: &[u8],
    object: Option<&str>,
    limits: &DecodeLimits,
) -> Result<Decoded, DecodeFault> {
    let bytes = bytes.strip_prefix(sniff::BYTE_ORDER_MARK).unwrap_or(bytes);
    let mut words = Words::new(bytes);
    let mut vertices: Vec<[f32; 3]> = Vec::new();
    let mut names: Vec<String> = Vec::new();
    let mut matches = 0;
    let mut oddities = Vec::new();
    loop {
        match words.next() {
            None => break,
            Some(word) if word.eq_ignore_ascii_case(b"solid") => {}
            Some(_) if !names.is_empty() => {
                let count = bytes.len() - words.last_start();
                oddities.push(Oddity::TrailingBytes {
                    count: count as u64,
                });
                break;
            }
            found => return Err(words.unexpected(Format::Stl, found, "\"solid\"")),
        }
        let name = String::from_utf8_lossy(words.rest_of_line()).into_owned();
        let wanted = object.is_none_or(|asked| asked == name);
        matches += usize::from(wanted);
        names.push(name);
        solid(&mut words, limits, |corners| {
            if wanted {
                vertices.extend(corners);
            }
            vertices.len() / 3
        })?;
    }
    if let Some(asked) = object
        && matches != 1
    {
        return Err(DecodeFault::Object {
            asked: asked.into(),
            matches,
            known: names,
        });
    }
    if object.is_none() && names.len() > 1 {
        oddities.push(Oddity::FurtherSolids {
            count: names.len() - 1,
        });
    }
    names.retain(|name| !name.is_empty());
    let triangles = unshared(vertices.len() / 3);
    Ok(Decoded {
        vertices,
        triangles,
        objects: names,
        oddities,
        ..Decoded::default()
    })
}

/// Reads facets up to and with `endsolid` and the rest of its line.
fn solid(
    words: &mut Words<'_>,
    limits: &DecodeLimits,
    mut take: impl FnMut([[f32; 3]; 3]) -> usize,
) -> Result<(), DecodeFault> {
    loop {
        match words.next() {
            Some(word) if word.eq_ignore_ascii_case(b"facet") => {}
            Some(word) if word.eq_ignore_ascii_case(b"endsolid") => {
                words.rest_of_line();
                return Ok(());
            }
            found => return Err(words.unexpected(Format::Stl, found, "\"facet\" or \"endsolid\"")),
        }
        keyword(words, "normal")?;
        // The normal follows from the corners, and many writers leave it wrong or not a number.
        triple(words)?;
        keyword(words, "outer")?;
        keyword(words, "loop")?;
        let mut corners = [[0.0; 3]; 3];
        for corner in &mut corners {
            keyword(words, "vertex")?;
            *corner = triple(words)?;
        }
        keyword(words, "endloop")?;
        keyword(words, "endfacet")?;
        let count = take(corners);
        if count > limits.max_triangles {
            return Err(DecodeFault::TooManyTriangles {
                count: count as u64,
                limit: limits.max_triangles as u64,
            });
        }
    }
}

fn keyword(words: &mut Words<'_>, expected: &str) -> Result<(), DecodeFault> {
    match words.next() {
        Some(word) if word.eq_ignore_ascii_case(expected.as_bytes()) => Ok(()),
        found => Err(words.unexpected(Format::Stl, found, &format!("\"{expected}\""))),
    }
}

fn triple(words: &mut Words<'_>) -> Result<[f32; 3], DecodeFault> {
    let mut triple = [0.0; 3];
    for x in &mut triple {
        let word = words.next();
        *x = match word.and_then(real) {
            Some(x) => x,
            None => {
                return Err(words.unexpected(
                    Format::Stl,
                    word,
                    "a number with a decimal point, such as 12.5 or 1.25e1",
                ));
            }
        };
    }
    Ok(triple)
}
