//! Support that cannot be pulled out: the space of its columns is shut off from the outside, but for openings too
//! narrow.
//!
//! The part is kept as coarse cells, a quarter of the opening wide. A body of three cells each way stands for the
//! opening: what it reaches from outside, going from cell to cell by their faces (mathematical morphology: Serra
//! 1982, an erosion, a flood, a dilation), can be pulled out. An opening is thereby called wide enough from its width
//! on, and too narrow below three quarters of it.

use layers::{Grid, Raster};

/// Cells to an opening's width.
const SHARE: f64 = 0.25;
/// Cells of a part, at most.
const MOST_CELLS: f64 = 2.5e7;
/// Floods sweep up and down so many times at most; one sweep passes everything without a turn back.
const MOST_SWEEPS: usize = 1000;

/// The part as coarse cells, filled layer by layer.
pub(super) struct Voxels {
    /// Pixels to a cell's side.
    stride: usize,
    cell_mm: f64,
    words: usize,
    rows: usize,
    slabs: usize,
    solid: Vec<u64>,
}

/// The free cells that nothing as wide as the opening reaches.
pub(super) struct Shut {
    voxels: Voxels,
    shut: Vec<u64>,
}

impl Voxels {
    pub(super) fn new(grid: &Grid, height_mm: f64, way_out_mm: f64) -> Voxels {
        let volume = (grid.width * grid.height) as f64 * grid.pixel_mm2() * height_mm;
        let least = libm::cbrt(volume / MOST_CELLS);
        let stride = ((SHARE * way_out_mm).max(least) / grid.pixel_mm)
            .round()
            .max(1.0) as usize;
        let cell_mm = stride as f64 * grid.pixel_mm;
        let words = grid.width.div_ceil(stride).div_ceil(64);
        let rows = grid.height.div_ceil(stride);
        let slabs = (height_mm / cell_mm) as usize + 1;
        Voxels {
            stride,
            cell_mm,
            words,
            rows,
            slabs,
            solid: vec![0; words * rows * slabs],
        }
    }

    /// Pixels to a cell's side.
    pub(super) fn stride(&self) -> usize {
        self.stride
    }

    /// Adds a layer at a height.
    pub(super) fn add(&mut self, z_mm: f64, layer: &Raster) {
        let slab = ((z_mm / self.cell_mm) as usize).min(self.slabs - 1);
        let (stride, words) = (self.stride, self.words);
        let first = slab * self.rows * words;
        layer.runs(|row, start, end| {
            let from = first + row / stride * words;
            let own = &mut self.solid[from..from + words];
            for x in start / stride..=(end - 1) / stride {
                own[x / 64] |= 1 << (x % 64);
            }
        });
    }

    /// The free cells that are shut off.
    pub(super) fn shut(self) -> Shut {
        let free: Vec<u64> = self.solid.iter().map(|w| !w).collect();
        let middles = self.box_of(&free, true);
        let reached = self.flood(&middles);
        let open = self.box_of(&self.box_of(&reached, false), false);
        let shut = free.iter().zip(&open).map(|(f, o)| f & !o).collect();
        Shut { voxels: self, shut }
    }

    /// Every cell whose 27 are all set (`all`; beyond the part they are), or any of them (else; beyond they are not).
    fn box_of(&self, from: &[u64], all: bool) -> Vec<u64> {
        let edge = if all { u64::MAX } else { 0 };
        let join = |a: u64, b: u64| if all { a & b } else { a | b };
        let (n, slab) = (self.words, self.words * self.rows);
        let mut out = from.to_vec();
        for row in out.chunks_exact_mut(n) {
            let old = row.to_vec();
            for k in 0..n {
                let before = if k > 0 { old[k - 1] } else { edge };
                let after = old.get(k + 1).copied().unwrap_or(edge);
                row[k] = join(
                    join(old[k], old[k] << 1 | before >> 63),
                    old[k] >> 1 | after << 63,
                );
            }
        }
        for (step, group) in [(n, slab), (slab, out.len())] {
            let old = out.clone();
            for first in (0..old.len()).step_by(group) {
                for k in 0..group {
                    let at = first + k;
                    let before = if k >= step { old[at - step] } else { edge };
                    let after = if k + step < group {
                        old[at + step]
                    } else {
                        edge
                    };
                    out[at] = join(join(old[at], before), after);
                }
            }
        }
        out
    }

