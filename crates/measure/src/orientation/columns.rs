//! What one direction costs, from upright columns through the surface: supports, first layer, tipping.
//!
//! The surface is cut by a grid of upright lines. Along each line the heights at which it enters and leaves the
//! part are sorted; a place where it enters from outside through a facet that leans over too far stands on support
//! down to what lies below. Each line is half-open at its edges and every edge is cut in one fixed order, so a
//! closed surface is entered as often as it is left. The first layer's footprint is the section at half its
//! height, summed exactly from the facets that cross it.

use mesh::vector::{Vec3, dot};

use super::surface::{Surface, frame};
use crate::hull2::convex_hull;

/// Fewer hits of overhangs than this say nothing about how far they are above what lies below.
const FEW: usize = 4;

/// Bodies nearer than this to what is below lie on it, mm.
const TOUCHING_MM: f32 = 0.01;
/// What faces within this of straight down may lie on the plate, cosine: 0.5 degrees.
const LEVEL: f32 = 0.999_96;
/// And does where none of it is higher, mm.
const ON_PLATE_MM: f32 = 0.02;

/// How a direction is measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Grid {
    /// Width of a column, mm; larger where there would be more than `most` columns, smaller where fewer than `least`.
    pub column_mm: f64,
    /// Columns at most.
    pub most: usize,
    /// Columns at least, if that takes columns below `column_mm`.
    pub least: usize,
}

/// What counts as overhang and first layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lean {
    /// Sine of the greatest angle from upright that needs no support.
    pub sine: f64,
    /// Height of the first layer, mm.
    pub first_layer_mm: f64,
}

/// One direction, measured.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Footing {
    /// Projected area of what needs support, mm2, without the first layer's footprint.
    pub overhang_mm2: f64,
    /// Volume of the columns below it, mm3.
    pub support_mm3: f64,
    /// Area where such columns stand on the part, mm2.
    pub landing_mm2: f64,
    /// Overhang and landing area on show faces, mm2.
    pub scar_mm2: f64,
    /// Extent along the direction, mm.
    pub height_mm: f64,
    /// Extents across it, mm: an upright box, not the least one.
    pub across_mm: [f64; 2],
    /// Section at half the height of the first layer, mm2.
    pub first_layer_mm2: f64,
    /// Faces of the part that lie on the plate, mm2.
    pub flat_mm2: f64,
    /// Angle by which the part may lean before it tips, degrees; below 0 it tips by itself.
    pub tip_deg: f64,
}

/// Where a line meets a facet.
#[derive(Clone, Copy)]
struct Hit {
    z: f32,
    next: u32,
    kind: u8,
}

const ENTERS: u8 = 1;
const OVERHANGS: u8 = 2;
const SHOWN: u8 = 4;
const END: u32 = u32::MAX;

/// Room that is used again for the next direction.
#[derive(Default)]
pub(super) struct Room {
    x: Vec<f32>,
    y: Vec<f32>,
    z: Vec<f32>,
    first: Vec<u32>,
    hits: Vec<Hit>,
    rim: Vec<[f64; 2]>,
}

