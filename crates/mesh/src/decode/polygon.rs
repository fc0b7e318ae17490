//! Polygons to triangles: a fan where the polygon is convex, ears cut off where it is not.
//!
//! Ear clipping after Meisters 1975, "Polygons have ears", American Mathematical Monthly 82. The polygon is
//! seen along its Newell normal, so corners need not lie in one plane; turns are exact (crate `robust`).
//! Worst case O(n^2) per polygon, bounded by [`Budget`].

use robust::{Coord, orient2d};

use crate::vector::{Vec3, wide};

/// Corner tests that all polygons of one file may cost together.
const STEPS: u64 = 200_000_000;

/// What is left of the work that concave polygons of a file may cost.
pub(super) struct Budget {
    steps: u64,
}

impl Budget {
    pub(super) fn new() -> Budget {
        Budget { steps: STEPS }
    }
}

/// A polygon that would cost more than the budget of its file.
#[derive(Debug)]
pub(super) struct TooCostly;

/// Appends the n - 2 triangles of a polygon of n corners, turning the same way. A polygon that crosses
/// itself has no right answer; what is left of it when no ear is found becomes a fan.
///
/// # Errors
/// [`TooCostly`] where the work left for this file does not suffice.
pub(super) fn triangulate(
    corners: &[u32],
    vertices: &[[f32; 3]],
    budget: &mut Budget,
    out: &mut Vec<[u32; 3]>,
) -> Result<(), TooCostly> {
    if corners.len() < 3 {
        return Ok(());
    }
    if corners.len() == 3 {
        out.push([corners[0], corners[1], corners[2]]);
        return Ok(());
    }
    let flat = project(corners, vertices);
    let n = corners.len();
    let convex = (0..n).all(|i| turn(flat[i], flat[(i + 1) % n], flat[(i + 2) % n]) >= 0.0);
    if convex && winds_once(&flat) {
        fan(corners, out);
        return Ok(());
    }
    clip(corners, &flat, budget, out)
}

fn fan(corners: &[u32], out: &mut Vec<[u32; 3]>) {
    out.extend(corners[1..].windows(2).map(|w| [corners[0], w[0], w[1]]));
}

fn turn(a: Coord<f64>, b: Coord<f64>, c: Coord<f64>) -> f64 {
    orient2d(a, b, c)
}

/// All turns of a convex polygon point the same way, and so do those of a star: only the convex one runs
/// from left to right once.
fn winds_once(flat: &[Coord<f64>]) -> bool {
    let n = flat.len();
    let rises = |i: usize| (flat[i].x, flat[i].y) < (flat[(i + 1) % n].x, flat[(i + 1) % n].y);
    (0..n).filter(|&i| rises(i) != rises((i + 1) % n)).count() <= 2
}

/// Drops the coordinate along which the Newell normal is longest, so that the polygon turns left.
fn project(corners: &[u32], vertices: &[[f32; 3]]) -> Vec<Coord<f64>> {
    let points: Vec<Vec3> = corners
        .iter()
        .map(|&v| wide(vertices[v as usize]))
        .collect();
    let mut normal = [0.0; 3];
    for (i, a) in points.iter().enumerate() {
        let b = points[(i + 1) % points.len()];
        for k in 0..3 {
            let (u, v) = ((k + 1) % 3, (k + 2) % 3);
            normal[k] += (a[u] - b[u]) * (a[v] + b[v]);
        }
    }
    let axis = (0..3).fold(0, |best, k| {
        if normal[k].abs() > normal[best].abs() {
            k
        } else {
            best
        }
    });
    let (mut u, mut v) = ((axis + 1) % 3, (axis + 2) % 3);
    if normal[axis] < 0.0 {
        std::mem::swap(&mut u, &mut v);
    }
    points.iter().map(|p| Coord { x: p[u], y: p[v] }).collect()
}

