//! First guesses: moves, turns between axes, turns between principal axes or large flat faces.

use std::collections::BTreeMap;

use mesh::vector::{Vec3, add, cross, dot, length, scale, sub, unit, wide};
use mesh::{Bounds, MassProperties, Mesh};

use super::Ends;
use crate::eigen::eigen;
use crate::rigid::Rigid;

/// Radii of gyration closer than this share are the same: any turn about the third axis may be right.
const ROUND: f64 = 0.02;

/// Flat faces looked at, and guesses of them, at most.
const FACES: usize = 5;
const MOST: usize = 96;

/// A facet is too small to tell of a large face below this share of all area.
const SMALL: f64 = 1e-5;

/// Angles about an axis that nothing else fixes.
const AROUND: usize = 24;

/// Moves without a turn: every pairing of the boxes' sides, and centre of mass on centre of mass.
pub(super) fn moves(ends: &Ends<'_>) -> Vec<Rigid> {
    let (Some(base), Some(present)) = (ends.base.mesh.bounds(), ends.present.mesh.bounds()) else {
        return Vec::new();
    };
    let along = |k: usize| {
        let low = present.min[k] - base.min[k];
        let high = present.max[k] - base.max[k];
        let mut shifts = vec![0.5 * (low + high)];
        if (low - high).abs() > 0.1 * ends.same {
            shifts.extend([low, high]);
        }
        shifts
    };
    let mut out = Vec::new();
    for &x in &along(0) {
        for &y in &along(1) {
            for &z in &along(2) {
                out.push(Rigid::shift([x, y, z]));
            }
        }
    }
    let masses = &ends.masses;
    out.push(Rigid::shift(sub(
        masses[1].centroid_mm,
        masses[0].centroid_mm,
    )));
    out
}

/// The 23 turns between axes that are not none, each with moves.
pub(super) fn axis_turns(ends: &Ends<'_>) -> Vec<Rigid> {
    let masses = &ends.masses;
    let mut turns = Vec::new();
    for to in [
        [0, 1, 2],
        [0, 2, 1],
        [1, 0, 2],
        [1, 2, 0],
        [2, 0, 1],
        [2, 1, 0],
    ] {
        for signs in 0..8 {
            let mut turn = [[0.0; 3]; 3];
            for (row, &column) in to.iter().enumerate() {
                turn[row][column] = if signs >> row & 1 == 1 { -1.0 } else { 1.0 };
            }
            if dot(turn[0], cross(turn[1], turn[2])) > 0.0 && turn != Rigid::IDENTITY.turn {
                turns.push(turn);
            }
        }
    }
    turns
        .into_iter()
        .flat_map(|turn| with_moves(ends, turn, masses, true))
        .collect()
}

/// Turns that lay principal axes on each other, and pairs of large flat faces.
pub(super) fn turns(ends: &Ends<'_>) -> Vec<Rigid> {
    let masses = &ends.masses;
    let mut turns = principal(masses);
    turns.extend(faces(ends.base.mesh, ends.present.mesh));
    turns
        .into_iter()
        .flat_map(|turn| with_moves(ends, turn, masses, false))
        .collect()
}

/// A turn with the moves that go with it: centre of mass, centre of the box and, if asked, its corners.
fn with_moves(
    ends: &Ends<'_>,
    turn: [[f64; 3]; 3],
    masses: &[MassProperties; 2],
    corners: bool,
) -> Vec<Rigid> {
    let turned = Rigid {
        turn,
        move_mm: [0.0; 3],
    };
    let placed = |move_mm: Vec3| Rigid { turn, move_mm };
    let mut out = vec![placed(sub(
        masses[1].centroid_mm,
        turned.direction(masses[0].centroid_mm),
    ))];
    let base = if corners {
        // A turn between axes takes the box to a box.
        ends.base
            .mesh
            .bounds()
            .and_then(|b| Bounds::of([turned.direction(b.min), turned.direction(b.max)]))
    } else {
        Bounds::of(few(ends.base.mesh).map(|p| turned.direction(p)))
    };
    let (Some(base), Some(present)) = (base, ends.present.mesh.bounds()) else {
        return out;
    };
    out.push(placed(sub(present.centre(), base.centre())));
    if corners {
        for corner in 0..8 {
            out.push(placed([0, 1, 2].map(|k| {
                if corner >> k & 1 == 1 {
                    present.max[k] - base.max[k]
                } else {
                    present.min[k] - base.min[k]
                }
            })));
        }
    }
    out
}

/// Some vertices from all over a mesh: a guess of its turned box is good enough.
fn few(mesh: &Mesh) -> impl Iterator<Item = Vec3> + '_ {
    let stride = mesh.vertices.len().div_ceil(2048).max(1);
    mesh.vertices.iter().step_by(stride).map(|&p| wide(p))
}

