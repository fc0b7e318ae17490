//! Rims: the loops of edges where a surface ends, and how wide each opening is.
//!
//! At every vertex the fan that a rim bounds leads from one rim edge to the next, so every rim is one closed loop,
//! whatever its facets' winding. The gap of a rim edge is the distance across the opening: from points on the edge to
//! the nearest rim edge that runs the other way (within 60 degrees of opposite). Both sides of a crack or of a
//! T-junction run opposite ways at almost no distance, even when they are different loops; across a real hole the
//! other side is far.

use crate::edges::{Edges, NONE, ends, other_at};
use crate::segments::Segments;
use crate::shape::{Bounds, Mesh};
use crate::vector::{Vec3, add, distance, dot, length, scale, sub, wide};

/// Beyond this many rim edges gaps are not measured: such a mesh has no surface to speak of.
const MOST_EDGES: usize = 200_000;

/// One rim.
#[derive(Debug, Clone, PartialEq)]
pub struct Rim {
    /// Its half-edges, in the order of the loop.
    pub half_edges: Vec<u32>,
    /// Its length, mm.
    pub length_mm: f64,
    /// Diagonal of its box, mm.
    pub extent_mm: f64,
    /// The greatest distance across the opening, mm; `None` where the other side is beyond the reach of the
    /// search, or where there were too many edges to search.
    pub gap_mm: Option<f64>,
    /// The half-edges that lie nearest across, one for each of its edges that has one within reach.
    pub across: Vec<u32>,
    /// A point on it: the middle of the edge with the greatest gap, or of the longest.
    pub at: Vec3,
}

/// All rims of a mesh, the widest first; those without a gap lead, the longest of them first.
/// Gaps are looked for up to `reach_mm`.
pub fn rims(mesh: &Mesh, edges: &Edges, reach_mm: f64) -> Vec<Rim> {
    let gaps = gaps(mesh, edges, reach_mm);
    let mut seen = vec![false; edges.loose.len()];
    let mut out = Vec::new();
    for i in 0..edges.loose.len() {
        if seen[i] {
            continue;
        }
        let half_edges = trace(mesh, edges, i, &mut seen);
        out.push(measure(mesh, edges, half_edges, &gaps, reach_mm));
    }
    out.sort_by(|a, b| {
        let width = |r: &Rim| r.gap_mm.unwrap_or(f64::INFINITY);
        width(b)
            .total_cmp(&width(a))
            .then(b.length_mm.total_cmp(&a.length_mm))
            .then(a.half_edges[0].cmp(&b.half_edges[0]))
    });
    out
}

/// Follows one rim from its half-edge number `start` in `loose`.
fn trace(mesh: &Mesh, edges: &Edges, start: usize, seen: &mut [bool]) -> Vec<u32> {
    let mut rim = Vec::new();
    let mut i = start;
    let mut v = ends(mesh, edges.loose[start])[1];
    while !seen[i] {
        seen[i] = true;
        let h = edges.loose[i];
        rim.push(h);
        // Round the vertex to where the fan ends.
        let mut exit = other_at(mesh, h, v);
        while edges.twins[exit as usize] != NONE {
            exit = other_at(mesh, edges.twins[exit as usize], v);
        }
        let [a, b] = ends(mesh, exit);
        v = if a == v { b } else { a };
        match edges.loose.binary_search(&exit) {
            Ok(next) => i = next,
            Err(_) => break,
        }
    }
    rim
}

fn measure(
    mesh: &Mesh,
    edges: &Edges,
    half_edges: Vec<u32>,
    gaps: &[Option<(f64, u32)>],
    reach_mm: f64,
) -> Rim {
    let end_points = |h: u32| ends(mesh, h).map(|v| wide(mesh.vertices[v as usize]));
    let mut rim = Rim {
        length_mm: 0.0,
        extent_mm: Bounds::of(half_edges.iter().flat_map(|&h| end_points(h)))
            .map_or(0.0, |b| b.diagonal()),
        gap_mm: Some(0.0),
        across: Vec::new(),
        at: [0.0; 3],
        half_edges: Vec::new(),
    };
    let mut best = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    for &h in &half_edges {
        let [a, b] = end_points(h);
        let long = distance(a, b);
        rim.length_mm += long;
        let found = edges.loose.binary_search(&h).ok().and_then(|i| gaps[i]);
        let gap = found.map(|f| f.0);
        rim.across.extend(found.map(|f| f.1));
        rim.gap_mm = match (rim.gap_mm, gap) {
            (Some(x), Some(y)) => Some(x.max(y)),
            _ => None,
        };
        let rank = (gap.unwrap_or(f64::INFINITY), long);
        if rank > best {
            best = rank;
            rim.at = scale(add(a, b), 0.5);
        }
    }
    // No opening is wider than its own extent.
    if rim.extent_mm <= reach_mm {
        let gap = rim.gap_mm.unwrap_or(f64::INFINITY);
        rim.gap_mm = Some(gap.min(rim.extent_mm));
    }
    rim.half_edges = half_edges;
    rim
}

