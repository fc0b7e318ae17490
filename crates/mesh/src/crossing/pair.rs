//! Two facets: apart, touching or crossing. Exact.
//!
//! What two facets share by vertex id is no meeting. Facets that share one vertex meet beyond it only if
//! their corners at that vertex do; facets that share an edge only if one is folded onto the other. A facet
//! stored twice shares all it has: duplicates are not counted here. The general case is the interval test of Guigue and
//! Devillers 2003, "Fast and robust triangle-triangle overlap test using orientation predicates".

use super::exact::{Corners, Plane, segment_meets, side};

/// How two facets lie to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Meeting {
    /// Nothing in common but the vertices they share.
    Apart,
    /// A point, a stretch of an edge, or an area in one plane.
    Touching,
    /// Points within both, the planes differ.
    Crossing,
}

/// How two facets lie to each other: corners in mm, and vertex ids of the same mesh. Equal ids are the same
/// point; equal points with other ids are a touch. A facet without area is apart from everything.
pub fn meeting(a: &[[f64; 3]; 3], a_ids: [u32; 3], b: &[[f64; 3]; 3], b_ids: [u32; 3]) -> Meeting {
    let mut shared = 0;
    let (mut at_a, mut at_b) = (0, 0);
    for (i, id) in a_ids.iter().enumerate() {
        if let Some(j) = b_ids.iter().position(|other| other == id) {
            shared += 1;
            (at_a, at_b) = (i, j);
        }
    }
    match shared {
        0 => strangers(a, b),
        1 => at_a_vertex(&rolled(a, at_a), &rolled(b, at_b)),
        2 => folded(a, a_ids, b, b_ids),
        _ => Meeting::Apart,
    }
}

/// The corners turned round so that `first` comes first.
fn rolled(t: &Corners, first: usize) -> Corners {
    [t[first], t[(first + 1) % 3], t[(first + 2) % 3]]
}

fn touching(yes: bool) -> Meeting {
    if yes {
        Meeting::Touching
    } else {
        Meeting::Apart
    }
}

/// Whether all signs are the same and none is nought: wholly on one side.
fn one_sided(signs: &[i32]) -> bool {
    signs[0] != 0 && signs.iter().all(|&s| s == signs[0])
}

/// Whether there is something on either side.
fn straddles(signs: &[i32]) -> bool {
    signs.contains(&1) && signs.contains(&-1)
}

fn strangers(a: &Corners, b: &Corners) -> Meeting {
    let b_sides = b.map(|p| side(a[0], a[1], a[2], p));
    if one_sided(&b_sides) {
        return Meeting::Apart;
    }
    let a_sides = a.map(|p| side(b[0], b[1], b[2], p));
    if one_sided(&a_sides) {
        return Meeting::Apart;
    }
    let (Some(a_plane), Some(b_plane)) = (Plane::of(a), Plane::of(b)) else {
        return Meeting::Apart;
    };
    if b_sides == [0; 3] {
        return touching(a_plane.triangles_meet(a, b));
    }
    if straddles(&a_sides) && straddles(&b_sides) {
        return intervals(a, a_sides, b, b_sides);
    }
    // No inside can be pierced any more; what is left is a touch.
    let edges = |s: &Corners, signs: &[i32; 3], t: &Corners, plane: &Plane| {
        (0..3).any(|k| {
            let n = (k + 1) % 3;
            segment_meets(s[k], s[n], signs[k], signs[n], t, plane)
        })
    };
    touching(edges(a, &a_sides, b, &b_plane) || edges(b, &b_sides, a, &a_plane))
}

/// Each straddles the other's plane: their stretches of the common line are compared.
fn intervals(a: &Corners, a_sides: [i32; 3], b: &Corners, b_sides: [i32; 3]) -> Meeting {
    let (a, a_up) = lone_first(a, a_sides);
    let (b, b_up) = lone_first(b, b_sides);
    // Where the lone corner lies on the other side, the other two trade places: the line turns round.
    let [p1, q1, r1] = if b_up { a } else { [a[0], a[2], a[1]] };
    let [p2, q2, r2] = if a_up { b } else { [b[0], b[2], b[1]] };
    let one = side(p1, q1, p2, q2);
    let other = side(p1, r1, r2, p2);
    if one > 0 || other > 0 {
        Meeting::Apart
    } else if one < 0 && other < 0 {
        Meeting::Crossing
    } else {
        Meeting::Touching
    }
}

/// Turned round so that the first corner has its side to itself, and whether that side is the upper one.
fn lone_first(t: &Corners, sides: [i32; 3]) -> (Corners, bool) {
    let alone = |k: usize| {
        sides[k] != 0 && sides[(k + 1) % 3] != sides[k] && sides[(k + 2) % 3] != sides[k]
    };
    let k = (0..3).find(|&k| alone(k)).unwrap_or(0);
    (rolled(t, k), sides[k] > 0)
}

/// One shared vertex, the first corner of both.
fn at_a_vertex(a: &Corners, b: &Corners) -> Meeting {
    let [v, a1, a2] = *a;
    let [_, b1, b2] = *b;
    let b_sides = [b1, b2].map(|p| side(v, a1, a2, p));
    if one_sided(&b_sides) {
        return Meeting::Apart;
    }
    let a_sides = [a1, a2].map(|p| side(v, b1, b2, p));
    if one_sided(&a_sides) {
        return Meeting::Apart;
    }
    if straddles(&a_sides) && straddles(&b_sides) {
        // The side a1 a2 pierces the plane of b on the common line through v, off v: within b's corner at
        // v, or behind it. Within, it runs past v b1 on the inner side.
        return if side(a1, a2, v, b1) == -a_sides[0] {
            Meeting::Crossing
        } else {
            Meeting::Apart
        };
    }
    let (Some(a_plane), Some(b_plane)) = (Plane::of(a), Plane::of(b)) else {
        return Meeting::Apart;
    };
    let into_a = [b1, b2]
        .iter()
        .zip(b_sides)
        .any(|(&p, s)| s == 0 && a_plane.in_corner(v, a1, a2, p));
    let into_b = [a1, a2]
        .iter()
        .zip(a_sides)
        .any(|(&p, s)| s == 0 && b_plane.in_corner(v, b1, b2, p));
    touching(into_a || into_b)
}

/// Two shared vertices: in one plane, and on the same side of the common edge.
fn folded(a: &Corners, a_ids: [u32; 3], b: &Corners, b_ids: [u32; 3]) -> Meeting {
    let lone =
        |ids: [u32; 3], others: [u32; 3]| (0..3).find(|&k| !others.contains(&ids[k])).unwrap_or(0);
    let [tip, p, q] = rolled(a, lone(a_ids, b_ids));
    let other_tip = b[lone(b_ids, a_ids)];
    if side(a[0], a[1], a[2], other_tip) != 0 {
        return Meeting::Apart;
    }
    let Some(plane) = Plane::of(a) else {
        return Meeting::Apart;
    };
    touching(plane.turn(p, q, tip) * plane.turn(p, q, other_tip) > 0)
}
