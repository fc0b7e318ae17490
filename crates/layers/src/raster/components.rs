//! Pieces of a raster that hang together, by runs of pixels and union-find.

use super::{Grid, Raster, row_runs};

/// Which pixels are neighbours. Material takes eight and its gaps four, or the other way about:
/// the same for both would let two diagonals cross.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joined {
    /// Pixels that share a side.
    Four,
    /// Pixels that share a side or a corner.
    Eight,
}

/// Set pixels of one row, from `start` up to, not with, `end`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// The row.
    pub row: u32,
    /// The first column.
    pub start: u32,
    /// One past the last column.
    pub end: u32,
    /// The component the run belongs to, by its place in [`Components::list`].
    pub component: u32,
}

/// One piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// How many pixels.
    pub pixels: u64,
    /// Its area, mm2.
    pub area_mm2: f64,
    /// The box of its pixels, their whole squares, mm: least corner and greatest corner.
    pub box_mm: [[f64; 2]; 2],
    /// The middle of its area, mm; it may lie beside the piece.
    pub centroid_mm: [f64; 2],
    /// The middle of a pixel of it, half way along its longest run: always inside, mm.
    pub inside_mm: [f64; 2],
}

/// The pieces of a raster, in the order of their first pixels, row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct Components {
    /// The pixels they lie on.
    pub grid: Grid,
    /// The pieces.
    pub list: Vec<Component>,
    /// All runs of all pieces, row by row, from left to right.
    pub runs: Vec<Run>,
}

impl Components {
    /// The pixels of one piece, or of several: those for which `wanted(place in the list)` holds.
    pub fn raster(&self, wanted: impl Fn(usize) -> bool) -> Raster {
        let mut out = self.grid.blank();
        for run in self.runs.iter().filter(|r| wanted(r.component as usize)) {
            out.set_run(run.row as usize, run.start as usize, run.end as usize);
        }
        out
    }

    /// How many pixels of each piece are set in another raster.
    pub fn shared_with(&self, other: &Raster) -> Vec<u64> {
        assert_eq!(
            self.grid,
            *other.grid(),
            "rasters of two grids are compared"
        );
        let mut count = vec![0; self.list.len()];
        for run in &self.runs {
            let row = other.row(run.row as usize);
            count[run.component as usize] += ones(row, run.start as usize, run.end as usize);
        }
        count
    }
}

/// Finds the pieces of a raster.
pub fn components(raster: &Raster, joined: Joined) -> Components {
    let grid = *raster.grid();
    let mut runs: Vec<Run> = Vec::new();
    let mut parent: Vec<u32> = Vec::new();
    let reach = u32::from(joined == Joined::Eight);
    let (mut above, mut here) = (0, 0);
    let mut above_row = None;
    for row in 0..grid.height {
        let begin = runs.len();
        row_runs(raster.row(row), |start, end| {
            let component = runs.len() as u32;
            parent.push(component);
            runs.push(Run {
                row: row as u32,
                start: start as u32,
                end: end as u32,
                component,
            });
        });
        if begin == runs.len() {
            continue;
        }
        if above_row.is_some_and(|r: usize| r + 1 == row) {
            unite_rows(&runs, above, here, begin, reach, &mut parent);
        }
        (above, here) = (begin, runs.len());
        above_row = Some(row);
    }
    name(&mut runs, &mut parent);
    let list = measure(&grid, &runs);
    Components { grid, list, runs }
}

/// Joins the runs `above..here` of a row with those from `begin` on of the next.
fn unite_rows(
    runs: &[Run],
    above: usize,
    here: usize,
    begin: usize,
    reach: u32,
    parent: &mut [u32],
) {
    let (mut a, mut b) = (above, begin);
    while a < here && b < runs.len() {
        let (upper, lower) = (&runs[a], &runs[b]);
        if upper.start < lower.end + reach && lower.start < upper.end + reach {
            unite(parent, a as u32, b as u32);
        }
        if upper.end < lower.end {
            a += 1;
        } else {
            b += 1;
        }
    }
}