/// The gap at every loose half-edge, and the half-edge across its middle.
fn gaps(mesh: &Mesh, edges: &Edges, reach_mm: f64) -> Vec<Option<(f64, u32)>> {
    let count = edges.loose.len();
    if count > MOST_EDGES {
        return vec![None; count];
    }
    let lines: Vec<[Vec3; 2]> = edges
        .loose
        .iter()
        .map(|&h| ends(mesh, h).map(|v| wide(mesh.vertices[v as usize])))
        .collect();
    let along: Vec<Vec3> = lines.iter().map(|[a, b]| sub(*b, *a)).collect();
    let lengths: Vec<f64> = along.iter().map(|&d| length(d)).collect();
    let tree = Segments::new(lines.clone());
    parallel::map(&lines, |i, &[a, _]| {
        let (mut widest, mut across) = (0.0f64, 0);
        for s in [1.0 / 6.0, 5.0 / 6.0, 0.5] {
            let p = add(a, scale(along[i], s));
            // Opposite within 60 degrees: the cosine is at most -1/2.
            let opposite = |j: u32| {
                let j = j as usize;
                dot(along[i], along[j]) <= -0.5 * lengths[i] * lengths[j]
            };
            let (gap, j) = tree.nearest(p, reach_mm, opposite)?;
            widest = widest.max(gap);
            across = edges.loose[j as usize];
        }
        Some((widest, across))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{Soup, cuboid, torus, welded};

    fn rims_of(soup: &[[[f32; 3]; 3]]) -> Vec<Rim> {
        let mesh = welded(soup);
        rims(&mesh, &Edges::build(&mesh), 0.5)
    }

    #[test]
    fn a_missing_facet_is_a_hole() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup.remove(0);
        let got = rims_of(&soup);
        assert_eq!(got.len(), 1);
        assert_eq!(got[0].half_edges.len(), 3);
        assert!((got[0].length_mm - (40.0 + 20.0 * 2f64.sqrt())).abs() < 1e-9);
        assert_eq!(got[0].gap_mm, None);
    }

    #[test]
    fn a_t_junction_has_no_gap() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        let [a, b, c] = soup.remove(0);
        let m = [0, 1, 2].map(|k| 0.5 * (a[k] + b[k]));
        soup.extend([[a, m, c], [m, b, c]]);
        let got = rims_of(&soup);
        assert_eq!(got.len(), 1);
        assert_eq!(got[0].half_edges.len(), 3);
        assert!(got[0].gap_mm.is_some_and(|g| g < 1e-12));
    }

    #[test]
    fn a_crack_of_20_nanometres_has_that_gap() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup[0][0][0] += 2e-5;
        let got = rims_of(&soup);
        assert_eq!(got.iter().map(|r| r.half_edges.len()).sum::<usize>(), 4);
        let gap = got[0].gap_mm.unwrap_or(1.0);
        assert!(gap > 1e-6 && gap <= 2.1e-5, "{gap}");
    }

    #[test]
    fn a_seam_right_round_a_ring_has_no_gap_although_each_side_is_a_loop_of_its_own() {
        // A torus cut at one ring, whose one side has a vertex more on every edge.
        let (n, m) = (16, 12);
        let mut soup = torus(n, m, 20.0, 5.0);
        let last = 2 * m * (n - 1);
        let mut cut = Soup::new();
        for t in soup.drain(last..) {
            // The sides on the ring at u = 0 are those of the triangle [a, b, c] from b to c.
            let on_ring = |p: [f32; 3]| p[1].abs() < 1e-5 && p[0] > 0.0;
            match (0..3).find(|&k| on_ring(t[k]) && on_ring(t[(k + 1) % 3])) {
                Some(k) => {
                    let [a, b, c] = [t[k], t[(k + 1) % 3], t[(k + 2) % 3]];
                    let mid = [0, 1, 2].map(|i| 0.5 * (a[i] + b[i]));
                    cut.extend([[a, mid, c], [mid, b, c]]);
                }
                None => cut.push(t),
            }
        }
        assert!(
            cut.len() == 3 * m,
            "every quad of the last ring has one side on the seam"
        );
        soup.extend(cut);
        let got = rims_of(&soup);
        let edges: usize = got.iter().map(|r| r.half_edges.len()).sum();
        assert_eq!(edges, 3 * m);
        assert!(got.iter().all(|r| r.gap_mm.is_some_and(|g| g < 1e-5)));
    }

    #[test]
    fn a_round_hole_with_many_short_sides_is_no_slit() {
        // A disc's rim of 2000 sides of 0.03 mm: the next sides are near, and run the same way.
        let n = 2000;
        let p = |i: usize| {
            let u = std::f64::consts::TAU * (i % n) as f64 / n as f64;
            [
                (10.0 * libm::cos(u)) as f32,
                (10.0 * libm::sin(u)) as f32,
                0.0,
            ]
        };
        let soup: Soup = (0..n).map(|i| [[0.0; 3], p(i), p(i + 1)]).collect();
        let got = rims_of(&soup);
        assert_eq!(got.len(), 1);
        assert_eq!(got[0].gap_mm, None);
    }
}
