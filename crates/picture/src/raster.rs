//! Which facet each sample of a picture sees, and how near it is: a depth buffer of facet numbers.
//!
//! Corners are snapped to 1/256 of a sample, edge functions are whole numbers (J. Pineda, "A parallel
//! algorithm for polygon rasterization", SIGGRAPH 1988), and a sample on an edge belongs to both
//! sides, so a closed mesh has no cracks. Nearer wins; of equals the lower facet number. Rows are
//! filled in fixed bands, so the result is the same with any number of threads.

use mesh::Mesh;
use mesh::vector::{Vec3, wide};

use crate::camera::View;

/// No facet: the sample sees past the part.
pub(crate) const NOTHING: u32 = u32::MAX;
/// Steps within a sample.
const SUB: i64 = 256;
/// Corners further out than this many samples are cut off first, so that whole numbers never overflow.
const GUARD: f64 = (1 << 20) as f64;
/// Marks a corner beyond the guard.
const OUTSIDE: i32 = i32::MAX;
const CHUNK: usize = 1 << 14;
/// Samples rows of a band.
const BAND: usize = 64;

/// What one sample sees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Sample {
    /// mm in front of the view's centre; minus infinity where nothing is seen.
    pub depth: f32,
    /// The facet, or [`NOTHING`].
    pub facet: u32,
}

/// Samples of a whole picture, `per_px` by `per_px` a pixel.
pub(crate) struct Seen {
    pub width: usize,
    pub height: usize,
    pub per_px: usize,
    bands: Vec<Band>,
}

/// The samples of [`BAND`] rows, row by row.
struct Band {
    depth: Vec<f32>,
    facet: Vec<u32>,
}

impl Seen {
    /// Facets of a row.
    #[inline]
    pub(crate) fn facets(&self, y: usize) -> &[u32] {
        let at = (y % BAND) * self.width;
        &self.bands[y / BAND].facet[at..at + self.width]
    }

    /// Depths of a row, mm.
    #[inline]
    pub(crate) fn depths(&self, y: usize) -> &[f32] {
        let at = (y % BAND) * self.width;
        &self.bands[y / BAND].depth[at..at + self.width]
    }

    #[inline]
    pub(crate) fn at(&self, x: usize, y: usize) -> Sample {
        Sample {
            depth: self.depths(y)[x],
            facet: self.facets(y)[x],
        }
    }
}

/// A corner on the grid of samples: x and y in steps of 1/SUB, depth in mm.
#[derive(Clone, Copy)]
struct Corner {
    x: i32,
    y: i32,
    depth: f32,
}

/// Looks at a mesh.
pub(crate) fn look(mesh: &Mesh, view: &View, per_px: usize) -> Seen {
    look_at(mesh, view, per_px, |p| p)
}

/// Looks at a mesh whose every vertex is moved by `moved` first.
pub(crate) fn look_at(
    mesh: &Mesh,
    view: &View,
    per_px: usize,
    moved: impl Fn(Vec3) -> Vec3 + Sync,
) -> Seen {
    let per_px = per_px.max(1);
    let (width, height) = (view.width_px * per_px, view.height_px * per_px);
    let place = |p: Vec3| {
        let [x, y, depth] = view.project(moved(p));
        [x * per_px as f64, y * per_px as f64, depth]
    };
    let corners: Vec<Corner> = parallel::chunks(mesh.vertices.len(), CHUNK, |range| {
        mesh.vertices[range]
            .iter()
            .map(|&v| snapped(place(wide(v))))
            .collect::<Vec<_>>()
    })
    .concat();
    let count = height.div_ceil(BAND);
    // First and last band of each facet; first above last where it touches no sample row.
    let mut reach: Vec<[u16; 2]> = vec![[1, 0]; mesh.triangles.len()];
    parallel::fill(&mut reach, CHUNK, |first, slice| {
        for (k, r) in slice.iter_mut().enumerate() {
            let c = mesh.triangles[first + k].map(|v| corners[v as usize]);
            *r = bands_of(&c, width, count);
        }
    });
    let bands = parallel::chunks(height, BAND, |range| {
        let band = range.start / BAND;
        let mut rows = Rows {
            width,
            top: range.start,
            count: range.len(),
            depth: vec![f32::NEG_INFINITY; width * range.len()],
            facet: vec![NOTHING; width * range.len()],
        };
        for (t, r) in reach.iter().enumerate() {
            if usize::from(r[0]) <= band && band <= usize::from(r[1]) {
                let ids = mesh.triangles[t];
                let c = ids.map(|v| corners[v as usize]);
                if c.iter().any(|c| c.x == OUTSIDE) {
                    let exact = ids.map(|v| place(wide(mesh.vertices[v as usize])));
                    for piece in cut_to_guard(&exact, width, height) {
                        rows.draw(piece.map(snapped), t as u32);
                    }
                } else {
                    rows.draw(c, t as u32);
                }
            }
        }
        Band {
            depth: rows.depth,
            facet: rows.facet,
        }
    });
    Seen {
        width,
        height,
        per_px,
        bands,
    }
}