    /// Everything of `free` that is reached from outside, from cell to cell by their faces.
    fn flood(&self, free: &[u64]) -> Vec<u64> {
        let (n, slab) = (self.words, self.words * self.rows);
        let mut got = vec![0u64; free.len()];
        for z in 0..self.slabs {
            for y in 0..self.rows {
                let at = z * slab + y * n;
                let outer = z == 0 || z + 1 == self.slabs || y == 0 || y + 1 == self.rows;
                for k in 0..n {
                    got[at + k] = match (outer, k) {
                        (true, _) => free[at + k],
                        (false, 0) => free[at] & 1,
                        _ => 0,
                    };
                }
                if !outer {
                    got[at + n - 1] |= free[at + n - 1] & 1 << 63;
                }
            }
        }
        let lines = self.slabs * self.rows;
        for sweep in 0..MOST_SWEEPS {
            let mut grew = false;
            for i in 0..lines {
                let line = if sweep % 2 == 0 { i } else { lines - 1 - i };
                let (z, y) = (line / self.rows, line % self.rows);
                let at = line * n;
                for k in at..at + n {
                    let mut w = got[k];
                    for beside in [
                        (y > 0).then(|| k - n),
                        (y + 1 < self.rows).then(|| k + n),
                        (z > 0).then(|| k - slab),
                        (z + 1 < self.slabs).then(|| k + slab),
                    ]
                    .into_iter()
                    .flatten()
                    {
                        w |= got[beside];
                    }
                    w &= free[k];
                    grew |= w != got[k];
                    got[k] = w;
                }
                grew |= along(&mut got[at..at + n], &free[at..at + n]);
            }
            if !grew {
                break;
            }
        }
        got
    }
}

/// Spreads what is set along a row of free cells; returns whether it grew.
fn along(got: &mut [u64], free: &[u64]) -> bool {
    let mut grew = false;
    let mut carry = 0;
    for (g, &f) in got.iter_mut().zip(free) {
        let (mut s, mut p) = ((*g | carry) & f, f);
        for by in [1, 2, 4, 8, 16, 32] {
            s |= p & (s << by);
            p &= p << by;
        }
        grew |= s != *g;
        *g = s;
        carry = s >> 63;
    }
    carry = 0;
    for (g, &f) in got.iter_mut().zip(free).rev() {
        let (mut s, mut p) = ((*g | carry << 63) & f, f);
        for by in [1, 2, 4, 8, 16, 32] {
            s |= p & (s >> by);
            p &= p >> by;
        }
        grew |= s != *g;
        *g = s;
        carry = s & 1;
    }
    grew
}

impl Shut {
    /// The share of a column of support, from a height to a height, mm, that is shut off; `None` where
    /// every cell of it holds material too.
    pub(super) fn share(&self, pixel: [u32; 2], from_mm: f64, to_mm: f64) -> Option<f64> {
        let v = &self.voxels;
        let [x, y] = pixel.map(|p| p as usize / v.stride);
        let slab = |z: f64| ((z / v.cell_mm) as usize).min(v.slabs - 1);
        let (first, last) = (slab(from_mm), slab(to_mm));
        let set = |of: &[u64], z: usize| of[(z * v.rows + y) * v.words + x / 64] >> (x % 64) & 1;
        let (mut free, mut shut) = (0u64, 0u64);
        for z in first..=last {
            free += 1 - set(&v.solid, z);
            shut += set(&self.shut, z);
        }
        (free > 0).then(|| shut as f64 / free as f64)
    }
}