fn clip(
    corners: &[u32],
    flat: &[Coord<f64>],
    budget: &mut Budget,
    out: &mut Vec<[u32; 3]>,
) -> Result<(), TooCostly> {
    let mut left: Vec<usize> = (0..corners.len()).collect();
    let mut at = 0;
    let mut tried = 0;
    while left.len() > 3 && tried < left.len() {
        let n = left.len();
        let [a, b, c] = [left[at % n], left[(at + 1) % n], left[(at + 2) % n]];
        budget.steps = budget.steps.checked_sub(n as u64).ok_or(TooCostly)?;
        let [p, q, r] = [flat[a], flat[b], flat[c]];
        let ear = turn(p, q, r) > 0.0
            && left.iter().all(|&i| {
                let x = flat[i];
                let corner = [p, q, r].iter().any(|y| y.x == x.x && y.y == x.y);
                corner || turn(p, q, x) < 0.0 || turn(q, r, x) < 0.0 || turn(r, p, x) < 0.0
            });
        if ear {
            out.push([corners[a], corners[b], corners[c]]);
            left.remove((at + 1) % n);
            tried = 0;
        } else {
            tried += 1;
        }
        at = (at + 1) % left.len();
    }
    let rest: Vec<u32> = left.iter().map(|&i| corners[i]).collect();
    fan(&rest, out);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vector::{cross, length, sub};

    fn area(vertices: &[[f32; 3]], triangles: &[[u32; 3]]) -> (f64, f64) {
        let mut sum = [0.0; 3];
        let mut total = 0.0;
        for t in triangles {
            let [a, b, c] = t.map(|v| wide(vertices[v as usize]));
            let n = cross(sub(b, a), sub(c, a));
            total += 0.5 * length(n);
            for k in 0..3 {
                sum[k] += 0.5 * n[k];
            }
        }
        (length(sum), total)
    }

    fn cut(vertices: &[[f32; 3]]) -> Vec<[u32; 3]> {
        let corners: Vec<u32> = (0..vertices.len() as u32).collect();
        let mut out = Vec::new();
        triangulate(&corners, vertices, &mut Budget::new(), &mut out).expect("is cheap");
        out
    }

    #[test]
    fn a_square_becomes_a_fan() {
        let square = [
            [0.0, 0.0, 1.0],
            [1.0, 0.0, 1.0],
            [1.0, 1.0, 1.0],
            [0.0, 1.0, 1.0],
        ];
        assert_eq!(cut(&square), [[0, 1, 2], [0, 2, 3]]);
    }

    #[test]
    fn a_concave_polygon_is_covered_once() {
        // An L of two arms of width 1 and length 3: its area is 5 (geometry). A fan from its first corner
        // would cover more, and part of it the wrong way round.
        let ell = [
            [1.0, 3.0, 0.0],
            [0.0, 3.0, 0.0],
            [0.0, 0.0, 0.0],
            [3.0, 0.0, 0.0],
            [3.0, 1.0, 0.0],
            [1.0, 1.0, 0.0],
        ];
        for start in 0..6 {
            for axis in 0..3 {
                let mut turned: Vec<[f32; 3]> = ell
                    .iter()
                    .map(|p| {
                        let mut q = *p;
                        q.rotate_right(axis);
                        q
                    })
                    .collect();
                turned.rotate_left(start);
                let triangles = cut(&turned);
                assert_eq!(triangles.len(), 4);
                let (signed, total) = area(&turned, &triangles);
                assert!((signed - 5.0).abs() < 1e-12 && (total - 5.0).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn stars_and_degenerate_polygons_come_back() {
        let pentagram: Vec<[f32; 3]> = [0, 2, 4, 1, 3]
            .iter()
            .map(|&k| {
                let a = f64::from(k) * std::f64::consts::TAU / 5.0;
                [libm::cos(a) as f32, libm::sin(a) as f32, 0.0]
            })
            .collect();
        assert_eq!(cut(&pentagram).len(), 3);
        assert_eq!(cut(&[[1.0; 3]; 7]).len(), 5);
        assert_eq!(cut(&[[0.0; 3]; 2]).len(), 0);
    }

    #[test]
    fn work_is_bounded() {
        // A comb: half of its corners are reflex.
        let comb: Vec<[f32; 3]> = (0..60_000)
            .map(|i| [(i % 2) as f32 * 1e-3 + i as f32, (i % 2) as f32, 0.0])
            .chain([[60_000.0, -9.0, 0.0], [0.0, -9.0, 0.0]])
            .rev()
            .collect();
        let corners: Vec<u32> = (0..comb.len() as u32).collect();
        let mut out = Vec::new();
        let got = triangulate(&corners, &comb, &mut Budget::new(), &mut out);
        assert!(got.is_err() || out.len() == comb.len() - 2);
    }
}
