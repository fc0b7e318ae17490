//! Splitting a run of triangles in two by the surface area heuristic over bins of their box centres
//! (Wald 2007, "On fast construction of SAH-based bounding volume hierarchies").

use super::node::{Box32, WIDTH};

/// The box of a triangle and its number before renumbering.
#[derive(Debug, Clone, Copy)]
pub(super) struct Item {
    pub min: [f32; 3],
    pub id: u32,
    pub max: [f32; 3],
}

impl Item {
    #[inline]
    fn centre(&self, axis: usize) -> f32 {
        0.5 * self.min[axis] + 0.5 * self.max[axis]
    }

    #[inline]
    pub fn bounds(&self) -> Box32 {
        Box32 {
            min: self.min,
            max: self.max,
        }
    }
}

/// A run of items with what the next split needs to know of it.
pub(super) struct Run<'a> {
    pub items: &'a mut [Item],
    /// Place of the first item in the whole order.
    pub first: u32,
    /// Box of the boxes.
    pub bounds: Box32,
    /// Box of the box centres.
    pub centres: Box32,
    /// Splits above this one.
    pub depth: u32,
}

const BINS: usize = 16;
/// Beyond this many splits in a row runs are halved: the depth stays bounded for any input.
const HALVE_BELOW: u32 = 44;

#[derive(Clone, Copy)]
struct Bin {
    bounds: Box32,
    count: u32,
}

/// Leaves that a run of `count` fills.
#[inline]
fn blocks(count: u32) -> f32 {
    count.div_ceil(WIDTH as u32) as f32
}

impl<'a> Run<'a> {
    /// All of `items`.
    pub fn whole(items: &'a mut [Item]) -> Run<'a> {
        Run::measured(items, 0, 0)
    }

    fn measured(items: &'a mut [Item], first: u32, depth: u32) -> Run<'a> {
        let mut bounds = Box32::EMPTY;
        let mut centres = Box32::EMPTY;
        for item in items.iter() {
            bounds.join(&item.bounds());
            centres.add([0, 1, 2].map(|k| item.centre(k)));
        }
        Run {
            items,
            first,
            bounds,
            centres,
            depth,
        }
    }

    /// Two runs, neither empty, left before right. Needs at least two items.
    pub fn split(self) -> (Run<'a>, Run<'a>) {
        let axis = self.widest();
        let extent = self.centres.max[axis] - self.centres.min[axis];
        // A single place, a run of bad luck, or numbers near the end of f32: no plane helps.
        if extent > 0.0 && extent.is_finite() && self.depth < HALVE_BELOW {
            let bins = Bins {
                axis,
                origin: self.centres.min[axis],
                scale: BINS as f32 * (1.0 - 1e-6) / extent,
            };
            let filled = bins.fill(self.items);
            if let Some(choice) = best_plane(&filled) {
                return self.part(&bins, choice);
            }
        }
        self.halve(axis)
    }

    fn widest(&self) -> usize {
        let size = [0, 1, 2].map(|k| self.centres.max[k] - self.centres.min[k]);
        let xy = usize::from(size[1] > size[0]);
        if size[2] > size[xy] { 2 } else { xy }
    }

    /// Items of bins below the plane to the left, the others to the right.
    fn part(self, bins: &Bins, choice: Choice) -> (Run<'a>, Run<'a>) {
        let mut left = Box32::EMPTY;
        let mut right = Box32::EMPTY;
        let mut begin = 0;
        let mut end = self.items.len();
        while begin < end {
            let item = self.items[begin];
            let centre = [0, 1, 2].map(|k| item.centre(k));
            if bins.of(centre[bins.axis]) < choice.plane {
                left.add(centre);
                begin += 1;
            } else {
                right.add(centre);
                end -= 1;
                self.items.swap(begin, end);
            }
        }
        let (below, above) = self.items.split_at_mut(begin);
        let depth = self.depth + 1;
        (
            Run {
                items: below,
                first: self.first,
                bounds: choice.left,
                centres: left,
                depth,
            },
            Run {
                items: above,
                first: self.first + begin as u32,
                bounds: choice.right,
                centres: right,
                depth,
            },
        )
    }

    fn halve(self, axis: usize) -> (Run<'a>, Run<'a>) {
        let middle = self.items.len() / 2;
        self.items.select_nth_unstable_by(middle, |a, b| {
            a.centre(axis)
                .total_cmp(&b.centre(axis))
                .then(a.id.cmp(&b.id))
        });
        let (below, above) = self.items.split_at_mut(middle);
        let depth = self.depth + 1;
        (
            Run::measured(below, self.first, depth),
            Run::measured(above, self.first + middle as u32, depth),
        )
    }
}

struct Bins {
    axis: usize,
    origin: f32,
    scale: f32,
}

impl Bins {
    #[inline]
    fn of(&self, centre: f32) -> usize {
        // The cast saturates: a centre on the upper end falls into the last bin.
        (((centre - self.origin) * self.scale) as usize).min(BINS - 1)
    }

    fn fill(&self, items: &[Item]) -> [Bin; BINS] {
        let mut bins = [Bin {
            bounds: Box32::EMPTY,
            count: 0,
        }; BINS];
        for item in items {
            let bin = &mut bins[self.of(item.centre(self.axis))];
            bin.bounds.join(&item.bounds());
            bin.count += 1;
        }
        bins
    }
}

struct Choice {
    /// First bin on the right.
    plane: usize,
    left: Box32,
    right: Box32,
}

fn best_plane(bins: &[Bin; BINS]) -> Option<Choice> {
    let mut right = [Bin {
        bounds: Box32::EMPTY,
        count: 0,
    }; BINS];
    let mut sum = right[0];
    for plane in (1..BINS).rev() {
        sum.bounds.join(&bins[plane].bounds);
        sum.count += bins[plane].count;
        right[plane] = sum;
    }
    let mut left = Bin {
        bounds: Box32::EMPTY,
        count: 0,
    };
    let mut best = f32::INFINITY;
    let mut choice = None;
    for plane in 1..BINS {
        left.bounds.join(&bins[plane - 1].bounds);
        left.count += bins[plane - 1].count;
        if left.count == 0 || right[plane].count == 0 {
            continue;
        }
        let cost = left.bounds.half_area() * blocks(left.count)
            + right[plane].bounds.half_area() * blocks(right[plane].count);
        if cost < best {
            best = cost;
            choice = Some(Choice {
                plane,
                left: left.bounds,
                right: right[plane].bounds,
            });
        }
    }
    choice
}
