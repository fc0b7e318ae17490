//! Turning a part into its print pose and setting it down.
//!
//! The pose: the rotation is applied in f64, then the least corner of the box is moved to the origin. So the
//! part stands on z = 0 and lies in the positive octant, as the STL interface note of 1989 and section 3.3 of
//! the 3MF core standard 1.4 ask for. Only then is each coordinate rounded to f32.
//!
//! Guarantee: vertices that differ before differ afterwards, and equal ones stay equal, so the turned mesh
//! is exactly as closed as the mesh was. Where rounding would make two vertices meet, the later one takes the
//! nearest free neighbour instead, at most a few steps of f32 away.

use std::collections::{BTreeSet, HashSet};

use mesh::Mesh;
use mesh::vector::{Vec3, cross, dot, sub, wide};

/// Row-major rotation: `moved = rotation * point`.
pub type Rotation = [[f64; 3]; 3];

/// No turn at all.
pub const IDENTITY: Rotation = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// How far rows of a rotation may be from orthonormal: rounding of a few products of f64.
const ORTHONORMAL_WITHIN: f64 = 1e-9;
/// Half the spacing of f32 next to 1: coordinates under this part of the longest side are rounding dust.
const HALF_ULP: f64 = 1.0 / 16_777_216.0;
/// How many f32 steps a vertex may be moved aside to keep it apart from another.
const MOST_STEPS_ASIDE: i32 = 6;

/// A part as it goes to print: every vertex used, no triangle with a vertex twice.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintMesh {
    /// Positions in mm; in the print pose all are at least 0, the least of each axis 0.
    pub vertices: Vec<[f32; 3]>,
    /// Vertex ids, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

/// A part as it was filed, and where it goes to be printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// In its own frame, bit for bit as filed; numbered as `printed`.
    pub filed: PrintMesh,
    /// In its print pose.
    pub printed: PrintMesh,
    /// From its own frame to its print pose, before coordinates are rounded.
    pub placement: Placement,
}

/// A rigid motion: `placed = turn * point + move_mm`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Row-major turn.
    pub turn: Rotation,
    /// Move after the turn, mm.
    pub move_mm: [f64; 3],
}

/// Why a part cannot be set on the plate.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlateFault {
    /// The matrix mirrors, scales or shears.
    #[error(
        "the print pose is no rotation: its rows are not three perpendicular unit vectors, right-handed"
    )]
    NoRotation,
    /// No triangle with three different vertices.
    #[error("the mesh has no triangle to print")]
    Empty,
    /// A triangle names a vertex that is not there, or a coordinate is not finite.
    #[error("the mesh is not sound: {0}")]
    Unsound(String),
    /// Vertices so dense that they cannot be kept apart in f32.
    #[error(
        "vertex {vertex} at {at:?} mm cannot be kept apart from its neighbours in 32-bit coordinates: merge vertices that lie closer than 0.0001 mm"
    )]
    TooDense {
        /// The vertex, as numbered in the mesh.
        vertex: u32,
        /// Where it stands in the mesh's own frame, mm.
        at: [f32; 3],
    },
}

fn is_rotation(r: &Rotation) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= ORTHONORMAL_WITHIN;
    let third = cross(r[0], r[1]);
    near(dot(r[0], r[0]), 1.0)
        && near(dot(r[1], r[1]), 1.0)
        && near(dot(r[0], r[1]), 0.0)
        && (0..3).all(|k| near(third[k], r[2][k]))
}

/// Entries within rounding of -1, 0 and 1 made exact, so that quarter turns are exact.
fn cleaned(r: &Rotation) -> Rotation {
    r.map(|row| {
        row.map(|x| {
            let whole = x.round();
            if (x - whole).abs() < 1e-12 { whole } else { x }
        })
    })
}

/// +0 for -0, so that equal numbers have equal bits.
fn key(p: [f32; 3]) -> [u32; 3] {
    p.map(|x| (x + 0.0).to_bits())
}