/// The turn that takes one right-handed frame (rows are its directions) to another.
fn between(from: [Vec3; 3], to: [Vec3; 3]) -> [[f64; 3]; 3] {
    [0, 1, 2].map(|i| [0, 1, 2].map(|j| (0..3).map(|k| to[k][i] * from[k][j]).sum()))
}

fn principal(masses: &[MassProperties; 2]) -> Vec<[[f64; 3]; 3]> {
    let (values, base) = eigen(masses[0].inertia_mm5);
    let (_, present) = eigen(masses[1].inertia_mm5);
    let near = |a: f64, b: f64| (a - b).abs() <= ROUND * a.abs().max(b.abs());
    let flip = |frame: [Vec3; 3], signs: usize| {
        let first = scale(frame[0], if signs & 1 == 1 { -1.0 } else { 1.0 });
        let second = scale(frame[1], if signs & 2 == 2 { -1.0 } else { 1.0 });
        [first, second, cross(first, second)]
    };
    let mut out: Vec<_> = (0..4).map(|s| between(base, flip(present, s))).collect();
    // Two equal moments: the axis of the third is sure, the turn about it is not.
    let axis = match (near(values[0], values[1]), near(values[1], values[2])) {
        (true, false) => Some(2),
        (false, true) => Some(0),
        _ => None,
    };
    if let Some(k) = axis {
        for sign in [1.0, -1.0] {
            let to = scale(present[k], sign);
            let side = scale(present[(k + 1) % 3], sign);
            for step in 0..AROUND {
                let angle = std::f64::consts::TAU * step as f64 / AROUND as f64;
                let about = Rigid::about([0.0; 3], scale(to, angle));
                let first = about.direction(side);
                let from = [
                    base[k],
                    base[(k + 1) % 3],
                    cross(base[k], base[(k + 1) % 3]),
                ];
                out.push(between(from, [to, first, cross(to, first)]));
            }
        }
    }
    out
}

/// Frames of two large flat faces each, laid on each other where the angles between them agree.
fn faces(base: &Mesh, present: &Mesh) -> Vec<[[f64; 3]; 3]> {
    let (base, present) = parallel::join(|| largest(base), || largest(present));
    let mut out = Vec::new();
    // The first face of the base that another stands athwart.
    for (i, &u) in base.iter().enumerate() {
        for &v in &base[i + 1..] {
            let Some(side) = unit(cross(u, v)).filter(|_| length(cross(u, v)) > 0.17) else {
                continue;
            };
            let from = [u, side, cross(u, side)];
            for &x in &present {
                for &y in &present {
                    if (dot(x, y) - dot(u, v)).abs() > 0.02 || out.len() >= MOST {
                        continue;
                    }
                    if let Some(side) = unit(cross(x, y)) {
                        out.push(between(from, [x, side, cross(x, side)]));
                    }
                }
            }
            return out;
        }
    }
    out
}

/// The directions that most of the area faces, most first. Facets of a finely cut curve are passed over: together they
/// face everywhere.
fn largest(mesh: &Mesh) -> Vec<Vec3> {
    let sums = parallel::chunks(mesh.triangles.len(), 1 << 14, |range| {
        range
            .map(|t| length(mesh.doubled_area_vector(t)))
            .sum::<f64>()
    });
    let least = SMALL * sums.into_iter().sum::<f64>();
    let parts = parallel::chunks(mesh.triangles.len(), 1 << 14, |range| {
        let mut cells: BTreeMap<[i32; 3], Vec3> = BTreeMap::new();
        for t in range {
            let area = mesh.doubled_area_vector(t);
            if length(area) < least {
                continue;
            }
            if let Some(n) = unit(area) {
                let cell = n.map(|x| (x * 64.0).round() as i32);
                let sum = cells.entry(cell).or_default();
                *sum = add(*sum, area);
            }
        }
        cells
    });
    let mut cells: BTreeMap<[i32; 3], Vec3> = BTreeMap::new();
    for (cell, area) in parts.into_iter().flatten() {
        let sum = cells.entry(cell).or_default();
        *sum = add(*sum, area);
    }
    let mut sums: Vec<Vec3> = cells.into_values().collect();
    sums.sort_by(|a, b| length(*b).total_cmp(&length(*a)));
    let mut out: Vec<Vec3> = Vec::new();
    for direction in sums.into_iter().filter_map(unit) {
        if out.len() == FACES {
            break;
        }
        if out.iter().all(|&d| dot(d, direction) < 0.99) {
            out.push(direction);
        }
    }
    out
}
