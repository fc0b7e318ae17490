//! Partners over edges with more than two faces, and facets that are there twice.
//!
//! Where four faces meet along an edge (two boxes that touch there), the edge does not say which face goes on into
//! which. Faces are sorted by angle about the edge and joined so that partners bound one wedge of material: solids
//! that meet along an edge come apart into closed shells, as a slice through them does. A facet that is stored
//! twice with the same winding is left out first; what then stays without a partner is a rim.

use std::cmp::Ordering;

use crate::edges::{Edges, NONE, ends, opposite};
use crate::shape::Mesh;
use crate::vector::{Vec3, cross, dot, sub, unit, wide};

/// Faces whose angle about an edge differs by less than this (radians) lie in one plane: the rounding of the
/// angle is under 1e-14, distinct planes through f32 corners differ by more than 1e-7 as a rule.
const SAME_PLANE: f64 = 1e-9;

/// Completes `twins`, `loose`, `turned`, `repeated` and `opposed`. `same` holds the partners of edges with two
/// faces that walk it the same way.
pub(crate) fn join(mesh: &Mesh, edges: &mut Edges, same: &[[u32; 2]]) {
    find_duplicates(mesh, edges, same);
    let repeated = std::mem::take(&mut edges.repeated);
    let counts = |h: u32| repeated.binary_search(&(h / 3)).is_err();
    for &[a, b] in same {
        if counts(a) && counts(b) {
            edges.turned.push([a.min(b), a.max(b)]);
            continue;
        }
        for h in [a, b] {
            edges.twins[h as usize] = NONE;
            if counts(h) {
                edges.loose.push(h);
            }
        }
    }
    let mut faces = Vec::new();
    for edge in 0..edges.crowded_edges() {
        let own = edges.crowded_starts[edge] as usize..edges.crowded_starts[edge + 1] as usize;
        faces.clear();
        faces.extend(
            edges.crowded_half_edges[own]
                .iter()
                .copied()
                .filter(|&h| counts(h)),
        );
        join_one(mesh, edges, &faces);
    }
    // A repeated facet may have a partner over an edge that has two faces: the partner loses it.
    for &t in &repeated {
        for h in 3 * t..3 * t + 3 {
            let twin = std::mem::replace(&mut edges.twins[h as usize], NONE);
            if twin != NONE && counts(twin) {
                edges.twins[twin as usize] = NONE;
                edges.loose.push(twin);
            }
        }
    }
    if !repeated.is_empty() {
        edges.loose.retain(|&h| counts(h));
    }
    edges.repeated = repeated;
    edges.loose.sort_unstable();
    edges.loose.dedup();
    edges.turned.sort_unstable();
}

/// Facets with the same three vertices. Each of its edges is either crowded, walked twice the same way, or the
/// two facets are a shell of their own (a pillow), so only such facets are looked at.
fn find_duplicates(mesh: &Mesh, edges: &mut Edges, same: &[[u32; 2]]) {
    let mut suspects: Vec<u32> = edges
        .crowded_half_edges
        .iter()
        .chain(same.iter().flatten())
        .map(|h| h / 3)
        .collect();
    for (t, twins) in edges.twins.chunks_exact(3).enumerate() {
        let other = twins[0] / 3;
        if twins[0] != NONE && twins[1] / 3 == other && twins[2] / 3 == other {
            suspects.push(t as u32);
        }
    }
    suspects.sort_unstable();
    suspects.dedup();
    let mut keyed: Vec<([u32; 3], u32, bool)> = suspects
        .into_iter()
        .map(|t| {
            let [a, b, c] = mesh.triangles[t as usize];
            let mut key = [a, b, c];
            key.sort_unstable();
            // An even permutation of the sorted corners keeps their cyclic order.
            let even = [[a, b, c], [b, c, a], [c, a, b]].contains(&key);
            (key, t, even)
        })
        .collect();
    keyed.sort_unstable();
    let mut repeated: Vec<[u32; 2]> = Vec::new();
    for run in keyed.chunk_by(|x, y| x.0 == y.0) {
        let [mut evens, mut odds] = [0; 2].map(|_| Vec::new());
        for &(_, t, even) in run {
            if even { &mut evens } else { &mut odds }.push(t);
        }
        for side in [&evens, &odds] {
            repeated.extend(side.iter().skip(1).map(|&t| [t, side[0]]));
        }
        if let (Some(&a), Some(&b)) = (evens.first(), odds.first()) {
            edges.opposed.push([a.min(b), a.max(b)]);
        }
    }
    repeated.sort_unstable();
    edges.repeated = repeated.iter().map(|r| r[0]).collect();
    edges.repeated_of = repeated.iter().map(|r| r[1]).collect();
    edges.opposed.sort_unstable();
}

