//! Signs that are exact for f32 coordinates: points against planes, and triangles of one plane in 2-D.

use crate::vector::{Vec3, cross, sub};

/// A triangle's corners, mm.
pub(super) type Corners = [Vec3; 3];

/// -1, 0 or 1.
#[inline]
pub(super) fn sign(x: f64) -> i32 {
    i32::from(x > 0.0) - i32::from(x < 0.0)
}

/// On which side of the plane through a, b, c the point d lies: exact. 1 where a, b, c turn clockwise seen
/// from d, -1 counter-clockwise, 0 in one plane.
#[inline]
pub(super) fn side(a: Vec3, b: Vec3, c: Vec3, d: Vec3) -> i32 {
    let coord = |p: Vec3| robust::Coord3D {
        x: p[0],
        y: p[1],
        z: p[2],
    };
    sign(robust::orient3d(coord(a), coord(b), coord(c), coord(d)))
}

/// A projection along an axis in which a triangle keeps its area.
#[derive(Clone, Copy)]
pub(super) struct Plane {
    axes: (usize, usize),
    /// 1 where the triangle turns counter-clockwise in the projection, -1 where clockwise.
    turn: i32,
}

impl Plane {
    /// `None` for a triangle without area: exact.
    pub fn of(t: &Corners) -> Option<Plane> {
        let normal = cross(sub(t[1], t[0]), sub(t[2], t[0])).map(f64::abs);
        let steepest = (0..3).fold(0, |m, k| if normal[k] > normal[m] { k } else { m });
        // The steepest as computed nearly always will do; a sliver may need another.
        [steepest, (steepest + 1) % 3, (steepest + 2) % 3]
            .into_iter()
            .find_map(|k| {
                let axes = ((k + 1) % 3, (k + 2) % 3);
                let turn = turn_in(axes, t[0], t[1], t[2]);
                (turn != 0).then_some(Plane { axes, turn })
            })
    }

    /// 1 where a, b, c turn as the triangle of this plane does, -1 against it, 0 on a line: exact for
    /// points of the plane.
    pub fn turn(&self, a: Vec3, b: Vec3, c: Vec3) -> i32 {
        self.turn * turn_in(self.axes, a, b, c)
    }

    /// The corners so that they turn counter-clockwise in this plane.
    pub fn upright(&self, t: &Corners) -> Corners {
        if self.turn(t[0], t[1], t[2]) < 0 {
            [t[0], t[2], t[1]]
        } else {
            *t
        }
    }

    /// Whether two closed triangles of the plane meet: no side of either has the other wholly beyond it.
    pub fn triangles_meet(&self, s: &Corners, t: &Corners) -> bool {
        let (s, t) = (self.upright(s), self.upright(t));
        let parted = |s: &Corners, t: &Corners| {
            (0..3).any(|k| t.iter().all(|&p| self.turn(s[k], s[(k + 1) % 3], p) < 0))
        };
        !parted(&s, &t) && !parted(&t, &s)
    }

    /// Whether the closed segment p q, in the plane, meets the closed triangle.
    pub fn segment_meets(&self, p: Vec3, q: Vec3, t: &Corners) -> bool {
        let t = self.upright(t);
        let beyond = (0..3).any(|k| {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            self.turn(a, b, p) < 0 && self.turn(a, b, q) < 0
        });
        let sides = t.map(|c| self.turn(p, q, c));
        !(beyond || sides.iter().all(|&s| s > 0) || sides.iter().all(|&s| s < 0))
    }

    /// Whether the ray from v to p lies in the closed corner at v between v a and v b.
    pub fn in_corner(&self, v: Vec3, a: Vec3, b: Vec3, p: Vec3) -> bool {
        let (a, b) = if self.turn(v, a, b) > 0 {
            (a, b)
        } else {
            (b, a)
        };
        self.turn(v, a, p) >= 0 && self.turn(v, p, b) >= 0
    }
}

fn turn_in((x, y): (usize, usize), a: Vec3, b: Vec3, c: Vec3) -> i32 {
    let coord = |p: Vec3| robust::Coord { x: p[x], y: p[y] };
    sign(robust::orient2d(coord(a), coord(b), coord(c)))
}

/// Whether the closed segment p q meets the closed triangle; `sp` and `sq` are the sides of its ends.
pub(super) fn segment_meets(
    p: Vec3,
    q: Vec3,
    sp: i32,
    sq: i32,
    t: &Corners,
    plane: &Plane,
) -> bool {
    if sp * sq > 0 {
        return false;
    }
    if sp == 0 && sq == 0 {
        return plane.segment_meets(p, q, t);
    }
    let turns = [0, 1, 2].map(|k| side(p, q, t[k], t[(k + 1) % 3]));
    turns.iter().all(|&s| s >= 0) || turns.iter().all(|&s| s <= 0)
}
