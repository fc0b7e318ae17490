//! One region that hangs as a small map of cells: how far each of them lies from what holds it.
//!
//! Distances run within the region, by steps of 5, 7 and 11 fifths of a cell to the sixteen nearest (Borgefors 1986,
//! "Distance transformations in digital images": 2 % too long at most), exact along rows and columns.

use layers::Grid;

use super::region::Region;
use super::steep::Lines;

/// A map has at most so many cells; larger regions get larger cells.
const MOST_CELLS: u64 = 1 << 18;
/// It hangs.
const HANGS: u8 = 1;
/// Lines lie in the air there.
const AIR: u8 = 2;
/// Material beside it that holds it.
const HELD: u8 = 4;
/// Lines lie loosely there.
const LOOSE: u8 = 8;
/// Fifths of a cell to a neighbour: beside it, across a corner, a knight's move away.
const STEPS: [(i32, i32, u32); 16] = [
    (1, 0, 5),
    (-1, 0, 5),
    (0, 1, 5),
    (0, -1, 5),
    (1, 1, 7),
    (1, -1, 7),
    (-1, 1, 7),
    (-1, -1, 7),
    (1, 2, 11),
    (1, -2, 11),
    (-1, 2, 11),
    (-1, -2, 11),
    (2, 1, 11),
    (2, -1, 11),
    (-2, 1, 11),
    (-2, -1, 11),
];
/// More than the longest step.
const BUCKETS: usize = 12;
/// Nothing leads there.
pub(super) const NEVER: u32 = u32::MAX;

/// A region as cells.
pub(super) struct Patch {
    pub width: usize,
    pub height: usize,
    /// Side of a cell, mm.
    pub cell_mm: f64,
    /// The middle of the first cell, mm.
    first_mm: [f64; 2],
    kind: Vec<u8>,
    layer: Vec<u32>,
    /// How far each cell lies from material, to its far side, fifths of a cell; [`NEVER`] where nothing leads there.
    far: Vec<u32>,
    /// Whether a cell is several pixels: then one that hangs may hold material too.
    coarse: bool,
}

impl Patch {
    pub(super) fn of(region: &Region, grid: &Grid) -> Patch {
        let mut low = [u32::MAX; 2];
        let mut high = [0u32; 2];
        for s in &region.stretches {
            low = [low[0].min(s.start), low[1].min(s.row)];
            high = [high[0].max(s.end), high[1].max(s.row + 1)];
        }
        let [dx, dy] = [high[0] - low[0], high[1] - low[1]].map(u64::from);
        let mut side = 1u64;
        while dx.div_ceil(side) * dy.div_ceil(side) > MOST_CELLS {
            side += 1;
        }
        // Two empty cells all around, so that no step leaves the map.
        let cells = |d: u64| d.div_ceil(side) as usize + 4;
        let (width, height) = (cells(dx), cells(dy));
        let side = side as u32;
        let middle = |k: usize| {
            let pixel = f64::from(low[k]) + 0.5 * f64::from(side) - 2.0 * f64::from(side);
            grid.origin_mm[k] + grid.pixel_mm * pixel
        };
        let mut patch = Patch {
            width,
            height,
            cell_mm: grid.pixel_mm * f64::from(side),
            first_mm: [middle(0), middle(1)],
            kind: vec![0; width * height],
            layer: vec![0; width * height],
            far: Vec::new(),
            coarse: side > 1,
        };
        for s in &region.stretches {
            let y = ((s.row - low[1]) / side + 2) as usize;
            let (from, to) = ((s.start - low[0]) / side, (s.end - 1 - low[0]) / side);
            let kind = match s.lines {
                Lines::Held => 0,
                Lines::Loose => LOOSE,
                Lines::Air => AIR,
            };
            for x in from..=to {
                let at = y * width + x as usize + 2;
                patch.kind[at] |= HANGS | kind;
                patch.layer[at] = patch.layer[at].max(s.layer);
            }
        }
        for &[x, y] in &region.held {
            // It may lie a pixel beside the region.
            let cell = |p: u32, low: u32| ((p + 2 * side - low) / side) as usize;
            patch.kind[cell(y, low[1]) * width + cell(x, low[0])] |= HELD;
        }
        patch.far = patch.distances();
        patch
    }

    /// How far a cell lies from the material that holds the region, to its far side, mm; `None` where nothing does.
    pub(super) fn far_mm(&self, cell: usize) -> Option<f64> {
        let far = self.far[cell];
        (far != NEVER).then(|| self.mm(far))
    }

    /// The middle of a cell, mm.
    pub(super) fn middle(&self, cell: usize) -> [f64; 2] {
        [
            self.first_mm[0] + self.cell_mm * (cell % self.width) as f64,
            self.first_mm[1] + self.cell_mm * (cell / self.width) as f64,
        ]
    }

    /// The layer that hangs there.
    pub(super) fn layer(&self, cell: usize) -> u32 {
        self.layer[cell]
    }

    pub(super) fn hangs(&self, cell: usize) -> bool {
        self.kind[cell] & HANGS != 0
    }

    /// Whether lines of a cell lie in the air.
    pub(super) fn in_the_air(&self, cell: usize) -> bool {
        self.kind[cell] & AIR != 0
    }

