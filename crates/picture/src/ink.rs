//! Lines of a drawing, found in what the samples see: outlines where depth jumps, creases where two
//! faces meet at an angle (T. Saito and T. Takahashi, "Comprehensible rendering of 3-D shapes",
//! SIGGRAPH 1990). Hidden lines never appear, and the cost does not depend on the mesh.

use crate::raster::{NOTHING, Sample, Seen};

/// One bit a sample, row by row.
pub(crate) struct Bits {
    words: usize,
    rows: usize,
    bits: Vec<u64>,
}

impl Bits {
    fn blank(width: usize, rows: usize) -> Bits {
        let words = width.div_ceil(64) + 1;
        Bits {
            words,
            rows,
            bits: vec![0; words * rows],
        }
    }

    /// `count` bits (at most 32) of a row from sample `x` on.
    #[inline]
    pub(crate) fn run(&self, x: usize, y: usize, count: usize) -> u32 {
        let at = y * self.words + x / 64;
        let low = self.bits[at] >> (x % 64);
        let high = if x.is_multiple_of(64) {
            0
        } else {
            self.bits[at + 1] << (64 - x % 64)
        };
        ((low | high) & ((1u64 << count) - 1)) as u32
    }

    /// Every bit spreads to the sample on its right and below: lines two samples wide.
    fn thickened(&self) -> Bits {
        self.spread(false)
    }

    /// Every bit spreads to its eight neighbours.
    fn widened(&self) -> Bits {
        self.spread(true)
    }

    fn spread(&self, both: bool) -> Bits {
        let mut sideways = self.bits.clone();
        for y in 0..self.rows {
            let row = y * self.words..(y + 1) * self.words;
            let (src, dst) = (&self.bits[row.clone()], &mut sideways[row]);
            for k in 0..src.len() {
                let before = if k > 0 { src[k - 1] >> 63 } else { 0 };
                dst[k] |= src[k] << 1 | before;
                if both {
                    let after = src.get(k + 1).map_or(0, |n| n << 63);
                    dst[k] |= src[k] >> 1 | after;
                }
            }
        }
        let mut out = sideways.clone();
        for y in 0..self.rows {
            for k in 0..self.words {
                let i = y * self.words + k;
                if y > 0 {
                    out[i] |= sideways[i - self.words];
                }
                if both && y + 1 < self.rows {
                    out[i] |= sideways[i + self.words];
                }
            }
        }
        Bits {
            words: self.words,
            rows: self.rows,
            bits: out,
        }
    }
}

/// The lines of a picture.
pub(crate) struct Ink {
    /// Outlines: against the background or a further part of the body.
    pub outline: Bits,
    /// Edges between two faces.
    pub crease: Bits,
    /// Borders of marked facets.
    pub border: Bits,
    /// Every sample near a change of facet: elsewhere there is no line and no other facet.
    pub busy: Bits,
}

/// What a facet is to the lines: unit normal in the frame of the view (right, up, toward), and marked.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Facing {
    pub normal: [f32; 3],
    pub marked: bool,
}

const OUTLINE: u8 = 1;
const CREASE: u8 = 2;
const BORDER: u8 = 4;
/// Sample rows a piece of work.
const BAND: usize = 64;

/// Finds the lines. `crease_cos` is the cosine of the least angle between normals that draws an edge,
/// `mm_per_sample` the scale.
pub(crate) fn lines(seen: &Seen, facing: &[Facing], crease_cos: f32, mm_per_sample: f32) -> Ink {
    let (width, height) = (seen.width, seen.height);
    let pieces = parallel::chunks(height, BAND, |rows| {
        let mut part = [(); 4].map(|()| Bits::blank(width, rows.len()));
        let finder = Finder {
            seen,
            facing,
            crease_cos,
            mm_per_sample,
        };
        for (line, y) in rows.enumerate() {
            for word in 0..width.div_ceil(64) {
                let found = finder.word(word * 64, y);
                for (bits, mask) in part.iter_mut().zip(found) {
                    bits.bits[line * bits.words + word] = mask;
                }
            }
        }
        part
    });
    let mut whole = [(); 4].map(|()| Bits {
        words: width.div_ceil(64) + 1,
        rows: height,
        bits: Vec::new(),
    });
    for piece in pieces {
        for (all, part) in whole.iter_mut().zip(piece) {
            all.bits.extend(part.bits);
        }
    }
    let [outline, crease, border, busy] = whole;
    Ink {
        outline: outline.widened(),
        crease: crease.thickened(),
        border: border.widened(),
        busy: busy.widened(),
    }
}