/// Measures a direction. `centroid` is the part's centre of mass in the surface's own coordinates.
pub(super) fn footing(
    surface: &Surface,
    up: Vec3,
    centroid: Vec3,
    lean: Lean,
    grid: Grid,
    room: &mut Room,
) -> Footing {
    let rows = frame(up);
    let (low, high) = pose(surface, &rows, room);
    let size = [0, 1, 2].map(|k| f64::from(high[k] - low[k]));
    let column = column_of(size, grid);
    let counts = [0, 1].map(|k| (size[k] / column).ceil().max(1.0) as usize);
    // The grid stands in the middle of the part: its mirror image gets the mirror image of the grid.
    let origin =
        [0, 1].map(|k| 0.5 * f64::from(low[k] + high[k]) - 0.5 * counts[k] as f64 * column);
    room.first.clear();
    room.first.resize(counts[0] * counts[1], END);
    room.hits.clear();
    room.rim.clear();

    let floor = low[2];
    let first_top = floor + lean.first_layer_mm as f32;
    let cut = floor + 0.5 * lean.first_layer_mm as f32;
    let up32 = up.map(|x| x as f32);
    let (mut exact, mut hanging) = (0.0f64, 0.0f64);
    let (mut section, mut flat) = (0.0f64, 0.0f64);
    for (t, f) in surface.triangles.iter().zip(&surface.facets) {
        let [a, b, c] = t.map(|v| v as usize);
        let zs = [room.z[a], room.z[b], room.z[c]];
        let zmin = zs[0].min(zs[1]).min(zs[2]);
        if zmin < cut && zs[0].max(zs[1]).max(zs[2]) >= cut {
            section += crossing(room, [a, b, c], cut);
        }
        let nz = f.normal[0] * up32[0] + f.normal[1] * up32[1] + f.normal[2] * up32[2];
        if nz == 0.0 {
            continue;
        }
        let mut kind = if f.shown { SHOWN } else { 0 };
        if nz < 0.0 {
            kind |= ENTERS;
            if nz < -LEVEL && zs[0].max(zs[1]).max(zs[2]) <= floor + ON_PLATE_MM {
                flat += f64::from(f.area);
            }
            let middle = (zs[0] + zs[1] + zs[2]) / 3.0;
            if f64::from(-nz) > lean.sine && middle > first_top {
                kind |= OVERHANGS;
                let area = f64::from(f.area) * f64::from(-nz);
                exact += area;
                hanging += area * f64::from(middle - floor);
            }
        }
        strike(room, [a, b, c], kind, origin, column, counts);
    }
    let walked = walk(room, floor);
    let cell = column * column;
    let sampled = walked.struck as f64 * cell;
    let mut out = Footing {
        height_mm: size[2],
        across_mm: [size[0], size[1]],
        first_layer_mm2: 0.5 * section,
        flat_mm2: flat,
        ..Footing::default()
    };
    if walked.struck >= FEW {
        // The lines say how high, the facets how much: their ratio takes the grid's edges out.
        let share = exact / sampled;
        out.overhang_mm2 = walked.overhang as f64 * cell * share;
        out.support_mm3 = walked.volume * cell * share;
        out.landing_mm2 = walked.landing as f64 * cell * share;
        out.scar_mm2 = walked.scars as f64 * cell * share;
    } else {
        out.overhang_mm2 = exact;
        out.support_mm3 = hanging;
    }
    let over = [dot(rows[0], centroid), dot(rows[1], centroid)];
    let above = dot(up, centroid) - f64::from(floor);
    out.tip_deg = tip_deg(&convex_hull(&room.rim), over, above);
    out
}

fn column_of(size: [f64; 3], grid: Grid) -> f64 {
    let area = size[0] * size[1];
    let finest = (area / grid.most as f64).sqrt();
    let coarsest = (area / grid.least.max(1) as f64).sqrt();
    // Long and narrow: never more columns along a side than there are in all.
    let along = size[0].max(size[1]) / grid.most as f64;
    grid.column_mm
        .min(coarsest)
        .max(finest)
        .max(along)
        .max(1e-4)
}

/// Turns all corners; least and greatest coordinates.
fn pose(surface: &Surface, rows: &[Vec3; 3], room: &mut Room) -> ([f32; 3], [f32; 3]) {
    let m = rows.map(|r| r.map(|x| x as f32));
    let (mut low, mut high) = ([f32::INFINITY; 3], [f32::NEG_INFINITY; 3]);
    for (k, out) in [&mut room.x, &mut room.y, &mut room.z]
        .into_iter()
        .enumerate()
    {
        out.clear();
        out.extend(
            surface
                .corners
                .iter()
                .map(|p| m[k][0] * p[0] + m[k][1] * p[1] + m[k][2] * p[2]),
        );
        for &v in out.iter() {
            low[k] = low[k].min(v);
            high[k] = high[k].max(v);
        }
    }
    (low, high)
}

/// A facet's part of twice the section's area at a height; keeps both ends. A corner at the height counts as above.
fn crossing(room: &mut Room, t: [usize; 3], cut: f32) -> f64 {
    let mut ends = [[0.0f64; 2]; 2];
    for k in 0..3 {
        let (a, b) = (t[k], t[(k + 1) % 3]);
        let (below, above) = (room.z[a] < cut, room.z[b] < cut);
        if below == above {
            continue;
        }
        // From below upwards the contour leaves the facet, downwards it enters.
        let (p, q) = if below { (a, b) } else { (b, a) };
        let at = |v: usize| [room.x[v], room.y[v], room.z[v]].map(f64::from);
        let (p, q) = (at(p), at(q));
        let s = (f64::from(cut) - p[2]) / (q[2] - p[2]);
        ends[usize::from(below)] = [p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1])];
    }
    let [from, to] = ends;
    room.rim.push(from);
    room.rim.push(to);
    from[0] * to[1] - from[1] * to[0]
}

