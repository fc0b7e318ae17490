//! The assembled kit as rays see it: every copy of every part where it sits.

use mesh::tree::{NONE, Tree};
use mesh::vector::{Vec3, add, sub};
use mesh::{Bounds, Mesh};

/// A copy of a part in the assembled kit.
#[derive(Debug, Clone, Copy)]
pub struct Copy<'a> {
    /// The part's number.
    pub part: usize,
    /// Its tree.
    pub tree: &'a Tree,
    /// Turn from the part's own frame, by rows.
    pub turn: [[f64; 3]; 3],
    /// Move after the turn, mm.
    pub move_mm: Vec3,
    /// Box around it in the kit's frame.
    around: Bounds,
}

impl<'a> Copy<'a> {
    /// A copy of a part's mesh; `None` for a mesh without triangles.
    pub fn of(
        part: usize,
        mesh: &Mesh,
        tree: &'a Tree,
        turn: [[f64; 3]; 3],
        move_mm: Vec3,
    ) -> Option<Copy<'a>> {
        if mesh.triangles.is_empty() {
            return None;
        }
        let b = mesh.bounds()?;
        let corners = (0..8).map(|k| {
            let pick = |axis: usize| {
                if k >> axis & 1 == 1 {
                    b.max[axis]
                } else {
                    b.min[axis]
                }
            };
            let corner = [pick(0), pick(1), pick(2)];
            add(rotated(&turn, corner), move_mm)
        });
        Some(Copy {
            part,
            tree,
            turn,
            move_mm,
            around: Bounds::of(corners)?,
        })
    }

    /// A place of the part in the kit's frame.
    pub(super) fn place(&self, p: Vec3) -> Vec3 {
        add(rotated(&self.turn, p), self.move_mm)
    }

    /// A direction of the part in the kit's frame.
    pub(super) fn direction(&self, d: Vec3) -> Vec3 {
        rotated(&self.turn, d)
    }

    /// A place of the kit's frame in the part's own.
    pub(super) fn back(&self, p: Vec3) -> Vec3 {
        self.back_direction(sub(p, self.move_mm))
    }

    /// A direction of the kit's frame in the part's own: the inverse of a rotation is its transpose.
    pub(super) fn back_direction(&self, d: Vec3) -> Vec3 {
        [0, 1, 2].map(|k| (0..3).map(|row| self.turn[row][k] * d[row]).sum())
    }

    /// Whether the boxes of two copies come within `margin_mm` of each other.
    pub(super) fn is_near(&self, other: &Copy, margin_mm: f64) -> bool {
        let (a, b) = (&self.around, &other.around);
        (0..3).all(|k| a.min[k] <= b.max[k] + margin_mm && b.min[k] <= a.max[k] + margin_mm)
    }

    fn blocks(&self, origin: Vec3, direction: Vec3, far_mm: f64, skip: u32) -> bool {
        if !meets(&self.around, origin, direction) {
            return false;
        }
        self.tree
            .first_hit(
                self.back(origin),
                self.back_direction(direction),
                far_mm,
                skip,
            )
            .is_some()
    }
}

/// All copies of a kit, or a part alone.
#[derive(Debug, Clone, Default)]
pub struct Scene<'a> {
    copies: Vec<Copy<'a>>,
    far_mm: f64,
    /// The box around all copies, where the scene stands on a table.
    table: Option<Bounds>,
}

/// A face is level by this cosine, and the kit's foot reaches so far up, mm.
const LEVEL: f64 = 0.999;
const FOOT_MM: f64 = 0.1;

impl<'a> Scene<'a> {
    /// A scene of copies.
    pub fn new(copies: Vec<Copy<'a>>) -> Scene<'a> {
        let ends = copies.iter().flat_map(|c| [c.around.min, c.around.max]);
        let far_mm = Bounds::of(ends).map_or(0.0, |b| 2.0 * b.diagonal() + 1.0);
        Scene {
            copies,
            far_mm,
            table: None,
        }
    }

    /// The same scene on a table: the level faces that it stands on are not seen, and nothing is seen from below
    /// through the table under it.
    #[must_use]
    pub fn standing(mut self) -> Scene<'a> {
        let ends = self
            .copies
            .iter()
            .flat_map(|c| [c.around.min, c.around.max]);
        self.table = Bounds::of(ends);
        self
    }

    /// Numbers of the copies of a part.
    pub fn copies_of(&self, part: usize) -> Vec<usize> {
        (0..self.copies.len())
            .filter(|&c| self.copies[c].part == part)
            .collect()
    }

    /// Whether a place that looks straight down is one that the kit stands on; kit's frame.
    pub(super) fn stands_on(&self, at: Vec3, normal: Vec3) -> bool {
        let on_it = |b: Bounds| at[2] <= b.min[2] + FOOT_MM;
        normal[2] < -LEVEL && self.table.is_some_and(on_it)
    }

    /// Whether a ray meets the table within the box that stands on it.
    fn under(&self, origin: Vec3, direction: Vec3) -> bool {
        self.table.is_some_and(|b| {
            let t = (b.min[2] - origin[2]) / direction[2];
            let within = |k: usize| {
                let x = origin[k] + t * direction[k];
                b.min[k] <= x && x <= b.max[k]
            };
            direction[2] < 0.0 && t >= 0.0 && within(0) && within(1)
        })
    }

    pub(super) fn copy(&self, copy: usize) -> &Copy<'a> {
        &self.copies[copy]
    }

    /// Whether a ray from a facet of a copy gets out of the kit; kit's frame.
    pub(super) fn escapes(&self, own: (usize, u32), origin: Vec3, direction: Vec3) -> bool {
        // What hides a place is mostly its own part: that is asked first.
        let of = |c: usize| {
            let skip = if c == own.0 { own.1 } else { NONE };
            self.copies[c].blocks(origin, direction, self.far_mm, skip)
        };
        !self.under(origin, direction)
            && !of(own.0)
            && !(0..self.copies.len()).any(|c| c != own.0 && of(c))
    }
}

fn rotated(turn: &[[f64; 3]; 3], v: Vec3) -> Vec3 {
    turn.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

/// Whether a ray meets a box, by slabs; a level component is inside its slab or never is.
fn meets(b: &Bounds, origin: Vec3, direction: Vec3) -> bool {
    let (mut near, mut far) = (0.0f64, f64::INFINITY);
    for k in 0..3 {
        if direction[k] == 0.0 {
            if origin[k] < b.min[k] || origin[k] > b.max[k] {
                return false;
            }
            continue;
        }
        let (s, t) = (
            (b.min[k] - origin[k]) / direction[k],
            (b.max[k] - origin[k]) / direction[k],
        );
        near = near.max(s.min(t));
        far = far.min(s.max(t));
    }
    near <= far
}
