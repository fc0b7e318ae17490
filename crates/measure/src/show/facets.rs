//! Curves drawn with facets so large that they can be seen.
//!
//! Two facets that turn little against each other and are equally wide across their common edge are strips of one
//! curve. A chord of width s between tangents that turn by a leaves the arc by s / 2 tan(a / 4), its sagitta.

use mesh::edges::{NONE, ends};
use mesh::vector::{Vec3, add, cross, distance, dot, length, scale, sub};
use mesh::{Edges, Mesh};
use serde::{Deserialize, Serialize};

/// A curve with visible facets.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Faceted {
    /// The middle of the edge where the sag is greatest.
    pub at: Vec3,
    /// Outward, between the two facets.
    pub outward: Vec3,
    /// Greatest distance of its facets from the arc they stand for, mm.
    pub sag_mm: f64,
    /// Width of the facets there, mm.
    pub width_mm: f64,
    /// How much they turn there, degrees.
    pub turn_deg: f64,
    /// Edges between such facets.
    pub edges: usize,
    /// Their length, mm.
    pub length_mm: f64,
}

/// Strips of one curve are as wide as each other within this share.
const EVEN: f64 = 0.05;
/// A curve has at least so many edges alike: fewer are a bevel, or chance on a rough surface.
const LEAST_EDGES: usize = 8;
/// Edges of one curve turn alike within this share, and their facets are as wide within twice of it.
const ALIKE: f64 = 0.03;
/// So many of the worst edges are tried for a curve.
const TRIED: usize = 256;
/// Facets that turn by less are one flat, radians.
const LEAST_TURN: f64 = 0.009;

/// The sagitta of a chord, mm, between tangents that turn by an angle, radians.
pub fn sagitta_mm(width_mm: f64, turn: f64) -> f64 {
    0.5 * width_mm * libm::tan(0.25 * turn)
}

/// The curve with visible facets of a part, on the facets on show (a step of 0 or more); at most one, with its worst
/// place. `steps` has a number a facet.
pub fn faceted(
    mesh: &Mesh,
    edges: &Edges,
    steps: &[f32],
    smooth_deg: f64,
    sag_mm: f64,
) -> Vec<Faceted> {
    let most = smooth_deg.to_radians();
    let shown = |t: u32| steps.get(t as usize).is_some_and(|s| *s >= 0.0);
    let mut found: Vec<Faceted> = Vec::new();
    for (h, &twin) in edges.twins.iter().enumerate() {
        let h = h as u32;
        if twin == NONE || twin < h || !(shown(h / 3) && shown(twin / 3)) {
            continue;
        }
        found.extend(strip(mesh, h, twin, most).filter(|f| f.sag_mm > sag_mm));
    }
    found.sort_by(|a, b| b.sag_mm.total_cmp(&a.sag_mm));
    found
        .iter()
        .take(TRIED)
        .find_map(|worst| curve(&found, worst))
        .into_iter()
        .collect()
}

/// The curve that an edge belongs to: all edges that turn as it does between facets as wide.
fn curve(found: &[Faceted], worst: &Faceted) -> Option<Faceted> {
    let alike = |x: f64, y: f64, share: f64| (x - y).abs() <= share * x.max(y);
    let of_it = found.iter().filter(|f| {
        alike(f.turn_deg, worst.turn_deg, ALIKE) && alike(f.width_mm, worst.width_mm, 2.0 * ALIKE)
    });
    let (edges, length_mm) = of_it.fold((0, 0.0), |(n, l), f| (n + 1, l + f.length_mm));
    (edges >= LEAST_EDGES).then_some(Faceted {
        edges,
        length_mm,
        ..*worst
    })
}

/// The edge between two strips of a curve that bulges outward or inward.
fn strip(mesh: &Mesh, h: u32, twin: u32, most: f64) -> Option<Faceted> {
    let [a, b] = ends(mesh, h).map(|v| mesh::vector::wide(mesh.vertices[v as usize]));
    let long = distance(a, b);
    let (n, m) = (
        mesh.normal((h / 3) as usize)?,
        mesh.normal((twin / 3) as usize)?,
    );
    let turn = libm::atan2(length(cross(n, m)), dot(n, m));
    if !(LEAST_TURN..=most).contains(&turn) || long <= 0.0 {
        return None;
    }
    let width = |t: u32| 2.0 * mesh.triangle_area((t / 3) as usize) / long;
    let (s, r) = (width(h), width(twin));
    // The edge runs along the strips: they are longer than they are wide, and as wide as each other.
    if (s - r).abs() > EVEN * s.max(r) || long < s {
        return None;
    }
    Some(Faceted {
        at: scale(add(a, b), 0.5),
        outward: mesh::vector::unit(add(n, m)).unwrap_or(n),
        sag_mm: sagitta_mm(s, turn),
        width_mm: s,
        turn_deg: turn.to_degrees(),
        edges: 1,
        length_mm: length(sub(b, a)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{Soup, welded};

    fn prism(sides: usize, radius: f64, height: f32) -> Mesh {
        let at = |k: usize, z: f32| -> [f32; 3] {
            let a = std::f64::consts::TAU * (k % sides) as f64 / sides as f64;
            [
                (radius * libm::cos(a)) as f32,
                (radius * libm::sin(a)) as f32,
                z,
            ]
        };
        let mut soup = Soup::new();
        for k in 0..sides {
            let [a, b, c, d] = [at(k, 0.0), at(k + 1, 0.0), at(k + 1, height), at(k, height)];
            soup.extend([
                [a, b, c],
                [a, c, d],
                [[0.0, 0.0, height], d, c],
                [[0.0; 3], b, a],
            ]);
        }
        welded(&soup)
    }

    fn of(sides: usize, radius: f64, height: f32) -> Vec<Faceted> {
        let mesh = prism(sides, radius, height);
        let edges = Edges::build(&mesh);
        let steps = vec![0.0; mesh.triangles.len()];
        faceted(&mesh, &edges, &steps, 15.0, 0.05)
    }

    /// R (1 - cos(pi / N)), geometry: 5 mm needs N = 50 for 0.01 mm; 40 mm with 32 sides sags 0.193 mm, with 96
    /// sides 0.021 mm. An octagon and a prism of 16 sides are meant.
    #[test]
    fn facets_of_a_cylinder_leave_the_arc_by_its_sagitta() {
        let exact = |n: f64, r: f64| r * (1.0 - libm::cos(std::f64::consts::PI / n));
        let turn = std::f64::consts::TAU / 50.0;
        let width = 10.0 * libm::sin(std::f64::consts::PI / 50.0);
        assert!((sagitta_mm(width, turn) - exact(50.0, 5.0)).abs() < 1e-12);
        assert!((exact(50.0, 5.0) - 0.00987).abs() < 1e-5);
        let got = of(32, 40.0, 60.0);
        assert!((got[0].sag_mm - exact(32.0, 40.0)).abs() < 1e-4, "{got:?}");
        assert_eq!(got[0].edges, 32);
        assert!((got[0].length_mm - 32.0 * 60.0).abs() < 1e-2);
        assert!(of(96, 40.0, 60.0).is_empty());
        assert!(of(8, 40.0, 60.0).is_empty());
        assert!(of(16, 40.0, 60.0).is_empty());
    }
}
