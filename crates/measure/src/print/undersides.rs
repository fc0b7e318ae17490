//! Which facets an overhang is made of: what a picture hatches.

use mesh::Mesh;
use mesh::vector::{Vec3, add, dot, scale, sub};

use super::overhang::{Overhang, Overhangs};
use crate::size::Rotation;

/// An outline is widened by this to find its facets, mm.
const AROUND_MM: f64 = 0.5;
/// Facets lower than this lie on the plate, mm.
const ON_PLATE_MM: f64 = 0.05;

/// The facets steeper than allowed, degrees from vertical, that lie over an overhang's outline and near its height;
/// ascending.
pub fn undersides(
    mesh: &Mesh,
    to_pose: &Rotation,
    hangs: &Overhangs,
    allowed_deg: f64,
) -> Vec<u32> {
    let [x, y, z] = *to_pose;
    let flat = |p: Vec3| [dot(x, p), dot(y, p)];
    let steep = -libm::sin(allowed_deg.to_radians());
    let outlines: Vec<(&Overhang, Vec<[f64; 2]>, f64)> = hangs
        .places
        .iter()
        .map(|o| {
            let reach = o.outline.iter().map(|&p| mesh::vector::distance(p, o.at));
            let reach = reach.fold(1.0, f64::max);
            (o, o.outline.iter().map(|&p| flat(p)).collect(), reach)
        })
        .collect();
    let height = |p: Vec3| dot(z, p);
    let plate = (0..mesh.triangles.len())
        .flat_map(|t| mesh.corners(t))
        .map(height)
        .fold(f64::INFINITY, f64::min);
    (0..mesh.triangles.len())
        .filter(|&t| mesh.normal(t).is_some_and(|n| dot(z, n) < steep))
        .filter(|&t| {
            mesh.corners(t)
                .iter()
                .any(|&c| height(c) > plate + ON_PLATE_MM)
        })
        .filter(|&t| {
            let centre = mesh.triangle_centroid(t);
            // The middle and places near the corners: a large facet counts where it only begins beneath.
            let corners = mesh
                .corners(t)
                .map(|c| add(centre, scale(sub(c, centre), 0.9)));
            outlines.iter().any(|(o, outline, reach)| {
                (dot(z, sub(centre, o.at))).abs() <= *reach
                    && [centre, corners[0], corners[1], corners[2]]
                        .iter()
                        .any(|&p| within(outline, flat(p)))
            })
        })
        .map(|t| t as u32)
        .collect()
}

/// Whether a point lies in a convex outline, or hardly outside.
fn within(outline: &[[f64; 2]], p: [f64; 2]) -> bool {
    let n = outline.len();
    let side = |k: usize| {
        let (a, b) = (outline[k], outline[(k + 1) % n]);
        let (d, q) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
        let long = libm::hypot(d[0], d[1]);
        if long > 0.0 {
            (d[0] * q[1] - d[1] * q[0]) / long
        } else {
            0.0
        }
    };
    n > 2 && ((0..n).all(|k| side(k) >= -AROUND_MM) || (0..n).all(|k| side(k) <= AROUND_MM))
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{cuboid, welded};

    /// A block on a smaller one: the two facets of its underside hang, those of the foot do not.
    #[test]
    fn the_underside_within_the_outline_is_found() {
        let mut soup = cuboid([10.0, 10.0, 0.0], [20.0, 20.0, 10.0]);
        soup.extend(cuboid([0.0, 0.0, 10.0], [30.0, 30.0, 14.0]));
        let mesh = welded(&soup);
        let at = |x, y| [x, y, 10.0];
        let hangs = Overhangs {
            places: vec![Overhang {
                at: at(0.0, 0.0),
                height_mm: 10.0,
                reach_mm: 14.0,
                air_mm: 14.0,
                air_mm2: 800.0,
                steep_mm: 0.0,
                loose_mm2: 0.0,
                span_mm: 0.0,
                landing_mm2: 0.0,
                area_mm2: 800.0,
                island: false,
                outline: vec![at(0.0, 0.0), at(30.0, 0.0), at(30.0, 30.0), at(0.0, 30.0)],
            }],
            ..Overhangs::default()
        };
        let upright = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        let got = undersides(&mesh, &upright, &hangs, 45.0);
        assert_eq!(got.len(), 2);
        assert!(
            got.iter()
                .all(|&t| mesh.triangle_centroid(t as usize)[2] == 10.0)
        );
        assert!(undersides(&mesh, &upright, &Overhangs::default(), 45.0).is_empty());
    }
}
