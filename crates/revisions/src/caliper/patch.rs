//! Faces grown from a facet: flat ones, and round ones (cylinders).

use std::collections::BTreeSet;

use mesh::edges::{NONE, ends};
use mesh::vector::{Vec3, add, cross, dot, length, scale, sub, unit, wide};

use super::Side;
use crate::eigen::{eigen, solve};

/// Facets of one face, at most.
const MOST: usize = 20_000;

/// Corners of a flat face are no farther from its plane, mm.
const PLANE: f64 = 0.01;

/// A flat that jaws can lie on has at least this area (mm2) and this width (mm).
const FLAT_AREA: f64 = 3.0;
const FLAT_WIDTH: f64 = 0.8;

/// Cosine of the greatest turn from facet to facet of a round face: 40 degrees, a hole of nine sides.
const BEND: f64 = 0.766;

/// Corners of a round face are no farther from its circle, mm, or share of its radius.
const CIRCLE: f64 = 0.01;
const CIRCLE_SHARE: f64 = 0.004;

/// A caliper needs more than half of a circle.
const COVERED: f64 = 200.0;

/// The flat face that a facet is part of, if jaws can lie on it.
pub(super) fn is_flat(side: &Side<'_>, seed: u32) -> bool {
    let mesh = side.body.mesh;
    let Some(normal) = mesh.normal(seed as usize) else {
        return false;
    };
    let height = dot(normal, mesh.corners(seed as usize)[0]);
    let level = |t: u32| {
        mesh.corners(t as usize)
            .iter()
            .all(|&p| (dot(normal, p) - height).abs() <= PLANE)
            && mesh
                .normal(t as usize)
                .is_none_or(|n| dot(n, normal) > 0.999)
    };
    let mut seen = BTreeSet::from([seed]);
    let mut open = vec![seed];
    let (mut area, mut rim, mut smooth) = (0.0, 0.0, 0.0);
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    // Steep steps to a neighbour that is as wide as the face itself make it one side of something round.
    let mut shallow: Vec<(f64, f64)> = Vec::new();
    while let Some(t) = open.pop() {
        area += mesh.triangle_area(t as usize);
        for p in mesh.corners(t as usize) {
            for k in 0..3 {
                low[k] = low[k].min(p[k]);
                high[k] = high[k].max(p[k]);
            }
        }
        for h in 3 * t..3 * t + 3 {
            let twin = side.edges.twins[h as usize];
            let [a, b] = ends(mesh, h).map(|v| wide(mesh.vertices[v as usize]));
            let long = length(sub(b, a));
            if twin == NONE {
                rim += long;
                continue;
            }
            let next = twin / 3;
            if level(next) {
                if seen.len() < MOST && seen.insert(next) {
                    open.push(next);
                }
                continue;
            }
            rim += long;
            if let Some(n) = mesh.normal(next as usize)
                && dot(n, normal) > BEND
                && long > 0.0
            {
                shallow.push((long, 2.0 * mesh.triangle_area(next as usize) / long));
            }
        }
    }
    let diagonal = length(sub(high, low));
    let width = area / diagonal.max(1e-9);
    for (long, deep) in shallow {
        if deep >= 0.4 * width {
            smooth += long;
        }
    }
    area >= FLAT_AREA && width >= FLAT_WIDTH && smooth <= 0.4 * rim
}

/// A cylinder, in the present's frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct Round {
    /// A point of the axis, in the middle of the face.
    pub centre: Vec3,
    /// Unit direction of the axis.
    pub axis: Vec3,
    /// Diameter through the corners, mm.
    pub diameter: f64,
    /// A hole rather than a boss.
    pub hollow: bool,
    /// Half of its length along the axis, mm.
    pub half: f64,
}

/// The cylinder that a facet is part of: a face of facets that stand along one axis with corners on one circle, more
/// than half of it.
pub(super) fn round(side: &Side<'_>, seed: u32) -> Option<Round> {
    let mesh = side.body.mesh;
    let first = mesh.normal(seed as usize)?;
    // The axis: athwart the seed and the first neighbour that bends away from it.
    let around = grown(side, seed, |t| mesh.normal(t as usize).is_some(), 400);
    let bent = around.iter().find_map(|&t| {
        let n = mesh.normal(t as usize)?;
        unit(cross(first, n)).filter(|_| length(cross(first, n)) > 0.01)
    })?;
    let athwart = |axis: Vec3| move |n: Vec3| dot(n, axis).abs() < 0.03;
    let mut axis = bent;
    let mut face = Vec::new();
    let mut circle: Option<(Vec3, f64)> = None;
    for _ in 0..4 {
        let standing = athwart(axis);
        let on = |t: u32| {
            mesh.normal(t as usize).is_some_and(standing)
                && circle.is_none_or(|(centre, radius)| {
                    let slack = CIRCLE.max(CIRCLE_SHARE * radius);
                    mesh.corners(t as usize)
                        .iter()
                        .all(|&p| (off_axis(p, centre, axis) - radius).abs() <= slack)
                })
        };
        if !on(seed) {
            return None;
        }
        // The first circle from a few facets only: farther on the face may go over into another.
        let most = if circle.is_none() { 24 } else { MOST };
        face = grown(side, seed, on, most);
        axis = axis_of(side, &face)?;
        circle = Some(fit(side, &face, axis)?);
    }
    let (centre, radius) = circle?;
    let slack = CIRCLE.max(CIRCLE_SHARE * radius);
    let fits = face.iter().all(|&t| {
        mesh.corners(t as usize)
            .iter()
            .all(|&p| (off_axis(p, centre, axis) - radius).abs() <= slack)
    });
    if !fits || covered(side, &face, centre, axis) < COVERED {
        return None;
    }
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for p in face.iter().flat_map(|&t| mesh.corners(t as usize)) {
        let along = dot(sub(p, centre), axis);
        (low, high) = (low.min(along), high.max(along));
    }
    let middle = add(centre, scale(axis, 0.5 * (low + high)));
    let outward = sub(mesh.triangle_centroid(seed as usize), centre);
    Some(Round {
        centre: side.show.at(middle),
        axis: side.show.direction(axis),
        diameter: 2.0 * radius,
        hollow: dot(outward, first) < 0.0,
        half: 0.5 * (high - low),
    })
}

