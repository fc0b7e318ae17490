//! Winding numbers of points about a closed set of facets, exactly.
//!
//! The winding number is how often the surface goes round a point: 1 inside a solid, 0 outside, -1 inside a shell
//! that is inside out (3MF core specification 1.4, 4.1.1, counts exits less entries along a ray the same way).
//! A ray goes up from each point; every facet it crosses adds 1 where it leaves and takes 1 where it enters.
//! Crossings are decided by exact predicates (Shewchuk 1997, through crate `robust`), so there is no tolerance; a ray
//! that meets an edge or a vertex says so, and the caller takes another point.
//!
//! On an open surface a ray may slip through the opening: such an answer is only as good as the opening is small.

use robust::{Coord, Coord3D, orient2d, orient3d};

use crate::shape::Mesh;
use crate::vector::Vec3;

/// What a ray says about a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turns {
    /// The winding number.
    Number(i32),
    /// The point lies on a facet.
    OnSurface,
    /// The ray meets an edge or a vertex: another point must be asked.
    Grazes,
}

/// Winding numbers of points (mm) about the facets with the given numbers.
///
/// n log q for n facets and q points, plus the pairs that overlap along x and y.
pub fn winding(mesh: &Mesh, facets: &[u32], points: &[Vec3]) -> Vec<Turns> {
    let mut order: Vec<u32> = (0..points.len() as u32).collect();
    order.sort_by(|&i, &j| points[i as usize][0].total_cmp(&points[j as usize][0]));
    let xs: Vec<f64> = order.iter().map(|&i| points[i as usize][0]).collect();
    let mut turns = vec![Turns::Number(0); points.len()];
    for &t in facets {
        let corners = mesh.corners(t as usize);
        let [low, high] = [f64::min, f64::max]
            .map(|f| [0, 1, 2].map(|k| f(f(corners[0][k], corners[1][k]), corners[2][k])));
        let from = xs.partition_point(|&x| x < low[0]);
        for (&i, &x) in order[from..].iter().zip(&xs[from..]) {
            if x > high[0] {
                break;
            }
            let p = points[i as usize];
            if p[1] < low[1] || p[1] > high[1] || p[2] > high[2] {
                continue;
            }
            let turn = &mut turns[i as usize];
            *turn = match (*turn, crossing(corners, p)) {
                (Turns::Number(n), Turns::Number(d)) => Turns::Number(n + d),
                (Turns::OnSurface, _) | (_, Turns::OnSurface) => Turns::OnSurface,
                _ => Turns::Grazes,
            };
        }
    }
    turns
}

/// What one facet adds for a ray from `p` along +z.
fn crossing([a, b, c]: [Vec3; 3], p: Vec3) -> Turns {
    let flat = |q: Vec3| Coord { x: q[0], y: q[1] };
    let side = |q: Vec3, r: Vec3| orient2d(flat(q), flat(r), flat(p));
    let sides = [side(a, b), side(b, c), side(c, a)];
    let ccw = sides.iter().all(|&s| s > 0.0);
    let cw = sides.iter().all(|&s| s < 0.0);
    let solid = |q: Vec3| Coord3D {
        x: q[0],
        y: q[1],
        z: q[2],
    };
    if !ccw && !cw {
        let outside = sides.iter().any(|&s| s > 0.0) && sides.iter().any(|&s| s < 0.0);
        if outside {
            return Turns::Number(0);
        }
        // On the line of a side, or the facet stands upright: decided only where it is surely no crossing.
        return if touches_edge_on([a, b, c], p, sides) {
            Turns::Grazes
        } else {
            Turns::Number(0)
        };
    }
    // Positive where p lies below the plane of a, b, c that turns counter-clockwise seen from above.
    let below = orient3d(solid(a), solid(b), solid(c), solid(p));
    if below == 0.0 {
        return Turns::OnSurface;
    }
    match (ccw, below > 0.0) {
        (true, true) => Turns::Number(1),
        (false, false) => Turns::Number(-1),
        _ => Turns::Number(0),
    }
}

