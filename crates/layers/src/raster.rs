//! Layers as bits: a pixel is set where its middle is material.
//!
//! Bits answer where to look, and every fact that bears a pixel's error (supports, islands, bridges, areas);
//! what hangs on less than a pixel is decided on the contours ([`crate::width`]).
//! An area is off by at most half a pixel along the outline; a distance by at most a pixel's diagonal.
//! It must not know heights, limits or what a layer is for.

mod columns;
mod components;
mod disc;
mod fill;
mod grid;
#[cfg(test)]
mod tests;

pub use columns::Columns;
pub use components::{Component, Components, Joined, Run, components, touched_by};
pub use disc::Disc;
pub use fill::{Fill, Filler};
pub use grid::{Grid, GridError, MOST_PIXELS};

/// One layer, or a set of pixels of it. All operations of two rasters ask for the same grid.
#[derive(Debug, Clone, PartialEq)]
pub struct Raster {
    grid: Grid,
    /// Row by row, bit `b` of word `w` is column `64 w + b`.
    words: Vec<u64>,
}

impl Raster {
    /// The pixels this raster has.
    pub fn grid(&self) -> &Grid {
        &self.grid
    }

    /// The words of a row, column 0 in the lowest bit of the first.
    pub fn row(&self, row: usize) -> &[u64] {
        let n = self.grid.words();
        &self.words[row * n..(row + 1) * n]
    }

    fn row_mut(&mut self, row: usize) -> &mut [u64] {
        let n = self.grid.words();
        &mut self.words[row * n..(row + 1) * n]
    }

    /// Whether a pixel is set; beside the grid none is.
    pub fn get(&self, column: usize, row: usize) -> bool {
        column < self.grid.width
            && row < self.grid.height
            && self.row(row)[column / 64] >> (column % 64) & 1 == 1
    }

    /// Sets or clears one pixel of the grid.
    pub fn set(&mut self, column: usize, row: usize, on: bool) {
        assert!(column < self.grid.width && row < self.grid.height);
        let bit = 1u64 << (column % 64);
        let word = &mut self.row_mut(row)[column / 64];
        *word = if on { *word | bit } else { *word & !bit };
    }

    /// Sets the pixels of a row from `start` up to, not with, `end`.
    pub fn set_run(&mut self, row: usize, start: usize, end: usize) {
        set_run(self.row_mut(row), start, end);
    }

    /// Whether the pixel that holds a point is set, mm.
    pub fn holds(&self, point_mm: [f64; 2]) -> bool {
        self.grid
            .pixel_at(point_mm)
            .is_some_and(|(i, j)| self.get(i, j))
    }

    /// Whether no pixel is set.
    pub fn is_empty(&self) -> bool {
        self.words.iter().all(|&w| w == 0)
    }

    /// How many pixels are set.
    pub fn pixels(&self) -> u64 {
        self.words.iter().map(|w| u64::from(w.count_ones())).sum()
    }

    /// The area of the set pixels, mm2.
    pub fn area_mm2(&self) -> f64 {
        self.pixels() as f64 * self.grid.pixel_mm2()
    }

    /// Adds the other's pixels.
    pub fn unite(&mut self, other: &Raster) -> &mut Self {
        self.zip(other, |a, b| a | b)
    }

    /// Keeps what both have.
    pub fn intersect(&mut self, other: &Raster) -> &mut Self {
        self.zip(other, |a, b| a & b)
    }

    /// Takes the other's pixels away.
    pub fn subtract(&mut self, other: &Raster) -> &mut Self {
        self.zip(other, |a, b| a & !b)
    }

    /// Keeps what one of the two has and the other has not.
    pub fn differ(&mut self, other: &Raster) -> &mut Self {
        self.zip(other, |a, b| a ^ b)
    }

    /// What lies in this one and not in the other.
    pub fn without(&self, other: &Raster) -> Raster {
        let mut left = self.clone();
        left.subtract(other);
        left
    }

    /// What both have.
    pub fn shared(&self, other: &Raster) -> Raster {
        let mut both = self.clone();
        both.intersect(other);
        both
    }

    /// How many pixels both have.
    pub fn shared_pixels(&self, other: &Raster) -> u64 {
        self.same_grid(other);
        let both = self.words.iter().zip(&other.words);
        both.map(|(a, b)| u64::from((a & b).count_ones())).sum()
    }

    /// Whether the two have a pixel in common.
    pub fn meets(&self, other: &Raster) -> bool {
        self.same_grid(other);
        self.words.iter().zip(&other.words).any(|(a, b)| a & b != 0)
    }