/// Notes every line that meets a facet.
fn strike(
    room: &mut Room,
    t: [usize; 3],
    kind: u8,
    origin: [f64; 2],
    column: f64,
    counts: [usize; 2],
) {
    let inverse = 1.0 / column;
    // In units of columns, from the middle of the first.
    let u = t.map(|v| (f64::from(room.x[v]) - origin[0]) * inverse - 0.5);
    let v = t.map(|k| (f64::from(room.y[k]) - origin[1]) * inverse - 0.5);
    let low = v[0].min(v[1]).min(v[2]).ceil().max(0.0);
    let high = v[0].max(v[1]).max(v[2]).ceil().min(counts[1] as f64);
    if low >= high || (u[0].min(u[1]).min(u[2])).ceil() >= u[0].max(u[1]).max(u[2]).ceil() {
        return;
    }
    let z = t.map(|k| f64::from(room.z[k]));
    let det = (u[1] - u[0]) * (v[2] - v[0]) - (u[2] - u[0]) * (v[1] - v[0]);
    let (zu, zv) = if det == 0.0 {
        (0.0, 0.0)
    } else {
        (
            ((z[1] - z[0]) * (v[2] - v[0]) - (z[2] - z[0]) * (v[1] - v[0])) / det,
            ((z[2] - z[0]) * (u[1] - u[0]) - (z[1] - z[0]) * (u[2] - u[0])) / det,
        )
    };
    let (zmin, zmax) = (z[0].min(z[1]).min(z[2]), z[0].max(z[1]).max(z[2]));
    for row in low as usize..high as usize {
        let y = row as f64;
        let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
        for k in 0..3 {
            let (mut i, mut j) = (k, (k + 1) % 3);
            if (v[i] <= y) == (v[j] <= y) {
                continue;
            }
            if t[i] > t[j] {
                std::mem::swap(&mut i, &mut j);
            }
            let x = u[i] + (y - v[i]) * (u[j] - u[i]) / (v[j] - v[i]);
            left = left.min(x);
            right = right.max(x);
        }
        let from = left.ceil().max(0.0);
        let to = right.ceil().min(counts[0] as f64);
        if from >= to {
            continue;
        }
        for at in from as usize..to as usize {
            let height =
                (z[0] + zu * (at as f64 - u[0]) + zv * (y - v[0])).clamp(zmin, zmax) as f32;
            insert(room, row * counts[0] + at, height, kind);
        }
    }
}

/// Keeps a column's hits sorted by height; of equal ones those that leave come first.
fn insert(room: &mut Room, column: usize, z: f32, kind: u8) {
    let own = room.hits.len() as u32;
    let later = |h: &Hit| h.z > z || (h.z == z && h.kind & ENTERS > kind & ENTERS);
    let mut next = room.first[column];
    let mut before = END;
    while next != END && !later(&room.hits[next as usize]) {
        before = next;
        next = room.hits[next as usize].next;
    }
    room.hits.push(Hit { z, next, kind });
    if before == END {
        room.first[column] = own;
    } else {
        room.hits[before as usize].next = own;
    }
}

#[derive(Default)]
struct Walked {
    /// Lines that strike overhangs, inside other material or not.
    struck: usize,
    /// Those from outside.
    overhang: usize,
    landing: usize,
    scars: usize,
    volume: f64,
}

/// Goes up every column.
fn walk(room: &Room, floor: f32) -> Walked {
    let mut out = Walked::default();
    for &first in &room.first {
        let (mut inside, mut below, mut on_part, mut below_shown) = (0u32, floor, false, false);
        let mut at = first;
        while at != END {
            let hit = room.hits[at as usize];
            at = hit.next;
            if hit.kind & ENTERS == 0 {
                inside = inside.saturating_sub(1);
                if inside == 0 {
                    (below, on_part, below_shown) = (hit.z, true, hit.kind & SHOWN != 0);
                }
                continue;
            }
            if hit.kind & OVERHANGS != 0 {
                out.struck += 1;
                if inside == 0 && hit.z - below > TOUCHING_MM {
                    out.overhang += 1;
                    out.volume += f64::from(hit.z - below);
                    out.landing += usize::from(on_part);
                    out.scars +=
                        usize::from(hit.kind & SHOWN != 0) + usize::from(on_part && below_shown);
                }
            }
            inside += 1;
        }
    }
    out
}

/// The angle by which a body may lean before it tips over the edge of its foot (statics): the centre of mass lies
/// `above` the plate and over `over`; the foot is convex, counter-clockwise. A body without a foot tips by itself.
pub(super) fn tip_deg(foot: &[[f64; 2]], over: [f64; 2], above: f64) -> f64 {
    let n = foot.len();
    if n < 3 || above <= 0.0 {
        return 0.0;
    }
    let inward = |i: usize| {
        let (a, b) = (foot[i], foot[(i + 1) % n]);
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let long = (dx * dx + dy * dy).sqrt();
        (dx * (over[1] - a[1]) - dy * (over[0] - a[0])) / long
    };
    let least = (0..n).map(inward).fold(f64::INFINITY, f64::min);
    libm::atan2(least, above).to_degrees()
}