/// With at least one side through p in projection: whether p is on the projected facet.
fn touches_edge_on(corners: [Vec3; 3], p: Vec3, sides: [f64; 3]) -> bool {
    (0..3).any(|k| {
        let (q, r) = (corners[k], corners[(k + 1) % 3]);
        let within = |i: usize| p[i] >= q[i].min(r[i]) && p[i] <= q[i].max(r[i]);
        sides[k] == 0.0 && within(0) && within(1)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{Soup, cuboid, reversed, torus, welded};
    use crate::vector::{cross, dot, length, sub};

    fn all(mesh: &Mesh) -> Vec<u32> {
        (0..mesh.triangles.len() as u32).collect()
    }

    fn number(soup: &[[[f32; 3]; 3]], p: Vec3) -> Turns {
        let mesh = welded(soup);
        winding(&mesh, &all(&mesh), &[p])[0]
    }

    #[test]
    fn inside_outside_reversed_and_twice() {
        let one = cuboid([0.0; 3], [3.0; 3]);
        let inside = [1.31, 1.17, 1.53];
        assert_eq!(number(&one, inside), Turns::Number(1));
        assert_eq!(number(&one, [1.31, 1.17, 3.53]), Turns::Number(0));
        assert_eq!(number(&one, [1.31, 1.17, -0.53]), Turns::Number(0));
        assert_eq!(number(&reversed(&one), inside), Turns::Number(-1));
        let mut nested: Soup = one.clone();
        nested.extend(cuboid([1.0; 3], [2.0; 3]));
        assert_eq!(number(&nested, inside), Turns::Number(2));
        let mut void: Soup = one;
        void.extend(reversed(&cuboid([1.0; 3], [2.0; 3])));
        assert_eq!(number(&void, inside), Turns::Number(0));
    }

    #[test]
    fn a_point_on_a_facet_and_a_ray_through_an_edge_say_so() {
        let one = cuboid([0.0; 3], [3.0; 3]);
        assert_eq!(number(&one, [1.31, 1.17, 3.0]), Turns::OnSurface);
        // The top's diagonal lies over x = y.
        assert_eq!(number(&one, [1.5, 1.5, 1.0]), Turns::Grazes);
    }

    /// The solid angle of a facet seen from a point (Van Oosterom and Strackee 1983), summed over 4 pi.
    fn by_solid_angle(mesh: &Mesh, p: Vec3) -> f64 {
        let mut sum = 0.0;
        for t in 0..mesh.triangles.len() {
            let [a, b, c] = mesh.corners(t).map(|q| sub(q, p));
            let [x, y, z] = [length(a), length(b), length(c)];
            let over = dot(a, cross(b, c));
            let under = x * y * z + dot(a, b) * z + dot(b, c) * x + dot(c, a) * y;
            sum += 2.0 * libm::atan2(over, under);
        }
        sum / (4.0 * std::f64::consts::PI)
    }

    #[test]
    fn agrees_with_the_sum_of_solid_angles() {
        let mut soup = torus(24, 16, 20.0, 5.0);
        soup.extend(cuboid([10.0, -3.0, -2.0], [22.0, 4.0, 3.0]));
        soup.extend(reversed(&cuboid([16.0, -1.0, -1.0], [18.0, 1.0, 1.0])));
        let mesh = welded(&soup);
        let mut points = Vec::new();
        for i in 0..12 {
            for j in 0..12 {
                for k in 0..5 {
                    let u = |n: usize, m: f64| -26.013 + n as f64 * m;
                    points.push([u(i, 4.731), u(j, 4.327), -5.003 + 2.11 * k as f64]);
                }
            }
        }
        let got = winding(&mesh, &all(&mesh), &points);
        let mut inside = 0;
        for (p, turns) in points.iter().zip(got) {
            let want = by_solid_angle(&mesh, *p).round() as i32;
            assert_eq!(turns, Turns::Number(want), "{p:?}");
            inside += usize::from(want != 0);
        }
        assert!(inside > 30, "the points reach into the solid");
    }
}