/// Turns a part by `rotation` and sets it down: least corner at the origin, mm. Left out are triangles that name
/// a vertex twice (closed meshes stay closed: the two edges they joined become one), second copies of a triangle
/// with the same winding (they add no surface, and no standard takes them), and vertices that no triangle names.
/// The order of the others is kept.
///
/// # Errors
/// [`PlateFault`].
pub fn set_down(mesh: &Mesh, rotation: &Rotation) -> Result<PrintMesh, PlateFault> {
    stand(mesh, rotation).map(|standing| standing.printed)
}

/// The same as [`set_down`], with the part as filed beside it.
///
/// # Errors
/// [`PlateFault`].
pub fn stand(mesh: &Mesh, rotation: &Rotation) -> Result<Standing, PlateFault> {
    if !is_rotation(rotation) {
        return Err(PlateFault::NoRotation);
    }
    if let Some(broken) = mesh.check().into_iter().next() {
        return Err(PlateFault::Unsound(broken));
    }
    let kept = real_triangles(&mesh.triangles);
    if kept.is_empty() {
        return Err(PlateFault::Empty);
    }
    let mut number = vec![u32::MAX; mesh.vertices.len()];
    for &v in kept.iter().flatten() {
        number[v as usize] = 0;
    }
    let used: Vec<u32> = (0..mesh.vertices.len() as u32)
        .filter(|&v| number[v as usize] == 0)
        .collect();
    for (new, &old) in used.iter().enumerate() {
        number[old as usize] = new as u32;
    }
    let filed: Vec<[f32; 3]> = used.iter().map(|&v| mesh.vertices[v as usize]).collect();
    let turn = cleaned(rotation);
    let (exact, move_mm) = turned(&filed, &turn);
    let vertices = rounded_apart(&filed, &exact).map_err(|k| PlateFault::TooDense {
        vertex: used[k],
        at: filed[k],
    })?;
    let triangles: Vec<[u32; 3]> = kept.iter().map(|t| t.map(|v| number[v as usize])).collect();
    Ok(Standing {
        filed: PrintMesh {
            vertices: filed,
            triangles: triangles.clone(),
        },
        printed: PrintMesh {
            vertices,
            triangles,
        },
        placement: Placement { turn, move_mm },
    })
}

/// The triangles with three different vertices, each once.
pub(crate) fn real_triangles(triangles: &[[u32; 3]]) -> Vec<[u32; 3]> {
    let from_least = |&[a, b, c]: &[u32; 3]| match a.min(b).min(c) {
        least if least == a => [a, b, c],
        least if least == b => [b, c, a],
        _ => [c, a, b],
    };
    let mut seen = HashSet::with_capacity(triangles.len());
    triangles
        .iter()
        .filter(|[a, b, c]| a != b && b != c && c != a)
        .filter(|t| seen.insert(from_least(t)))
        .copied()
        .collect()
}

/// Points turned, moved to the positive octant, freed of rounding dust; and the move.
fn turned(points: &[[f32; 3]], rotation: &Rotation) -> (Vec<Vec3>, Vec3) {
    let mut turned: Vec<Vec3> = points
        .iter()
        .map(|&p| rotation.map(|row| dot(row, wide(p))))
        .collect();
    let Some(bounds) = mesh::Bounds::of(turned.iter().copied()) else {
        return (turned, [0.0; 3]);
    };
    let dust = HALF_ULP * bounds.size().into_iter().fold(0.0, f64::max);
    for p in &mut turned {
        *p = sub(*p, bounds.min).map(|x| if x <= dust { 0.0 } else { x });
    }
    (turned, bounds.min.map(|x| 0.0 - x))
}