fn snapped(p: Vec3) -> Corner {
    let depth = p[2] as f32;
    if p[0].abs() < GUARD && p[1].abs() < GUARD && depth.is_finite() {
        Corner {
            x: libm::round(p[0] * SUB as f64) as i32,
            y: libm::round(p[1] * SUB as f64) as i32,
            depth,
        }
    } else {
        Corner {
            x: OUTSIDE,
            y: OUTSIDE,
            depth,
        }
    }
}

fn bands_of(c: &[Corner; 3], width: usize, bands: usize) -> [u16; 2] {
    let last = bands.saturating_sub(1) as i64;
    if c.iter().any(|c| c.x == OUTSIDE) {
        return [0, last as u16];
    }
    let (xs, ys) = (c.map(|c| i64::from(c.x)), c.map(|c| i64::from(c.y)));
    let low = |v: [i64; 3]| v[0].min(v[1]).min(v[2]);
    let high = |v: [i64; 3]| v[0].max(v[1]).max(v[2]);
    let (first_row, last_row) = (first_sample(low(ys)), last_sample(high(ys)));
    let across = first_sample(low(xs)) <= last_sample(high(xs))
        && last_sample(high(xs)) >= 0
        && first_sample(low(xs)) < width as i64;
    if !across || first_row > last_row || last_row < 0 {
        return [1, 0];
    }
    let band = |row: i64| row.max(0) / BAND as i64;
    if band(first_row) > last {
        return [1, 0];
    }
    [band(first_row) as u16, band(last_row).min(last) as u16]
}

/// The first sample whose middle is not before a place.
#[inline]
fn first_sample(at: i64) -> i64 {
    (at - SUB / 2 + SUB - 1).div_euclid(SUB)
}

/// The last sample whose middle is not after a place.
#[inline]
fn last_sample(at: i64) -> i64 {
    (at - SUB / 2).div_euclid(SUB)
}

struct Rows {
    width: usize,
    top: usize,
    count: usize,
    depth: Vec<f32>,
    facet: Vec<u32>,
}

