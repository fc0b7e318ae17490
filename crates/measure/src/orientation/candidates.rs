//! Directions worth trying: those in which the part stands on a facet of its hull, its own axes, its large flats
//! down or up, and a uniform set over the sphere.

use mesh::hull3;
use mesh::vector::{Vec3, add, cross, dot, length, scale, sub, unit, wide};
use serde::{Deserialize, Serialize};

use super::normal_image::Flats;
use super::surface::Surface;

/// Points that stand out of the hull by less are no feet, mm.
const HULL_TOLERANCE_MM: f64 = 0.01;
/// Facets of the hull within this of each other are one foot, cosine: 0.3 degrees.
const ONE_FOOT: f64 = 0.999_986;
/// So many feet are tried, the largest first.
const FEET: usize = 64;
/// Directions closer than this are one, cosine: 0.5 degrees.
pub(super) const SAME: f64 = 0.999_96;

/// Where a direction comes from; the earlier is kept where two are the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Origin {
    /// The designer's own.
    Intended,
    /// An axis of the mesh.
    Axis,
    /// The part stands on a facet of its convex hull.
    Foot,
    /// A large flat faces straight up or down.
    Flat,
    /// One of a uniform set over the sphere.
    Uniform,
    /// Found beside a good one.
    Refined,
}

/// A direction to try.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Candidate {
    /// The mesh direction that points away from the plate, one long.
    pub up: Vec3,
    pub origin: Origin,
}

/// All directions to try, each once; `uniform` of them spread over the sphere.
pub(super) fn candidates(
    surface: &Surface,
    flats: &Flats,
    centroid: Vec3,
    intended: Vec3,
    uniform: usize,
) -> Vec<Candidate> {
    let mut all = vec![Candidate {
        up: intended,
        origin: Origin::Intended,
    }];
    let mut put = |up: Vec3, origin: Origin| {
        if !all.iter().any(|c| dot(c.up, up) > SAME) {
            all.push(Candidate { up, origin });
        }
    };
    for axis in 0..3 {
        for sign in [1.0, -1.0] {
            let mut up = [0.0; 3];
            up[axis] = sign;
            put(up, Origin::Axis);
        }
    }
    for up in feet(&surface.corners, centroid) {
        put(up, Origin::Foot);
    }
    for &n in &flats.normals {
        put(scale(n, -1.0), Origin::Flat);
        put(n, Origin::Flat);
    }
    for up in sphere(uniform) {
        put(up, Origin::Uniform);
    }
    all
}

/// Directions in which a part stands on its hull without tipping, the largest foot first.
fn feet(corners: &[[f32; 3]], centroid: Vec3) -> Vec<Vec3> {
    let Some(hull) = hull3::hull(corners, HULL_TOLERANCE_MM) else {
        return Vec::new();
    };
    struct Foot {
        normal: Vec3,
        sum: Vec3,
        facets: Vec<[u32; 3]>,
    }
    let mut facets: Vec<([u32; 3], Vec3, f64)> = hull
        .facets
        .iter()
        .filter_map(|&t| {
            let [a, b, c] = t.map(|v| wide(corners[v as usize]));
            let doubled = cross(sub(b, a), sub(c, a));
            Some((t, unit(doubled)?, length(doubled)))
        })
        .collect();
    facets.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.cmp(&b.0)));
    let mut found: Vec<Foot> = Vec::new();
    for (t, n, area) in facets {
        if let Some(foot) = found.iter_mut().find(|f| dot(f.normal, n) > ONE_FOOT) {
            foot.sum = add(foot.sum, scale(n, area));
            foot.facets.push(t);
        } else if found.len() < 8 * FEET {
            found.push(Foot {
                normal: n,
                sum: scale(n, area),
                facets: vec![t],
            });
        }
    }
    found.sort_by(|a, b| length(b.sum).total_cmp(&length(a.sum)));
    found
        .iter()
        .filter(|f| stands(&f.facets, f.normal, corners, centroid))
        .filter_map(|f| unit(scale(f.sum, -1.0)))
        .map(tidy)
        .take(FEET)
        .collect()
}

