//! From contours to pixels, by one pass over the rows' crossings.

use super::{Grid, Raster};
use crate::Contour;

/// What counts as material where contours lie in each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fill {
    /// Where the winding number is above 0: shells that overlap unite (3MF Core 1.4.0, 4.1.1).
    Positive,
    /// Where a ray to the outside crosses the contours an odd number of times.
    EvenOdd,
    /// Where the winding number is below 0: space that is inside out.
    Negative,
}

/// The crossings of a layer's contours with the rows of a grid. Its memory is used again for the next layer.
///
/// A row's line runs through its pixels' middles; an edge counts from its lower end up to, not with, its upper
/// end, and is computed from its lower end, so that edges that lie on each other cross at the same bits.
/// Open chains bound nothing and are left out. What lies beside the grid is cut off.
#[derive(Debug, Clone, Default)]
pub struct Filler {
    grid: Option<Grid>,
    /// Where the crossings of each row begin, one more than rows.
    starts: Vec<u32>,
    /// Column of the first pixel right of the crossing, twice; plus 1 where the way goes up, out of material.
    items: Vec<u32>,
    next: Vec<u32>,
}

impl Filler {
    /// Takes the crossings of a layer's closed contours.
    pub fn gather(&mut self, grid: &Grid, contours: &[Contour]) {
        self.grid = Some(*grid);
        self.starts.clear();
        self.starts.resize(grid.height + 2, 0);
        // First how the number of crossings changes from row to row, then their sum, then where each row begins.
        edges(grid, contours, |e| {
            self.starts[e.first + 1] = self.starts[e.first + 1].wrapping_add(1);
            self.starts[e.end + 1] = self.starts[e.end + 1].wrapping_sub(1);
        });
        for _ in 0..2 {
            let mut sum = 0u32;
            for v in &mut self.starts {
                sum = sum.wrapping_add(*v);
                *v = sum;
            }
        }
        self.starts.truncate(grid.height + 1);
        let total = self.starts[grid.height] as usize;
        self.items.clear();
        self.items.resize(total, 0);
        self.next.clear();
        self.next.extend_from_slice(&self.starts[..grid.height]);
        let most = grid.width as f64;
        edges(grid, contours, |e| {
            for row in e.first..e.end {
                let x = e.x + (row as f64 - e.y) * e.slope;
                let column = x.ceil().clamp(0.0, most) as u32;
                let at = &mut self.next[row];
                self.items[*at as usize] = column << 1 | u32::from(e.up);
                *at += 1;
            }
        });
        for row in 0..grid.height {
            let [from, to] = [self.starts[row] as usize, self.starts[row + 1] as usize];
            match &mut self.items[from..to] {
                [] | [_] => {}
                [a, b] if *a <= *b => {}
                [a, b] => std::mem::swap(a, b),
                many => many.sort_unstable(),
            }
        }
    }

    /// Fills between the crossings taken last.
    ///
    /// # Panics
    /// Where nothing was gathered before.
    pub fn fill(&self, rule: Fill) -> Raster {
        let grid = self
            .grid
            .expect("contours are gathered before they are filled");
        let mut raster = grid.blank();
        for row in 0..grid.height {
            let [from, to] = [self.starts[row] as usize, self.starts[row + 1] as usize];
            if from == to {
                continue;
            }
            let words = raster.row_mut(row);
            let (mut wound, mut start) = (0i32, 0usize);
            for &item in &self.items[from..to] {
                let column = (item >> 1) as usize;
                let was = rule.holds(wound);
                wound += match rule {
                    Fill::EvenOdd => 1,
                    Fill::Positive | Fill::Negative if item & 1 == 1 => -1,
                    Fill::Positive | Fill::Negative => 1,
                };
                match (was, rule.holds(wound)) {
                    (false, true) => start = column,
                    (true, false) => super::set_run(words, start, column),
                    _ => {}
                }
            }
            // Closed contours leave nothing open, but rounding where a contour touches itself must not flood a row.
            debug_assert!(!rule.holds(wound));
        }
        raster
    }
}

impl Fill {
    fn holds(self, wound: i32) -> bool {
        match self {
            Fill::Positive => wound > 0,
            Fill::EvenOdd => wound & 1 == 1,
            Fill::Negative => wound < 0,
        }
    }
}

impl Raster {
    /// The pixels of a layer by winding number: shells that overlap unite.
    pub fn filled(grid: &Grid, contours: &[Contour]) -> Raster {
        let mut filler = Filler::default();
        filler.gather(grid, contours);
        filler.fill(Fill::Positive)
    }
}

/// An edge in units of pixels, rows counted at their middles.
struct Edge {
    first: usize,
    end: usize,
    x: f64,
    y: f64,
    slope: f64,
    up: bool,
}

fn edges(grid: &Grid, contours: &[Contour], mut work: impl FnMut(Edge)) {
    let scale = 1.0 / grid.pixel_mm;
    let [ox, oy] = grid.origin_mm;
    let most = grid.height as f64;
    // Shifted by half a pixel: a row's line is a whole number, and the first pixel right of x is its ceiling.
    let place = |p: [f64; 2]| [(p[0] - ox) * scale - 0.5, (p[1] - oy) * scale - 0.5];
    for contour in contours.iter().filter(|c| c.closed) {
        let Some(&last) = contour.points.last() else {
            continue;
        };
        let mut from = place(last);
        for &point in &contour.points {
            let to = place(point);
            let up = to[1] > from[1];
            let (low, high) = if up { (from, to) } else { (to, from) };
            let first = low[1].ceil().clamp(0.0, most);
            let end = high[1].ceil().clamp(0.0, most);
            if first < end {
                work(Edge {
                    first: first as usize,
                    end: end as usize,
                    x: low[0],
                    y: low[1],
                    slope: (high[0] - low[0]) / (high[1] - low[1]),
                    up,
                });
            }
            from = to;
        }
    }
}