/// Facets that hang together with the seed over edges that bend little, nearest first.
fn grown(side: &Side<'_>, seed: u32, on: impl Fn(u32) -> bool, most: usize) -> Vec<u32> {
    let mesh = side.body.mesh;
    let mut seen = BTreeSet::from([seed]);
    let mut face = vec![seed];
    let mut next = 0;
    while let Some(&t) = face.get(next) {
        next += 1;
        let own = mesh.normal(t as usize);
        for h in 3 * t..3 * t + 3 {
            let twin = side.edges.twins[h as usize];
            if twin == NONE || face.len() >= most {
                continue;
            }
            let other = twin / 3;
            let bends = match (own, mesh.normal(other as usize)) {
                (Some(a), Some(b)) => dot(a, b) < BEND,
                _ => false,
            };
            if !bends && on(other) && seen.insert(other) {
                face.push(other);
            }
        }
    }
    face
}

/// The direction that the normals of a face, weighted by area, stand athwart.
fn axis_of(side: &Side<'_>, face: &[u32]) -> Option<Vec3> {
    let mesh = side.body.mesh;
    let mut sum = [[0.0; 3]; 3];
    for &t in face {
        let area = mesh.triangle_area(t as usize);
        let Some(n) = mesh.normal(t as usize) else {
            continue;
        };
        for i in 0..3 {
            for j in 0..3 {
                sum[i][j] += area * n[i] * n[j];
            }
        }
    }
    let (values, vectors) = eigen(sum);
    // Flat faces have one direction, balls three.
    (values[1] > 1e-6 * values[2] && values[0] < 0.01 * values[2]).then_some(vectors[0])
}

fn off_axis(p: Vec3, centre: Vec3, axis: Vec3) -> f64 {
    let off = sub(p, centre);
    length(sub(off, scale(axis, dot(off, axis))))
}

/// Centre and radius of the circle through the corners, seen along the axis: least squares of the squared distance
/// (Kasa 1976), exact where the corners lie on a circle.
fn fit(side: &Side<'_>, face: &[u32], axis: Vec3) -> Option<(Vec3, f64)> {
    let mesh = side.body.mesh;
    let corners: BTreeSet<u32> = face
        .iter()
        .flat_map(|&t| mesh.triangles[t as usize])
        .collect();
    let first = wide(mesh.vertices[*corners.first()? as usize]);
    let e = [0, 1, 2].map(|k| if k == super::least(axis) { 1.0 } else { 0.0 });
    let u = unit(cross(axis, e))?;
    let v = cross(axis, u);
    let mut a = [[0.0; 3]; 3];
    let mut b = [0.0; 3];
    for &c in &corners {
        let p = sub(wide(mesh.vertices[c as usize]), first);
        let row = [dot(p, u), dot(p, v), 1.0];
        let rest = row[0] * row[0] + row[1] * row[1];
        for i in 0..3 {
            for j in 0..3 {
                a[i][j] += row[i] * row[j];
            }
            b[i] += row[i] * rest;
        }
    }
    let [x, y, z] = solve(a, b)?;
    let (x, y) = (0.5 * x, 0.5 * y);
    let squared = z + x * x + y * y;
    let centre = add(first, add(scale(u, x), scale(v, y)));
    (squared > 0.0 && squared < 1e8).then(|| (centre, squared.sqrt()))
}

/// How much of the circle the face goes round, degrees.
fn covered(side: &Side<'_>, face: &[u32], centre: Vec3, axis: Vec3) -> f64 {
    let mesh = side.body.mesh;
    let e = [0, 1, 2].map(|k| if k == super::least(axis) { 1.0 } else { 0.0 });
    let Some(u) = unit(cross(axis, e)) else {
        return 0.0;
    };
    let v = cross(axis, u);
    let mut whole = 0.0;
    // Every facet covers the angle of its corners; two facets of one strip cover the same, so marks are set.
    let mut marks = [false; 360];
    for &t in face {
        let angles = mesh.corners(t as usize).map(|p| {
            let off = sub(p, centre);
            libm::atan2(dot(off, v), dot(off, u)).to_degrees()
        });
        let mut spans = [0.0; 3];
        for (k, span) in spans.iter_mut().enumerate() {
            *span = (angles[k] - angles[0] + 540.0).rem_euclid(360.0) - 180.0;
        }
        let low = spans.iter().copied().fold(0.0, f64::min);
        let high = spans.iter().copied().fold(0.0, f64::max);
        let mut mark = (angles[0] + low).floor();
        while mark < angles[0] + high {
            marks[mark.rem_euclid(360.0) as usize % 360] = true;
            mark += 1.0;
        }
    }
    for mark in marks {
        whole += f64::from(u8::from(mark));
    }
    whole
}