/// One face at a crowded edge.
struct Face {
    half_edge: u32,
    /// About the edge, radians.
    angle: f64,
    /// Material lies just before this face, going round by growing angle.
    ends_material: bool,
}

/// Joins the faces of one edge.
fn join_one(mesh: &Mesh, edges: &mut Edges, half_edges: &[u32]) {
    let Some(&first) = half_edges.first() else {
        return;
    };
    let [a, b] = ends(mesh, first);
    let (low, high) = (a.min(b), a.max(b));
    let mut faces = around(mesh, low, high, half_edges);
    sort_round(&mut faces);
    let mut partner = vec![usize::MAX; faces.len()];
    // Brackets on a circle: a face where material begins is closed by the nearest one where it ends. Twice round.
    let mut open: Vec<usize> = Vec::new();
    for i in (0..faces.len()).chain(0..faces.len()) {
        if partner[i] != usize::MAX {
            continue;
        }
        if !faces[i].ends_material {
            if !open.contains(&i) {
                open.push(i);
            }
        } else if let Some(j) = open.pop() {
            partner[i] = j;
            partner[j] = i;
        }
    }
    // What is left has one direction only: neighbours go together as facets turned against each other.
    let left: Vec<usize> = (0..faces.len())
        .filter(|&i| partner[i] == usize::MAX)
        .collect();
    for two in left.chunks_exact(2) {
        partner[two[0]] = two[1];
        partner[two[1]] = two[0];
    }
    for (i, face) in faces.iter().enumerate() {
        let h = face.half_edge;
        match partner[i] {
            usize::MAX => edges.loose.push(h),
            j => {
                let other = faces[j].half_edge;
                edges.twins[h as usize] = other;
                if faces[i].ends_material == faces[j].ends_material && h < other {
                    edges.turned.push([h, other]);
                }
            }
        }
    }
}

/// The faces with their angles about the edge from `low` to `high`.
fn around(mesh: &Mesh, low: u32, high: u32, half_edges: &[u32]) -> Vec<Face> {
    let at = |v: u32| wide(mesh.vertices[v as usize]);
    let origin = at(low);
    // The exact weld leaves no edge without length; a file's own numbers may.
    let axis = unit(sub(at(high), origin)).unwrap_or([0.0, 0.0, 1.0]);
    let across = perpendicular(axis);
    let third = cross(axis, across);
    half_edges
        .iter()
        .map(|&half_edge| {
            let r = sub(at(opposite(mesh, half_edge)), origin);
            Face {
                half_edge,
                angle: libm::atan2(dot(r, third), dot(r, across)),
                // Walked upward, the outward normal points to growing angles, so material ends here.
                ends_material: ends(mesh, half_edge)[0] == low,
            }
        })
        .collect()
}