    /// Area on which lines lie loosely, and not in the air, mm2.
    pub(super) fn loose_mm2(&self) -> f64 {
        let loose = |k: &&u8| **k & (LOOSE | AIR) == LOOSE;
        self.kind.iter().filter(loose).count() as f64 * self.cell_mm * self.cell_mm
    }

    /// The cell whose middle lies nearest to a place in units of cells; `None` beside the map.
    pub(super) fn cell(&self, [x, y]: [f64; 2]) -> Option<usize> {
        let (x, y) = (x + 0.5, y + 0.5);
        let within = x >= 0.0 && y >= 0.0 && x < self.width as f64 && y < self.height as f64;
        within.then(|| y as usize * self.width + x as usize)
    }

    /// Whether what lies in cell `by` holds lines in the air in cell `cell` beside it: material, or a stretch of the
    /// region that does not lie in the air and is nearer to material: a region that gets less steep as it goes on does
    /// not lean on that.
    pub(super) fn holds(&self, by: usize, cell: usize) -> bool {
        let kind = self.kind[by];
        kind & HELD != 0 && (self.coarse || kind & HANGS == 0)
            || kind & (HANGS | AIR) == HANGS && self.far[by] < self.far[cell]
            || self.coarse && self.kind[cell] & HELD != 0
    }

    /// The pieces in which lines lie in the air: their cells, each in order.
    pub(super) fn air_pieces(&self) -> Vec<Vec<usize>> {
        let mut seen = vec![false; self.kind.len()];
        let mut out = Vec::new();
        for start in 0..self.kind.len() {
            if seen[start] || self.kind[start] & AIR == 0 {
                continue;
            }
            seen[start] = true;
            let mut piece = vec![start];
            let mut next = 0;
            while let Some(&cell) = piece.get(next) {
                next += 1;
                for &(dx, dy, _) in &STEPS[..8] {
                    let beside = self.beside(cell, dx, dy);
                    if !seen[beside] && self.kind[beside] & AIR != 0 {
                        seen[beside] = true;
                        piece.push(beside);
                    }
                }
            }
            piece.sort_unstable();
            out.push(piece);
        }
        out
    }

    fn distances(&self) -> Vec<u32> {
        let cells = (0..self.kind.len()).filter(|&c| self.hangs(c));
        let seeds = cells.filter_map(|c| self.seed(c, |by| self.kind[by] & HELD != 0));
        self.spread(seeds.collect(), |c| self.hangs(c))
    }

    /// How far each cell of one piece in the air lies from what holds it, fifths of a cell, to its far side; `carried`
    /// cells lie on lines held on both sides.
    pub(super) fn in_air(&self, piece: &[usize], carried: impl Fn(usize) -> bool) -> Vec<u32> {
        let mut own = vec![false; self.kind.len()];
        for &c in piece {
            own[c] = true;
        }
        let seeds = piece.iter().filter_map(|&c| {
            if carried(c) {
                Some((c, 0))
            } else {
                self.seed(c, |by| self.holds(by, c))
            }
        });
        self.spread(seeds.collect(), |c| own[c])
    }

    /// A cell next to one that holds it, with how far its far side lies from that.
    fn seed(&self, cell: usize, holds: impl Fn(usize) -> bool) -> Option<(usize, u32)> {
        if self.coarse && self.kind[cell] & HELD != 0 {
            return Some((cell, 5));
        }
        let of = |steps: &[(i32, i32, u32)]| {
            steps
                .iter()
                .find(|&&(dx, dy, _)| holds(self.beside(cell, dx, dy)))
                .map(|s| (cell, s.2))
        };
        of(&STEPS[..4]).or_else(|| of(&STEPS[4..8]))
    }

    #[inline]
    fn beside(&self, cell: usize, dx: i32, dy: i32) -> usize {
        (cell as i64 + i64::from(dy) * self.width as i64 + i64::from(dx)) as usize
    }

    /// Least distances from the seeds, by buckets (Dial 1969).
    fn spread(&self, seeds: Vec<(usize, u32)>, own: impl Fn(usize) -> bool) -> Vec<u32> {
        let mut far = vec![NEVER; self.kind.len()];
        let mut buckets: [Vec<usize>; BUCKETS] = Default::default();
        let mut left = 0usize;
        for (cell, distance) in seeds {
            far[cell] = distance;
            buckets[distance as usize % BUCKETS].push(cell);
            left += 1;
        }
        let mut distance = 0u32;
        while left > 0 {
            let ready = std::mem::take(&mut buckets[distance as usize % BUCKETS]);
            left -= ready.len();
            for cell in ready {
                if far[cell] != distance {
                    continue;
                }
                for &(dx, dy, step) in &STEPS {
                    let beside = self.beside(cell, dx, dy);
                    // A knight's move must not leap over a gap.
                    let between = step < 11 || own(self.beside(cell, dx / 2, dy / 2));
                    if far[beside] > distance + step && own(beside) && between {
                        far[beside] = distance + step;
                        buckets[(distance + step) as usize % BUCKETS].push(beside);
                        left += 1;
                    }
                }
            }
            distance += 1;
        }
        far
    }

    /// A distance in fifths of a cell, mm.
    pub(super) fn mm(&self, fifths: u32) -> f64 {
        f64::from(fifths) * 0.2 * self.cell_mm
    }
}