impl Rows {
    fn draw(&mut self, c: [Corner; 3], facet: u32) {
        let x = c.map(|c| i64::from(c.x));
        let mut y = c.map(|c| i64::from(c.y));
        let mut x = x;
        let mut depth = c.map(|c| f64::from(c.depth));
        let mut area = (x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0]);
        if area == 0 || depth.iter().any(|d| !d.is_finite()) {
            return;
        }
        if area < 0 {
            x.swap(1, 2);
            y.swap(1, 2);
            depth.swap(1, 2);
            area = -area;
        }
        // Edge k runs from corner k to the next: a x + b y + c is not negative inside.
        let edge = |i: usize, j: usize| {
            let (a, b) = (y[i] - y[j], x[j] - x[i]);
            [a, b, -(a * x[i] + b * y[i])]
        };
        let edges = [edge(0, 1), edge(1, 2), edge(2, 0)];
        let inverse = 1.0 / area as f64;
        let (d1, d2) = (depth[1] - depth[0], depth[2] - depth[0]);
        // Depth is linear: the weights of corners 1 and 2 are the edges that lie opposite to them.
        let along_x = (edges[2][0] as f64 * d1 + edges[0][0] as f64 * d2) * inverse;
        let along_y = (edges[2][1] as f64 * d1 + edges[0][1] as f64 * d2) * inverse;
        let base = depth[0] + (edges[2][2] as f64 * d1 + edges[0][2] as f64 * d2) * inverse;
        let nearest = depth[0].max(depth[1]).max(depth[2]) as f32;
        let furthest = depth[0].min(depth[1]).min(depth[2]) as f32;
        let low = |v: &[i64; 3]| v[0].min(v[1]).min(v[2]);
        let high = |v: &[i64; 3]| v[0].max(v[1]).max(v[2]);
        let left = first_sample(low(&x)).max(0);
        let right = last_sample(high(&x)).min(self.width as i64 - 1);
        let first = first_sample(low(&y)).max(self.top as i64);
        let last = last_sample(high(&y)).min((self.top + self.count) as i64 - 1);
        for row in first..=last {
            let py = row * SUB + SUB / 2;
            let (mut from, mut to) = (left, right);
            for [a, b, c] in edges {
                let rest = a * (SUB / 2) + b * py + c;
                if a > 0 {
                    from = from.max(-rest.div_euclid(a * SUB));
                } else if a < 0 {
                    to = to.min(rest.div_euclid(-a * SUB));
                } else if rest < 0 {
                    to = from - 1;
                }
            }
            if from > to {
                continue;
            }
            let start = base + along_y * py as f64 + along_x * (from * SUB + SUB / 2) as f64;
            let step = along_x * SUB as f64;
            let at = (row as usize - self.top) * self.width;
            let span = at + from as usize..=at + to as usize;
            let depths = &mut self.depth[span.clone()];
            for (k, (s, f)) in depths.iter_mut().zip(&mut self.facet[span]).enumerate() {
                let d = ((start + step * k as f64) as f32).clamp(furthest, nearest);
                if d > *s {
                    *s = d;
                    *f = facet;
                }
            }
        }
    }
}

/// The part of a triangle within the guarded square around the picture, as triangles
/// (I. E. Sutherland and G. W. Hodgman, "Reentrant polygon clipping", CACM 17(1), 1974).
fn cut_to_guard(corners: &[Vec3; 3], width: usize, height: usize) -> Vec<[Vec3; 3]> {
    if corners.iter().flatten().any(|c| !c.is_finite()) {
        return Vec::new();
    }
    let mut polygon = corners.to_vec();
    // A little outside the picture, well inside the guard.
    let (w, h) = (width as f64, height as f64);
    let sides: [(usize, f64, f64); 4] = [(0, 1.0, w), (0, -1.0, w), (1, 1.0, h), (1, -1.0, h)];
    for (axis, sign, size) in sides {
        // sign +1 keeps what lies below twice the size, -1 what lies above minus the size.
        let inside = |p: &Vec3| {
            if sign > 0.0 {
                2.0 * size - p[axis]
            } else {
                p[axis] + size
            }
        };
        let mut kept = Vec::with_capacity(polygon.len() + 1);
        for (k, p) in polygon.iter().enumerate() {
            let q = &polygon[(k + 1) % polygon.len()];
            let (dp, dq) = (inside(p), inside(q));
            if dp >= 0.0 {
                kept.push(*p);
            }
            if (dp >= 0.0) != (dq >= 0.0) {
                let s = dp / (dp - dq);
                kept.push([0, 1, 2].map(|i| p[i] + s * (q[i] - p[i])));
            }
        }
        polygon = kept;
        if polygon.len() < 3 {
            return Vec::new();
        }
    }
    (1..polygon.len() - 1)
        .map(|k| [polygon[0], polygon[k], polygon[k + 1]])
        .collect()
}
