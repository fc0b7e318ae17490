//! Growing and shrinking by a Euclidean disc, row by row.

use super::Raster;

/// A disc of pixels: all whose middles lie within the radius of the disc's own middle pixel.
///
/// A row is widened once for each breadth the disc has, each from the one before by two shifts, and laid on the
/// rows it reaches: about four passes over the words for every pixel of radius.
#[derive(Debug, Clone)]
pub struct Disc {
    /// Half breadth at each distance from the middle row, from 0; the disc spans `2 * len - 1` rows.
    breadths: Vec<usize>,
}

impl Disc {
    /// A disc of a radius in mm on pixels of a size in mm. No radius, or one under a pixel, is the pixel alone.
    pub fn new(radius_mm: f64, pixel_mm: f64) -> Self {
        let radius = (radius_mm / pixel_mm).max(0.0);
        // A radius of whole pixels, as computed, must hold its outermost pixels.
        let square = (radius * radius) * (1.0 + 1e-9);
        let reach = square.sqrt() as usize;
        let breadths = (0..=reach)
            .map(|dy| (square - (dy * dy) as f64).max(0.0).sqrt() as usize)
            .collect();
        Self { breadths }
    }

    /// Pixels from the middle to the rim.
    pub fn reach(&self) -> usize {
        self.breadths.len() - 1
    }

    /// How many pixels the disc has.
    pub fn pixels(&self) -> usize {
        let beside: usize = self.breadths[1..].iter().map(|b| 2 * b + 1).sum();
        self.breadths[0] * 2 + 1 + 2 * beside
    }

    /// Every pixel the disc covers when its middle sits on a set pixel; cut off at the grid's rim.
    pub fn dilate(&self, raster: &Raster) -> Raster {
        if self.reach() == 0 {
            return raster.clone();
        }
        self.spread(raster, |w| w)
    }

    /// Every pixel on which the disc's middle may sit with the whole disc set. Beside the grid nothing is set,
    /// which the grid's empty border says already.
    pub fn erode(&self, raster: &Raster) -> Raster {
        if self.reach() == 0 {
            return raster.clone();
        }
        let mut left = self.spread(raster, |w| !w);
        for word in &mut left.words {
            *word = !*word;
        }
        left
    }

    fn spread(&self, raster: &Raster, read: impl Fn(u64) -> u64) -> Raster {
        let grid = raster.grid;
        let (n, rows) = (grid.words(), grid.height);
        let mut out = grid.blank();
        let mut wide = vec![0u64; n];
        let mut last = vec![0u64; n];
        for row in 0..rows {
            let mut any = 0;
            for (w, &r) in wide.iter_mut().zip(raster.row(row)) {
                *w = read(r);
                any |= *w;
            }
            if any == 0 {
                continue;
            }
            let mut breadth = 0;
            for (dy, &wanted) in self.breadths.iter().enumerate().rev() {
                widen(&mut wide, &mut last, &mut breadth, wanted);
                if dy <= row {
                    lay(&wide, &mut out.words[(row - dy) * n..(row - dy + 1) * n]);
                }
                if dy > 0 && row + dy < rows {
                    lay(&wide, &mut out.words[(row + dy) * n..(row + dy + 1) * n]);
                }
            }
        }
        out
    }
}

fn lay(from: &[u64], onto: &mut [u64]) {
    for (o, f) in onto.iter_mut().zip(from) {
        *o |= f;
    }
}

/// Widens the runs of a row on both sides until `breadth` is `wanted`.
fn widen(wide: &mut [u64], last: &mut [u64], breadth: &mut usize, wanted: usize) {
    while *breadth < wanted {
        // Every run is at least 2 breadth + 1 long, so a shift by that much leaves no gap within it.
        let by = (wanted - *breadth).min(2 * *breadth + 1).min(63);
        last.copy_from_slice(wide);
        let n = wide.len();
        for k in 0..n {
            wide[k] |= last[k] << by | last[k] >> by;
        }
        for k in 1..n {
            wide[k] |= last[k - 1] >> (64 - by);
        }
        for k in 1..n {
            wide[k - 1] |= last[k] << (64 - by);
        }
        *breadth += by;
    }
}
