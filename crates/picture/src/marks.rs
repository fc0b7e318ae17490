//! Arrow solids for CAD: closed meshes whose tips touch the places of findings, to import beside a model.

use findings::Place;
use mesh::Mesh;
use mesh::vector::{Vec3, add, cross, dot, scale, sub, unit};

/// Sides of an arrow.
const SIDES: u32 = 16;
/// Length of an arrow as a share of the part's diagonal, and its bounds, mm.
const LENGTH_SHARE: f64 = 0.12;
const LENGTH_MM: [f64; 2] = [2.0, 40.0];
/// Head length, head radius and shaft radius as shares of an arrow's length.
const HEAD: f64 = 0.4;
const HEAD_RADIUS: f64 = 0.15;
const SHAFT_RADIUS: f64 = 0.055;

/// One arrow: a closed solid, triangles outward, tip at `tip`, shaft away along `outward`.
/// A direction without length counts as +z.
pub fn arrow(tip: Vec3, outward: Vec3, length_mm: f64) -> Mesh {
    let axis = unit(outward).unwrap_or([0.0, 0.0, 1.0]);
    let aside = if axis[0].abs() < 0.8 {
        [1.0, 0.0, 0.0]
    } else {
        [0.0, 1.0, 0.0]
    };
    let u = unit(sub(aside, scale(axis, dot(aside, axis)))).unwrap_or(aside);
    let v = cross(axis, u);
    let rings = [
        (HEAD, HEAD_RADIUS),
        (HEAD, SHAFT_RADIUS),
        (1.0, SHAFT_RADIUS),
    ];
    let mut points = vec![tip];
    for (along, radius) in rings {
        let centre = add(tip, scale(axis, along * length_mm));
        for k in 0..SIDES {
            let angle = std::f64::consts::TAU * f64::from(k) / f64::from(SIDES);
            let (s, c) = (libm::sin(angle), libm::cos(angle));
            let out = add(scale(u, c), scale(v, s));
            points.push(add(centre, scale(out, radius * length_mm)));
        }
    }
    points.push(add(tip, scale(axis, length_mm)));
    let ring = |r: u32, k: u32| 1 + r * SIDES + k % SIDES;
    let end = 1 + 3 * SIDES;
    let mut triangles = Vec::new();
    for k in 0..SIDES {
        triangles.push([0, ring(0, k + 1), ring(0, k)]);
        for r in 0..2 {
            let (a, b) = (ring(r, k), ring(r, k + 1));
            let (c, d) = (ring(r + 1, k), ring(r + 1, k + 1));
            triangles.push([a, b, d]);
            triangles.push([a, d, c]);
        }
        triangles.push([ring(2, k), ring(2, k + 1), end]);
    }
    Mesh::new(
        points.into_iter().map(|p| p.map(|c| c as f32)).collect(),
        triangles,
    )
}

/// Arrows for places, as one mesh in the frame of the part: one arrow a place, sized by the part.
/// A place without an outward direction is pointed at from the side away from the part's middle.
pub fn arrows(part: &Mesh, places: &[Place]) -> Mesh {
    let Some(bounds) = part.bounds() else {
        return Mesh::default();
    };
    let length = (LENGTH_SHARE * bounds.diagonal()).clamp(LENGTH_MM[0], LENGTH_MM[1]);
    let mut all = Mesh::default();
    for place in places {
        let outward = place
            .outward
            .unwrap_or_else(|| sub(place.at, bounds.centre()));
        let one = arrow(place.at, outward, length);
        let base = all.vertices.len() as u32;
        all.vertices.extend(one.vertices);
        all.triangles
            .extend(one.triangles.iter().map(|t| t.map(|v| v + base)));
    }
    Mesh::new(all.vertices, all.triangles)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    fn volume(mesh: &Mesh) -> f64 {
        // Gauss: the sum of the signed tetrahedra to the origin.
        (0..mesh.triangles.len())
            .map(|t| {
                let [a, b, c] = mesh.corners(t);
                dot(a, cross(b, c)) / 6.0
            })
            .sum()
    }

    #[test]
    fn an_arrow_is_a_closed_ball_like_surface_of_the_volume_of_its_cone_and_prism() {
        for axis in [
            [0.0, 0.0, 1.0],
            [1.0, 0.0, 0.0],
            [-1.0, 2.0, -3.0],
            [0.0; 3],
        ] {
            let mesh = arrow([1.0, 2.0, 3.0], axis, 10.0);
            let mut edges: BTreeMap<[u32; 2], i32> = BTreeMap::new();
            for t in &mesh.triangles {
                for k in 0..3 {
                    let (a, b) = (t[k], t[(k + 1) % 3]);
                    *edges.entry([a.min(b), a.max(b)]).or_default() += if a < b { 1 } else { -1 };
                }
            }
            // Every edge once each way: closed and evenly wound. Euler: V - E + F = 2 for a ball.
            assert!(edges.values().all(|&n| n == 0));
            assert_eq!(mesh.vertices.len() + mesh.triangles.len(), edges.len() + 2);
            // A regular n-gon of circumradius r has the area n r^2 sin(2 pi / n) / 2; a pyramid a third.
            let n = f64::from(SIDES);
            let polygon = |r: f64| 0.5 * n * r * r * libm::sin(std::f64::consts::TAU / n);
            let exact = polygon(1.5) * 4.0 / 3.0 + polygon(0.55) * 6.0;
            assert!(
                (volume(&mesh) / exact - 1.0).abs() < 1e-4,
                "{}",
                volume(&mesh)
            );
        }
    }

    #[test]
    fn the_tip_touches_the_place_and_the_rest_stays_outside() {
        let part = crate::closeup::block([0.0; 3], [30.0, 20.0, 10.0]);
        let places = [
            Place::at([15.0, 10.0, 10.0]).outward([0.0, 0.0, 1.0]),
            Place::at([30.0, 10.0, 5.0]),
        ];
        let all = arrows(&part, &places);
        assert!(all.check().is_empty());
        assert_eq!(all.vertices[0], [15.0, 10.0, 10.0]);
        let each = all.vertices.len() / 2;
        assert!(all.vertices[..each].iter().all(|v| v[2] >= 10.0));
        assert!(all.vertices[each..].iter().all(|v| v[0] >= 30.0 - 1e-5));
        assert!(arrows(&Mesh::default(), &places).triangles.is_empty());
        assert!(arrows(&part, &[]).triangles.is_empty());
    }
}