struct Finder<'a> {
    seen: &'a Seen,
    facing: &'a [Facing],
    crease_cos: f32,
    mm_per_sample: f32,
}

impl Finder<'_> {
    /// Outline, crease, border and busy bits of the 64 samples from `x` on in row `y`.
    fn word(&self, x: usize, y: usize) -> [u64; 4] {
        let end = (x + 64).min(self.seen.width);
        let row = self.seen.facets(y);
        let below = self.seen.facets((y + 1).min(self.seen.height - 1));
        let here = &row[x..end];
        let differs = here
            .iter()
            .zip(&below[x..end])
            .fold(0, |d, (a, b)| d | (a ^ b) | (a ^ here[0]));
        let mut found = [0u64; 4];
        let crosses = end < row.len() && row[end] != row[end - 1];
        if differs == 0 && !crosses {
            return found;
        }
        for i in x..end {
            let right = i + 1 < row.len() && row[i + 1] != row[i];
            let down = below[i] != row[i];
            if !right && !down {
                continue;
            }
            let mut kind = 0u8;
            if right {
                kind |= self.between([i, y], 0);
            }
            if down {
                kind |= self.between([i, y], 1);
            }
            let bit = 1u64 << (i - x);
            for (mask, one) in found.iter_mut().zip([OUTLINE, CREASE, BORDER]) {
                if kind & one != 0 {
                    *mask |= bit;
                }
            }
            found[3] |= bit;
        }
        found
    }

    /// The kind of line between a sample and its neighbour on the right (axis 0) or below (axis 1).
    fn between(&self, at: [usize; 2], axis: usize) -> u8 {
        let step = |back: bool, n: usize| -> Option<Sample> {
            let mut p = at;
            p[axis] = if back {
                p[axis].checked_sub(n)?
            } else {
                p[axis] + n
            };
            (p[0] < self.seen.width && p[1] < self.seen.height).then(|| self.seen.at(p[0], p[1]))
        };
        let (Some(a), Some(b)) = (step(false, 0), step(false, 1)) else {
            return 0;
        };
        if a.facet == NOTHING || b.facet == NOTHING {
            return OUTLINE;
        }
        let (fa, fb) = (self.facing[a.facet as usize], self.facing[b.facet as usize]);
        let mut found = 0;
        if fa.marked != fb.marked {
            found |= BORDER;
        }
        // Where each facet's plane would be one sample on: depth changes by -n.step / n.toward.
        let mm = self.mm_per_sample;
        let ahead = if axis == 0 { mm } else { -mm };
        let slope = |f: &Facing| -f.normal[axis] * ahead / at_least(f.normal[2]);
        let jump = b.depth - a.depth;
        let (sa, sb) = (slope(&fa), slope(&fb));
        // The true change lies between the two slopes where the facets meet between the samples.
        let (low, high) = (sa.min(sb).min(0.0), sa.max(sb).max(0.0));
        if jump < low - 2.0 * mm || jump > high + 2.0 * mm {
            return found | OUTLINE;
        }
        // A sliver one sample wide between two parts of one face is no edge.
        let same = |s: Option<Sample>, f: &Facing| {
            s.is_some_and(|s| {
                s.facet != NOTHING && !self.creased(&self.facing[s.facet as usize], f)
            })
        };
        if self.creased(&fa, &fb) && !same(step(true, 1), &fb) && !same(step(false, 2), &fa) {
            found |= CREASE;
        }
        found
    }

    fn creased(&self, a: &Facing, b: &Facing) -> bool {
        let cos: f32 = (0..3).map(|k| a.normal[k] * b.normal[k]).sum();
        cos < self.crease_cos
    }
}

/// Keeps a nearly edge-on facet from predicting any depth at all.
#[inline]
fn at_least(toward: f32) -> f32 {
    if toward.abs() < 0.05 {
        0.05f32.copysign(toward)
    } else {
        toward
    }
}