/// Whether the centre of mass lies over one of the foot's facets.
fn stands(facets: &[[u32; 3]], normal: Vec3, corners: &[[f32; 3]], centroid: Vec3) -> bool {
    facets.iter().any(|t| {
        let c = t.map(|v| wide(corners[v as usize]));
        (0..3).all(|k| {
            let along = sub(c[(k + 1) % 3], c[k]);
            dot(cross(along, sub(centroid, c[k])), normal) >= 0.0
        })
    })
}

/// The direction, or the axis it differs from by rounding only.
fn tidy(up: Vec3) -> Vec3 {
    let near = (0..3).find(|&k| up[k].abs() > 1.0 - 1e-9);
    match near {
        Some(k) => {
            let mut axis = [0.0; 3];
            axis[k] = up[k].signum();
            axis
        }
        None => up.map(|x| x + 0.0),
    }
}

/// `n` directions spread evenly over the sphere: a spiral by the golden angle (E. B. Saff, A. B. J. Kuijlaars,
/// "Distributing many points on a sphere", The Mathematical Intelligencer 19(1), 1997).
pub(super) fn sphere(n: usize) -> impl Iterator<Item = Vec3> {
    let golden = std::f64::consts::PI * (3.0 - 5f64.sqrt());
    (0..n).map(move |k| {
        let z = 1.0 - (2 * k + 1) as f64 / n as f64;
        let r = (1.0 - z * z).max(0.0).sqrt();
        let a = golden * k as f64;
        [r * libm::cos(a), r * libm::sin(a), z]
    })
}

/// Four directions around one, each turned away from it by an angle.
pub(super) fn around(up: Vec3, angle_deg: f64) -> [Vec3; 4] {
    let [x, y, _] = super::surface::frame(up);
    let (s, c) = libm::sincos(angle_deg.to_radians());
    [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]].map(|[a, b]| {
        let off = add(scale(x, a * s), scale(y, b * s));
        add(scale(up, c), off)
    })
}

#[cfg(test)]
mod tests {
    use super::super::surface::Shown;
    use super::*;
    use mesh::shapes::{cuboid, welded};

    fn of(soup: &mesh::shapes::Soup) -> Vec<Candidate> {
        let surface = Surface::of(&welded(soup), &Shown::All).expect("a surface");
        let flats = Flats::of(&surface);
        candidates(&surface, &flats, [0.0; 3], [0.0, 0.0, 1.0], 500)
    }

    #[test]
    fn every_face_of_a_leaning_box_is_a_foot_exactly() {
        // Turned by 30 degrees about x: faces are no axes, and no uniform set holds them.
        let turned: mesh::shapes::Soup = cuboid([-5.0, -10.0, -20.0], [5.0, 10.0, 20.0])
            .iter()
            .map(|t| {
                t.map(|[x, y, z]| {
                    let (s, c) = (0.5f32, 0.75f32.sqrt());
                    [x, c * y - s * z, s * y + c * z]
                })
            })
            .collect();
        let got = of(&turned);
        let feet: Vec<&Candidate> = got.iter().filter(|c| c.origin == Origin::Foot).collect();
        assert_eq!(feet.len(), 4, "the two along x are axes");
        let wanted = [0.0, 0.75f64.sqrt(), 0.5];
        assert!(feet.iter().any(|c| dot(c.up, wanted) > 1.0 - 1e-12));
        assert!(got.len() > 500);
    }

    /// The spiral's least angle between neighbours is of the order of the square root of the area a direction has.
    #[test]
    fn the_sphere_is_covered_evenly() {
        let all: Vec<Vec3> = sphere(500).collect();
        for probe in sphere(97) {
            let nearest = all.iter().map(|u| dot(*u, probe)).fold(-1.0, f64::max);
            assert!(libm::acos(nearest).to_degrees() < 7.0);
        }
        assert!(all.iter().all(|u| (length(*u) - 1.0).abs() < 1e-12));
    }

    #[test]
    fn neighbours_are_as_far_as_asked() {
        for n in around([0.6, 0.0, 0.8], 4.0) {
            let angle = libm::acos(dot(n, [0.6, 0.0, 0.8])).to_degrees();
            assert!((angle - 4.0).abs() < 1e-9);
        }
    }
}
