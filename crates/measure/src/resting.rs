//! How a part could rest on the plate: its flat outsides, by the area that would touch.
//!
//! A part rests on a plane that has all of the part on one side, so only directions of its own facets are tried.
//! This room proposes; it judges no orientation by what it would print like.

use mesh::Mesh;
use mesh::vector::{Vec3, dot, length, scale, unit, wide};
use serde::{Deserialize, Serialize};

/// A way for a part to rest.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Resting {
    /// The mesh direction that would point away from the plate, one long.
    pub up: Vec3,
    /// Area that would touch the plate, mm2.
    pub contact_mm2: f64,
    /// Height above the plate, mm.
    pub height_mm: f64,
}

/// Facets whose directions are this close count as one, cosine: 0.6 degrees.
const SAME_DIRECTION: f64 = 0.99995;
/// A facet lies on the plate when its corners are this near, mm.
const ON_PLATE_MM: f64 = 0.02;
/// Directions are given to five decimals.
const DIGITS: f64 = 1e5;
/// So many directions are tried, those of the greatest area first.
const TRIED: usize = 48;

/// The ways in which a part could rest, those of the greatest contact first; at most `most`.
/// Directions along the mesh's own axes are snapped to them.
pub fn restings(mesh: &Mesh, most: usize) -> Vec<Resting> {
    let mut directions: Vec<(Vec3, f64)> = Vec::new();
    let mut facets: Vec<(Vec3, f64)> = (0..mesh.triangles.len())
        .filter_map(|t| {
            let doubled = mesh.doubled_area_vector(t);
            Some((unit(doubled)?, 0.5 * length(doubled)))
        })
        .collect();
    // Large facets found a direction first; what lies beside it joins.
    facets.sort_by(|a, b| {
        b.1.total_cmp(&a.1)
            .then(b.0[2].total_cmp(&a.0[2]))
            .then(b.0[1].total_cmp(&a.0[1]))
            .then(b.0[0].total_cmp(&a.0[0]))
    });
    for (n, area) in facets {
        match directions
            .iter()
            .position(|(d, _)| dot(*d, n) > SAME_DIRECTION)
        {
            Some(k) => directions[k].1 += area,
            // A smooth part has no end of directions and rests on none of them.
            None if directions.len() < 16 * TRIED => directions.push((snapped(n), area)),
            None => {}
        }
    }
    directions.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut found: Vec<Resting> = directions
        .into_iter()
        .take(TRIED)
        .filter_map(|(n, _)| rest_on(mesh, n))
        .collect();
    found.sort_by(|a, b| b.contact_mm2.total_cmp(&a.contact_mm2));
    found.truncate(most);
    found
}

/// The direction, or the axis it hardly differs from.
fn snapped(n: Vec3) -> Vec3 {
    for axis in 0..3 {
        for sign in [1.0, -1.0] {
            let mut a = [0.0; 3];
            a[axis] = sign;
            if dot(a, n) > SAME_DIRECTION {
                return a;
            }
        }
    }
    n
}

/// The part resting on its outermost plane with normal `n`; `None` where no facet lies there.
fn rest_on(mesh: &Mesh, n: Vec3) -> Option<Resting> {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for &v in &mesh.vertices {
        let h = dot(n, wide(v));
        low = low.min(h);
        high = high.max(h);
    }
    let contact_mm2: f64 = (0..mesh.triangles.len())
        .filter(|&t| {
            mesh.corners(t)
                .iter()
                .all(|&c| high - dot(n, c) <= ON_PLATE_MM)
        })
        .filter(|&t| mesh.normal(t).is_some_and(|m| dot(m, n) > SAME_DIRECTION))
        .map(|t| mesh.triangle_area(t))
        .sum();
    (contact_mm2 > 0.0).then(|| Resting {
        // As many digits as matter: a thousandth of a degree is far below what a plate holds.
        up: scale(n, -1.0).map(|x| (x * DIGITS).round() / DIGITS + 0.0),
        contact_mm2,
        height_mm: high - low,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A box 30 x 20 x 5: its largest face is 600 mm2, analytic.
    #[test]
    fn a_flat_box_rests_on_its_largest_face() {
        let mesh = mesh::shapes::welded(&mesh::shapes::cuboid([0.0; 3], [30.0, 20.0, 5.0]));
        let found = restings(&mesh, 10);
        assert_eq!(found.len(), 6);
        assert!((found[0].contact_mm2 - 600.0).abs() < 1e-9);
        assert_eq!(found[0].up[2].abs(), 1.0);
        assert!((found[0].height_mm - 5.0).abs() < 1e-9);
        assert!((found[5].contact_mm2 - 100.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_rests_on_nothing() {
        assert!(restings(&Mesh::default(), 3).is_empty());
    }
}
