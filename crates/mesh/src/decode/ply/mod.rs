//! PLY: ASCII, binary little-endian, binary big-endian; polygons, and the triangle strips of scanners.
//!
//! Source: the format's 1994 description (from memory; no standard exists). Everything but the positions,
//! the faces and the strips is read over.

mod body;
mod header;

use super::fault::{DecodeFault, Place};
use super::format::{DecodeLimits, Format};
use super::polygon::{Budget, triangulate};
use super::sniff::{self, Content};
use super::{Decoded, Oddity};
use body::Body;
use header::{Element, Property, Shape};

/// Reads the vertices and faces. A PLY names no objects, so any `object` is refused.
pub(super) fn decode(
    bytes: &[u8],
    object: Option<&str>,
    limits: &DecodeLimits,
) -> Result<Decoded, DecodeFault> {
    match sniff::content(bytes) {
        Content::Ply => {}
        found => {
            return Err(DecodeFault::WrongFormat {
                expected: Format::Ply,
                found,
            });
        }
    }
    if let Some(asked) = object {
        return Err(DecodeFault::Object {
            asked: asked.into(),
            matches: 0,
            known: Vec::new(),
        });
    }
    let header = header::read(bytes)?;
    let mut body = Body::new(bytes, &header);
    let mut mesh = Mesh {
        decoded: Decoded {
            indexed: true,
            ..Decoded::default()
        },
        budget: Budget::new(),
        limit: limits.max_triangles,
        loose: 0,
    };
    for element in &header.elements {
        body.room_for(element)?;
        let vertices = mesh.decoded.vertices.len();
        match element.name.as_str() {
            "vertex" => mesh.vertices(element, &mut body)?,
            "face" => mesh.faces(element, &mut body, vertices)?,
            "tristrips" => mesh.strips(element, &mut body, vertices)?,
            _ => {
                for _ in 0..element.rows() {
                    body.skip(element)?;
                }
            }
        }
    }
    let mut decoded = mesh.decoded;
    // A vertex list without any face is a cloud of points.
    let points = if decoded.triangles.is_empty() {
        decoded.vertices.len()
    } else {
        0
    };
    if mesh.loose + points > 0 {
        decoded.oddities.push(Oddity::LinesOrPoints {
            count: mesh.loose + points,
        });
    }
    if body.surplus() > 0 {
        decoded.oddities.push(Oddity::SurplusWords {
            rows: body.surplus(),
        });
    }
    let left = body.left();
    if left > 0 {
        decoded
            .oddities
            .push(Oddity::TrailingBytes { count: left as u64 });
    }
    Ok(decoded)
}

struct Mesh {
    decoded: Decoded,
    budget: Budget,
    limit: usize,
    loose: usize,
}

impl Mesh {
    fn vertices(&mut self, element: &Element, body: &mut Body<'_>) -> Result<(), DecodeFault> {
        let axes: Vec<Option<usize>> = element
            .properties
            .iter()
            .map(|p| ["x", "y", "z"].iter().position(|axis| p.name == *axis))
            .collect();
        if (0..3).any(|k| axes.iter().filter(|a| **a == Some(k)).count() != 1)
            || element
                .properties
                .iter()
                .zip(&axes)
                .any(|(p, axis)| axis.is_some() && matches!(p.shape, Shape::List { .. }))
        {
            return Err(DecodeFault::Malformed {
                format: Format::Ply,
                place: Place::Line(element.line),
                expected: "vertices with the numbers x, y and z".into(),
                found: element.names(),
            });
        }
        for _ in 0..element.rows() {
            let mut p = [0.0f32; 3];
            for (property, axis) in element.properties.iter().zip(&axes) {
                match (axis, property.shape) {
                    (Some(k), Shape::Scalar(kind)) => p[*k] = body.real(kind)?,
                    _ => body.skip_one(property)?,
                }
            }
            body.end_row();
            self.decoded.vertices.push(p);
        }
        Ok(())
    }

    fn faces(
        &mut self,
        element: &Element,
        body: &mut Body<'_>,
        vertices: usize,
    ) -> Result<(), DecodeFault> {
        let corners_at = indices_of(element)?;
        let mut corners: Vec<u32> = Vec::new();
        for _ in 0..element.rows() {
            for (k, property) in element.properties.iter().enumerate() {
                if k != corners_at {
                    body.skip_one(property)?;
                    continue;
                }
                corners.clear();
                let len = body.list(property)?;
                for _ in 0..len {
                    let index = body.index(property)?;
                    let corner = usize::try_from(index)
                        .ok()
                        .filter(|&i| i < vertices)
                        .ok_or_else(|| body.wrong_index(index, vertices))?;
                    corners.push(corner as u32);
                }
            }
            body.end_row();
            if corners.len() < 3 {
                self.loose += 1;
                continue;
            }
            let triangles = &mut self.decoded.triangles;
            check_count(triangles.len() + corners.len() - 2, self.limit)?;
            triangulate(
                &corners,
                &self.decoded.vertices,
                &mut self.budget,
                triangles,
            )
            .map_err(|_| DecodeFault::Unreadable {
                what: format!("a concave face of {} corners", corners.len()),
                place: body.place(),
            })?;
        }
        Ok(())
    }

    /// Strips: each vertex after the second makes a triangle with the two before it, every other one turned;
    /// -1 begins a new strip.
    fn strips(
        &mut self,
        element: &Element,
        body: &mut Body<'_>,
        vertices: usize,
    ) -> Result<(), DecodeFault> {
        let corners_at = indices_of(element)?;
        for _ in 0..element.rows() {
            for (k, property) in element.properties.iter().enumerate() {
                if k != corners_at {
                    body.skip_one(property)?;
                    continue;
                }
                let mut last = [0u32; 2];
                let mut run = 0usize;
                let len = body.list(property)?;
                for _ in 0..len {
                    let index = body.index(property)?;
                    if index == -1 {
                        run = 0;
                        continue;
                    }
                    let v = usize::try_from(index)
                        .ok()
                        .filter(|&i| i < vertices)
                        .ok_or_else(|| body.wrong_index(index, vertices))?
                        as u32;
                    let [a, b] = last;
                    if run >= 2 {
                        let turned = run % 2 == 1;
                        check_count(self.decoded.triangles.len() + 1, self.limit)?;
                        // A strip repeats a vertex to turn a corner: that triangle is no facet of the part.
                        if a != b && b != v && a != v {
                            self.decoded
                                .triangles
                                .push(if turned { [b, a, v] } else { [a, b, v] });
                        }
                    }
                    last = [b, v];
                    run += 1;
                }
            }
            body.end_row();
        }
        Ok(())
    }
}

fn check_count(count: usize, limit: usize) -> Result<(), DecodeFault> {
    if count > limit {
        return Err(DecodeFault::TooManyTriangles {
            count: count as u64,
            limit: limit as u64,
        });
    }
    Ok(())
}

/// Which property of a face or strip lists its vertices.
fn indices_of(element: &Element) -> Result<usize, DecodeFault> {
    let fits = |p: &Property| {
        matches!(p.name.as_str(), "vertex_indices" | "vertex_index")
            && matches!(p.shape, Shape::List { .. })
    };
    element
        .properties
        .iter()
        .position(fits)
        .ok_or_else(|| DecodeFault::Malformed {
            format: Format::Ply,
            place: Place::Line(element.line),
            expected: "a list property named vertex_indices".into(),
            found: element.names(),
        })
}

#[cfg(test)]
mod tests;