/// By angle; within one plane, material ends before it begins, so that two solids that touch over a whole face
/// each keep their own.
fn sort_round(faces: &mut [Face]) {
    faces.sort_by(|x, y| {
        x.angle
            .total_cmp(&y.angle)
            .then(x.half_edge.cmp(&y.half_edge))
    });
    // The angle jumps at half a turn: what lies just below +pi is in the plane of what lies just above -pi.
    let wrapped = match faces {
        [first, .., last] => first.angle + 2.0 * std::f64::consts::PI - last.angle < SAME_PLANE,
        _ => false,
    };
    if wrapped {
        let turn = 2.0 * std::f64::consts::PI;
        let last = faces[faces.len() - 1].angle;
        for face in faces.iter_mut() {
            if face.angle + turn - last < SAME_PLANE {
                face.angle += turn;
            }
        }
        faces.sort_by(|x, y| {
            x.angle
                .total_cmp(&y.angle)
                .then(x.half_edge.cmp(&y.half_edge))
        });
    }
    let mut i = 0;
    while i < faces.len() {
        let mut j = i + 1;
        while j < faces.len() && faces[j].angle - faces[j - 1].angle < SAME_PLANE {
            j += 1;
        }
        faces[i..j].sort_by(|x, y| match (x.ends_material, y.ends_material) {
            (true, false) => Ordering::Less,
            (false, true) => Ordering::Greater,
            _ => x.half_edge.cmp(&y.half_edge),
        });
        i = j;
    }
}

/// A unit vector across `axis`.
fn perpendicular(axis: Vec3) -> Vec3 {
    let least = (0..3)
        .min_by(|&i, &j| axis[i].abs().total_cmp(&axis[j].abs()))
        .unwrap_or(0);
    let mut e = [0.0; 3];
    e[least] = 1.0;
    unit(cross(axis, e)).unwrap_or(e)
}

#[cfg(test)]
mod tests {
    use crate::edges::Edges;
    use crate::shapes::{cuboid, moved, welded};

    fn parted(mesh: &crate::Mesh, edges: &Edges, first: usize) -> bool {
        // No partner reaches from the first `first` facets to the others.
        let filed = |h: u32| mesh.filed[h as usize / 3] as usize;
        (0..edges.twins.len() as u32)
            .all(|h| (filed(h) < first) == (filed(edges.twins[h as usize]) < first))
    }

    #[test]
    fn boxes_that_share_an_edge_come_apart() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup.extend(moved(&soup.clone(), [20.0, 20.0, 0.0]));
        let mesh = welded(&soup);
        let edges = Edges::build(&mesh);
        assert_eq!(edges.crowded_edges(), 1);
        assert!(edges.closed() && edges.turned.is_empty());
        assert!(parted(&mesh, &edges, 12));
    }

    #[test]
    fn boxes_that_share_a_face_come_apart() {
        for axis in 0..3 {
            let mut d = [0.0; 3];
            d[axis] = 20.0;
            let mut soup = cuboid([0.0; 3], [20.0; 3]);
            soup.extend(moved(&soup.clone(), d));
            let mesh = welded(&soup);
            let edges = Edges::build(&mesh);
            assert!(edges.crowded_edges() >= 4, "axis {axis}");
            assert!(edges.closed() && edges.turned.is_empty(), "axis {axis}");
            assert!(parted(&mesh, &edges, 12), "axis {axis}");
        }
    }

    #[test]
    fn a_facet_stored_twice_leaves_the_surface_whole() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup.push(soup[0]);
        let edges = Edges::build(&welded(&soup));
        assert_eq!(edges.crowded_edges(), 3); // three edges with three faces, as general mesh libraries count
        assert_eq!(edges.repeated, vec![12]);
        assert!(edges.closed() && edges.turned.is_empty());
    }

    #[test]
    fn a_whole_mesh_stored_twice_is_one_surface() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup.extend(soup.clone());
        let edges = Edges::build(&welded(&soup));
        assert_eq!(edges.repeated, (12..24).collect::<Vec<u32>>());
        assert!(edges.closed() && edges.turned.is_empty());
    }

    #[test]
    fn two_facets_back_to_back_are_an_opposed_pair() {
        let t = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]];
        let edges = Edges::build(&welded(&[t, [t[0], t[2], t[1]]]));
        assert_eq!(edges.opposed, vec![[0, 1]]);
        assert!(edges.closed() && edges.repeated.is_empty());
    }

    #[test]
    fn a_lone_facet_stored_twice_keeps_one_rim() {
        let t = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]];
        let edges = Edges::build(&welded(&[t, t]));
        assert_eq!(edges.repeated, vec![1]);
        assert_eq!(edges.loose, vec![0, 1, 2]);
    }
}