/// Rounds to f32 so that points with different `filed` bits stay different. The error is the index of a point
/// for which no free neighbour was found.
fn rounded_apart(filed: &[[f32; 3]], exact: &[Vec3]) -> Result<Vec<[f32; 3]>, usize> {
    let mut out: Vec<[f32; 3]> = exact.iter().map(|p| p.map(|x| x as f32)).collect();
    let mut order: Vec<u32> = (0..out.len() as u32).collect();
    let sort_key = |&v: &u32| (key(out[v as usize]), key(filed[v as usize]), v);
    order.sort_unstable_by_key(sort_key);
    // Of each run of equal results, the points that were different before: all but the first must move.
    let mut moving: Vec<Vec<u32>> = Vec::new();
    for pair in order.windows(2) {
        let [a, b] = [pair[0] as usize, pair[1] as usize];
        if key(out[a]) != key(out[b]) {
            continue;
        }
        match moving.last_mut() {
            // The same filed point again: it moves with its twin, or stays with it.
            _ if key(filed[a]) == key(filed[b]) => {
                if let Some(twins) = moving.last_mut().filter(|t| t.last() == Some(&pair[0])) {
                    twins.push(pair[1]);
                }
            }
            _ => moving.push(vec![pair[1]]),
        }
    }
    if moving.is_empty() {
        return Ok(out);
    }
    moving.sort_unstable();
    let mut taken: HashSet<[u32; 3]> = out.iter().map(|&p| key(p)).collect();
    let longest = exact.iter().flatten().fold(0.0, |m: f64, &x| m.max(x));
    for twins in moving {
        let first = twins[0] as usize;
        let place = free_neighbour(exact[first], longest * HALF_ULP, &taken).ok_or(first)?;
        taken.insert(key(place));
        for v in twins {
            out[v as usize] = place;
        }
    }
    Ok(out)
}