    /// What is not set, over the whole grid.
    pub fn complement(&self) -> Raster {
        Raster {
            grid: self.grid,
            words: self.words.iter().map(|w| !w).collect(),
        }
    }

    /// The first and last column and row that hold a set pixel: `[min, max]`, both inclusive.
    pub fn bounds(&self) -> Option<[[usize; 2]; 2]> {
        let n = self.grid.words();
        let mut any = vec![0u64; n];
        let (mut first, mut last) = (None, 0);
        for row in 0..self.grid.height {
            let words = self.row(row);
            if words.iter().any(|&w| w != 0) {
                first = first.or(Some(row));
                last = row;
                any.iter_mut().zip(words).for_each(|(a, w)| *a |= w);
            }
        }
        let first = first?;
        let low = any.iter().position(|&w| w != 0)?;
        let high = any.iter().rposition(|&w| w != 0)?;
        let left = low * 64 + any[low].trailing_zeros() as usize;
        let right = high * 64 + 63 - any[high].leading_zeros() as usize;
        Some([[left, first], [right, last]])
    }

    /// What grows within `radius_mm` of a set pixel, measured between middles, by a disc.
    /// What would reach beyond the grid is cut off: keep a border wider than the radius.
    pub fn dilated(&self, radius_mm: f64) -> Raster {
        Disc::new(radius_mm, self.grid.pixel_mm).dilate(self)
    }

    /// What keeps `radius_mm` from every pixel that is not set.
    pub fn eroded(&self, radius_mm: f64) -> Raster {
        Disc::new(radius_mm, self.grid.pixel_mm).erode(self)
    }

    /// What a disc of `radius_mm` can sweep within the set: narrower places vanish, sharp corners are rounded.
    /// A disc of pixels is a pixel broader than twice its radius, so a bar must be that much wider to stay.
    pub fn opened(&self, radius_mm: f64) -> Raster {
        let disc = Disc::new(radius_mm, self.grid.pixel_mm);
        disc.dilate(&disc.erode(self))
    }

    /// The set and every gap of it that a disc of `radius_mm` cannot sweep.
    pub fn closed(&self, radius_mm: f64) -> Raster {
        let disc = Disc::new(radius_mm, self.grid.pixel_mm);
        disc.erode(&disc.dilate(self))
    }

    /// Calls `work(row, start, end)` for every run of set pixels, row by row, from left to right.
    pub fn runs(&self, mut work: impl FnMut(usize, usize, usize)) {
        for row in 0..self.grid.height {
            row_runs(self.row(row), |start, end| work(row, start, end));
        }
    }

    fn same_grid(&self, other: &Raster) {
        assert_eq!(self.grid, other.grid, "rasters of two grids are compared");
    }

    fn zip(&mut self, other: &Raster, join: impl Fn(u64, u64) -> u64) -> &mut Self {
        self.same_grid(other);
        for (a, &b) in self.words.iter_mut().zip(&other.words) {
            *a = join(*a, b);
        }
        self
    }
}

/// What of a layer the layer below does not carry: further than `reach_mm` from everything below.
pub fn unsupported(above: &Raster, below: &Raster, reach_mm: f64) -> Raster {
    let mut left = below.dilated(reach_mm);
    left.zip(above, |carried, material| material & !carried);
    left
}

fn set_run(words: &mut [u64], start: usize, end: usize) {
    if start >= end {
        return;
    }
    let (first, last) = (start / 64, (end - 1) / 64);
    let head = u64::MAX << (start % 64);
    let tail = u64::MAX >> (63 - (end - 1) % 64);
    if first == last {
        words[first] |= head & tail;
        return;
    }
    words[first] |= head;
    words[first + 1..last].fill(u64::MAX);
    words[last] |= tail;
}

/// Calls `work(start, end)` for every run of set bits.
fn row_runs(words: &[u64], mut work: impl FnMut(usize, usize)) {
    let mut open: Option<usize> = None;
    for (k, &word) in words.iter().enumerate() {
        if (word == 0 && open.is_none()) || (word == u64::MAX && open.is_some()) {
            continue;
        }
        // A set bit of `edges` is where a run begins or ends.
        let mut edges = word ^ (word << 1 | u64::from(open.is_some()));
        while edges != 0 {
            let at = k * 64 + edges.trailing_zeros() as usize;
            edges &= edges - 1;
            match open.take() {
                None => open = Some(at),
                Some(start) => work(start, at),
            }
        }
    }
    if let Some(start) = open {
        work(start, words.len() * 64);
    }
}
