//! A whole number for every column of pixels, kept while layers pass by: sums over heights without the stack.

use super::{Grid, Raster};

/// One counter a pixel. Whole numbers, so that a sum is the same in any order.
///
/// The volume under an overhang, for one: where material ends (`below` without `above`) the number of the layer
/// it ended at is [`Columns::put`]; where a layer hangs free, [`Columns::sum`] of layer less that number is
/// the height of its support in layers, down to the part or to the plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Columns {
    grid: Grid,
    counts: Vec<u32>,
}

impl Columns {
    /// All columns at 0.
    pub fn new(grid: &Grid) -> Self {
        Self {
            grid: *grid,
            counts: vec![0; grid.width * grid.height],
        }
    }

    /// The counter of one pixel.
    pub fn at(&self, column: usize, row: usize) -> u32 {
        self.counts[row * self.grid.width + column]
    }

    /// Adds to every column whose pixel is set; a counter that is full stays full.
    pub fn add(&mut self, raster: &Raster, amount: u32) {
        self.each(raster, |count| *count = count.saturating_add(amount));
    }

    /// Writes a number into every column whose pixel is set.
    pub fn put(&mut self, raster: &Raster, value: u32) {
        self.each(raster, |count| *count = value);
    }

    /// The sum of `term(counter)` over the columns whose pixels are set.
    pub fn sum(&self, raster: &Raster, term: impl Fn(u32) -> u64) -> u64 {
        assert_eq!(self.grid, *raster.grid(), "columns and raster of two grids");
        let mut sum = 0;
        raster.runs(|row, start, end| {
            let from = row * self.grid.width;
            let counts = &self.counts[from + start..from + end];
            sum += counts.iter().map(|&c| term(c)).sum::<u64>();
        });
        sum
    }

    /// The pixels whose counter passes a test.
    pub fn where_(&self, test: impl Fn(u32) -> bool) -> Raster {
        let mut out = self.grid.blank();
        for (word, counts) in out.words.iter_mut().zip(self.counts.chunks_exact(64)) {
            for (bit, &count) in counts.iter().enumerate() {
                *word |= u64::from(test(count)) << bit;
            }
        }
        out
    }

    fn each(&mut self, raster: &Raster, work: impl Fn(&mut u32)) {
        assert_eq!(self.grid, *raster.grid(), "columns and raster of two grids");
        let width = self.grid.width;
        raster.runs(|row, start, end| {
            let from = row * width;
            self.counts[from + start..from + end]
                .iter_mut()
                .for_each(&work);
        });
    }
}