/// The free f32 point nearest to `exact`, none of its coordinates below 0. `dust` is the least step: next to
/// zero the steps of f32 are far smaller than anything that matters.
fn free_neighbour(exact: Vec3, dust: f64, taken: &HashSet<[u32; 3]>) -> Option<[f32; 3]> {
    for reach in 1..=MOST_STEPS_ASIDE {
        let along = |x: f64| -> Vec<f32> {
            let near = x as f32;
            let step = f64::from(near.next_up() - near).max(dust);
            (-reach..=reach)
                .map(|k| (f64::from(near) + f64::from(k) * step) as f32)
                .filter(|&y| y >= 0.0)
                .collect()
        };
        let [xs, ys, zs] = exact.map(along);
        let mut free: BTreeSet<(u64, [u32; 3])> = BTreeSet::new();
        for &x in &xs {
            for &y in &ys {
                for &z in &zs {
                    let to = sub(wide([x, y, z]), exact);
                    if !taken.contains(&key([x, y, z])) {
                        free.insert((dot(to, to).to_bits(), key([x, y, z])));
                    }
                }
            }
        }
        if let Some((_, bits)) = free.first() {
            return Some(bits.map(f32::from_bits));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::half_edges;
    use crate::stl::tests::tetrahedron;

    /// A turn of `degrees` about z, then about x: no axis stays.
    fn oblique(degrees: f64) -> Rotation {
        let (s, c) = libm::sincos(degrees.to_radians());
        [[c, -s, 0.0], [c * s, c * c, -s], [s * s, c * s, c]]
    }

    fn volume_mm3(vertices: &[[f32; 3]], triangles: &[[u32; 3]]) -> f64 {
        let corner = |t: &[u32; 3], k: usize| wide(vertices[t[k] as usize]);
        triangles
            .iter()
            .map(|t| dot(corner(t, 0), cross(corner(t, 1), corner(t, 2))) / 6.0)
            .sum()
    }

    #[test]
    fn a_part_stands_on_the_plate_in_the_positive_octant() {
        let mesh = tetrahedron([30.0, -40.0, 5.0]);
        for degrees in [0.0, 30.0, 45.0, 90.0, 180.0, 271.3] {
            let moved = set_down(&mesh, &oblique(degrees)).expect("a rotation");
            let least = |k: usize| moved.vertices.iter().map(|p| p[k]).fold(f32::MAX, f32::min);
            assert_eq!([least(0), least(1), least(2)], [0.0; 3]);
            // Volume of the unit corner tetrahedron is 1/6 in any pose (check: winding kept).
            let volume = volume_mm3(&moved.vertices, &moved.triangles);
            assert!((volume - 1.0 / 6.0).abs() < 1e-6, "{volume}");
        }
    }

    #[test]
    fn a_quarter_turn_with_rounding_in_it_is_exact() {
        let mesh = tetrahedron([0.0; 3]);
        let (s, c) = libm::sincos(std::f64::consts::FRAC_PI_2);
        assert!(c != 0.0, "the library gives 6e-17");
        let moved = set_down(&mesh, &[[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]]).expect("turn");
        // (x, y, z) -> (x, -z, y), then y moved up by 1.
        assert_eq!(
            moved.vertices,
            [
                [0.0, 1.0, 0.0],
                [1.0, 1.0, 0.0],
                [0.0, 1.0, 1.0],
                [0.0, 0.0, 0.0]
            ]
        );
    }

    #[test]
    fn vertices_that_would_meet_are_kept_apart() {
        // A needle tip near the origin: 1e-6 mm apart, which f32 tells apart there but not at 200 mm.
        let mut mesh = tetrahedron([0.0; 3]);
        mesh.vertices
            .extend([[1e-6, 0.0, 0.0], [0.0, 1e-6, 0.0], [-200.0, -200.0, -200.0]]);
        mesh = Mesh::new(
            mesh.vertices,
            vec![[0, 4, 5], [0, 6, 4], [4, 6, 5], [5, 6, 0]],
        );
        let moved = set_down(&mesh, &IDENTITY).expect("kept apart");
        let keys: BTreeSet<[u32; 3]> = moved.vertices.iter().map(|&p| key(p)).collect();
        assert_eq!(keys.len(), 4);
        for p in &moved.vertices[..3] {
            assert!(p.iter().all(|x| (x - 200.0).abs() < 1e-4), "{p:?}");
        }
        assert_eq!(half_edges::open_edges(&moved.triangles), 0);
    }

    #[test]
    fn equal_vertices_stay_equal_and_triangles_that_add_nothing_go() {
        let mut mesh = tetrahedron([0.0; 3]);
        mesh.vertices.push([0.0, -0.0, 0.0]);
        mesh.triangles.push([0, 0, 1]);
        mesh.triangles.push([4, 1, 2]);
        let [a, b, c] = mesh.triangles[1];
        mesh.triangles.push([b, c, a]);
        mesh.triangles.push([b, a, c]);
        mesh = Mesh::new(mesh.vertices, mesh.triangles);
        let moved = set_down(&mesh, &oblique(33.0)).expect("turn");
        assert_eq!(
            moved.triangles.len(),
            6,
            "the same triangle again goes, a turned one stays"
        );
        assert_eq!(moved.vertices[0], moved.vertices[4]);
    }

    #[test]
    fn what_cannot_be_set_down_is_named() {
        let mesh = tetrahedron([0.0; 3]);
        let mirror = [[-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        assert_eq!(set_down(&mesh, &mirror), Err(PlateFault::NoRotation));
        let not_finite = [[f64::NAN; 3]; 3];
        assert_eq!(set_down(&mesh, &not_finite), Err(PlateFault::NoRotation));
        assert_eq!(
            set_down(&Mesh::default(), &IDENTITY),
            Err(PlateFault::Empty)
        );
        let broken = Mesh::new(vec![[0.0; 3]], vec![[0, 1, 2]]);
        assert!(matches!(
            set_down(&broken, &IDENTITY),
            Err(PlateFault::Unsound(_))
        ));
        // 4000 points within one step of f32 at 200 mm.
        let mut dense = vec![[-200.0f32; 3]];
        dense.extend((0..4000).map(|k| [k as f32 * 1e-10, 0.0, 0.0]));
        let triangles = (1..3999).map(|k| [0, k, k + 1]).collect();
        let got = set_down(&Mesh::new(dense, triangles), &IDENTITY);
        assert!(matches!(got, Err(PlateFault::TooDense { .. })), "{got:?}");
    }
}