fn root(parent: &mut [u32], mut at: u32) -> u32 {
    while parent[at as usize] != at {
        let up = parent[parent[at as usize] as usize];
        parent[at as usize] = up;
        at = up;
    }
    at
}

fn unite(parent: &mut [u32], a: u32, b: u32) {
    let (a, b) = (root(parent, a), root(parent, b));
    // The earlier run leads, so that pieces are numbered by their first pixel.
    parent[a.max(b) as usize] = a.min(b);
}

fn name(runs: &mut [Run], parent: &mut [u32]) {
    let mut names = vec![u32::MAX; runs.len()];
    let mut next = 0;
    for k in 0..runs.len() {
        let lead = root(parent, k as u32) as usize;
        if names[lead] == u32::MAX {
            names[lead] = next;
            next += 1;
        }
        runs[k].component = names[lead];
    }
}

#[derive(Clone)]
struct Sums {
    pixels: u64,
    columns: u64,
    rows: u64,
    low: [u32; 2],
    high: [u32; 2],
    longest: Run,
}

fn measure(grid: &Grid, runs: &[Run]) -> Vec<Component> {
    let mut sums: Vec<Sums> = Vec::new();
    for run in runs {
        let at = run.component as usize;
        if at == sums.len() {
            sums.push(Sums {
                pixels: 0,
                columns: 0,
                rows: 0,
                low: [run.start, run.row],
                high: [run.end, run.row + 1],
                longest: *run,
            });
        }
        let sum = &mut sums[at];
        let long = u64::from(run.end - run.start);
        sum.pixels += long;
        // Twice the sum of the middles' columns and rows, in whole numbers.
        sum.columns += u64::from(run.start + run.end) * long;
        sum.rows += u64::from(2 * run.row + 1) * long;
        sum.low = [sum.low[0].min(run.start), sum.low[1].min(run.row)];
        sum.high = [sum.high[0].max(run.end), sum.high[1].max(run.row + 1)];
        if run.end - run.start > sum.longest.end - sum.longest.start {
            sum.longest = *run;
        }
    }
    let corner =
        |at: [u32; 2]| [0, 1].map(|k| grid.origin_mm[k] + grid.pixel_mm * f64::from(at[k]));
    let middle = |twice: u64, pixels: u64| twice as f64 / (2.0 * pixels as f64);
    sums.iter()
        .map(|s| {
            let middle = [middle(s.columns, s.pixels), middle(s.rows, s.pixels)];
            let half_way = (s.longest.start + s.longest.end - 1) / 2;
            Component {
                pixels: s.pixels,
                area_mm2: s.pixels as f64 * grid.pixel_mm2(),
                box_mm: [corner(s.low), corner(s.high)],
                centroid_mm: [0, 1].map(|k| grid.origin_mm[k] + grid.pixel_mm * middle[k]),
                inside_mm: grid.centre_mm(half_way as usize, s.longest.row as usize),
            }
        })
        .collect()
}

/// The pieces of `whole` that hold a pixel of `seeds`, whole: a stretch any of which counts, counts whole.
pub fn touched_by(whole: &Raster, seeds: &Raster, joined: Joined) -> Raster {
    if !whole.meets(seeds) {
        return whole.grid().blank();
    }
    let pieces = components(whole, joined);
    let touched = pieces.shared_with(seeds);
    pieces.raster(|k| touched[k] > 0)
}

/// How many bits of a row are set from `start` up to, not with, `end`.
fn ones(words: &[u64], start: usize, end: usize) -> u64 {
    if start >= end {
        return 0;
    }
    let (first, last) = (start / 64, (end - 1) / 64);
    let head = u64::MAX << (start % 64);
    let tail = u64::MAX >> (63 - (end - 1) % 64);
    if first == last {
        return u64::from((words[first] & head & tail).count_ones());
    }
    let between = words[first + 1..last].iter();
    u64::from((words[first] & head).count_ones())
        + u64::from((words[last] & tail).count_ones())
        + between.map(|w| u64::from(w.count_ones())).sum::<u64>()
}
