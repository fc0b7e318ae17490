//! Lines in the air that are held at both ends: the span of a place is the shortest such line through it, whatever
//! its direction; the span of a bridge is that of its widest place.

use super::patch::Patch;

/// Directions that are always tried, evenly over half a turn.
const DIRECTIONS: usize = 12;
/// Then the best is turned by these, degrees, each time keeping what carries most.
const TURNS_DEG: [f64; 5] = [3.75, 1.875, 0.94, 0.47, 0.23];
/// Lines lie and places on them follow each other so many cells apart: no cell is missed by much.
const STRIDE: f64 = 0.7;
/// Share of the cells whose span may be longer: a corner is no bridge.
const BEYOND: f64 = 0.01;
/// Lines of this many times the length are as long.
const ALIKE: f64 = 1.01;
/// The sides that hold a piece, at most this many of the longest, give directions as well.
const MOST_SIDES: usize = 4;

/// What of a piece is held on two sides.
pub(super) struct Spans {
    /// Length of the shortest line held at both ends, by place in the piece, cells; infinite for none.
    spans: Vec<f32>,
    /// Its direction, radians.
    directions: Vec<f32>,
}

/// A bridge in units of cells and the print pose.
pub(super) struct Spanned {
    /// Its length, cells.
    pub span: f64,
    /// A cell on its longest line, by place in the piece.
    pub at: usize,
    /// The direction of that line, radians.
    pub direction: f64,
    /// Cells held on two sides.
    pub cells: usize,
}

/// Finds the spans of a piece of lines in the air.
pub(super) fn spans(patch: &Patch, piece: &[usize]) -> Spans {
    let mut lines = Lines::new(patch, piece);
    let mut tried: Vec<(f64, Score)> = Vec::new();
    let even = (0..DIRECTIONS).map(|i| std::f64::consts::PI * i as f64 / DIRECTIONS as f64);
    for direction in even.chain(across(patch, piece)) {
        tried.push((direction, lines.lay(direction, 1.0)));
    }
    let best = tried
        .iter()
        .copied()
        .reduce(|a, b| if b.1.better(&a.1) { b } else { a });
    if let Some((mut direction, mut score)) = best.filter(|b| b.1.cells > 0) {
        for turn in TURNS_DEG {
            let middle = direction;
            for turned in [middle - turn.to_radians(), middle + turn.to_radians()] {
                let s = lines.lay(turned, 1.0);
                if s.better(&score) {
                    (direction, score) = (turned, s);
                }
            }
        }
        // Of lines that are as long, those of the direction that carries most are shown.
        lines.lay(direction, ALIKE);
    }
    lines.spans
}

impl Spans {
    /// Whether a cell, by its place in the piece, lies on a line held at both ends.
    pub(super) fn carried(&self, k: usize) -> bool {
        self.spans[k].is_finite()
    }

    /// The bridge; `None` where no line is held at both ends.
    pub(super) fn bridge(&self) -> Option<Spanned> {
        let mut own: Vec<usize> = (0..self.spans.len()).filter(|&k| self.carried(k)).collect();
        own.sort_by(|&a, &b| self.spans[a].total_cmp(&self.spans[b]).then(a.cmp(&b)));
        let last = own.len().checked_sub(1)?;
        let at = own[last - (BEYOND * last as f64) as usize];
        // The middle one of those that are as long, so that it is not shown at the rim.
        let near = self.spans[at] / ALIKE as f32;
        let first = own.partition_point(|&k| self.spans[k] < near);
        let mut alike = own[first..].to_vec();
        alike.sort_unstable();
        let at_middle = alike[alike.len() / 2];
        Some(Spanned {
            span: f64::from(self.spans[at]),
            at: at_middle,
            direction: f64::from(self.directions[at_middle]),
            cells: own.len(),
        })
    }
}

/// What a direction carries.
#[derive(Clone, Copy)]
struct Score {
    cells: u64,
    length: f64,
}

impl Score {
    fn better(&self, other: &Score) -> bool {
        self.cells > other.cells || self.cells == other.cells && self.length < other.length
    }
}

struct Lines<'a> {
    patch: &'a Patch,
    /// Place in the piece of each cell of the map; `u32::MAX` for none.
    place: Vec<u32>,
    spans: Spans,
    /// Corners of the piece's box, cells.
    low: [f64; 2],
    high: [f64; 2],
}

impl<'a> Lines<'a> {
    fn new(patch: &'a Patch, piece: &[usize]) -> Lines<'a> {
        let mut place = vec![u32::MAX; patch.width * patch.height];
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for (k, &cell) in piece.iter().enumerate() {
            place[cell] = k as u32;
            for (i, x) in [cell % patch.width, cell / patch.width]
                .into_iter()
                .enumerate()
            {
                low[i] = low[i].min(x as f64);
                high[i] = high[i].max(x as f64);
            }
        }
        Lines {
            patch,
            place,
            spans: Spans {
                spans: vec![f32::INFINITY; piece.len()],
                directions: vec![0.0; piece.len()],
            },
            low,
            high,
        }
    }

    /// Lays lines in one direction; keeps those held at both ends where they are shorter than `alike` times what
    /// is known.
    fn lay(&mut self, direction: f64, alike: f64) -> Score {
        let (c, s) = (libm::cos(direction), libm::sin(direction));
        let middle = [0, 1].map(|k| 0.5 * (self.low[k] + self.high[k]));
        let half = [0, 1].map(|k| 0.5 * (self.high[k] - self.low[k]) + 1.5);
        let along = half[0] * c.abs() + half[1] * s.abs();
        let across = half[0] * s.abs() + half[1] * c.abs();
        let (steps, rows) = (
            (along / STRIDE).ceil() as i64,
            (across / STRIDE).ceil() as i64,
        );
        let mut score = Score {
            cells: 0,
            length: 0.0,
        };
        let mut run: Vec<u32> = Vec::new();
        for row in -rows..=rows {
            let t = STRIDE * row as f64;
            run.clear();
            let (mut before, mut last) = (None, None);
            for step in -steps..=steps + 1 {
                let u = STRIDE * step as f64;
                let at = [middle[0] + u * c - t * s, middle[1] + u * s + t * c];
                let cell = self.patch.cell(at);
                let place = cell.map_or(u32::MAX, |cell| self.place[cell]);
                if place != u32::MAX {
                    if run.is_empty() {
                        before = last.zip(cell);
                    }
                    run.push(place);
                } else if !run.is_empty() {
                    let after = cell.zip(last);
                    let held = |ends: Option<(usize, usize)>| {
                        ends.is_some_and(|(by, own)| self.patch.holds(by, own))
                    };
                    if held(before) && held(after) {
                        let length = STRIDE * run.len() as f64;
                        score.cells += run.len() as u64;
                        score.length += length * length;
                        for &k in &run {
                            let k = k as usize;
                            let known = f64::from(self.spans.spans[k]);
                            if length < alike * known {
                                self.spans.spans[k] = length.min(known) as f32;
                                self.spans.directions[k] = direction as f32;
                            }
                        }
                    }
                    run.clear();
                }
                last = cell;
            }
        }
        score
    }
}

/// Directions between the middles of the sides that hold a piece.
fn across(patch: &Patch, piece: &[usize]) -> Vec<f64> {
    let width = patch.width as i64;
    let around = |c: usize| {
        [
            -1 - width,
            -width,
            1 - width,
            -1,
            1,
            width - 1,
            width,
            width + 1,
        ]
        .map(|d| (c as i64 + d) as usize)
    };
    // Cells beside something that holds them, gathered into sides that hang together.
    let mut state = vec![0u8; patch.width * patch.height];
    for &c in piece {
        if around(c).into_iter().any(|by| patch.holds(by, c)) {
            state[c] = 1;
        }
    }
    let mut sides: Vec<(usize, [f64; 2])> = Vec::new();
    for &start in piece {
        if state[start] != 1 {
            continue;
        }
        state[start] = 2;
        let mut side = vec![start];
        let mut next = 0;
        let mut sum = [0.0; 2];
        while let Some(&c) = side.get(next) {
            next += 1;
            sum[0] += (c % patch.width) as f64;
            sum[1] += (c / patch.width) as f64;
            for beside in around(c) {
                if state[beside] == 1 {
                    state[beside] = 2;
                    side.push(beside);
                }
            }
        }
        sides.push((side.len(), sum.map(|x| x / side.len() as f64)));
    }
    sides.sort_by_key(|s| std::cmp::Reverse(s.0));
    sides.truncate(MOST_SIDES);
    let mut out = Vec::new();
    for (i, (_, a)) in sides.iter().enumerate() {
        for (_, b) in &sides[i + 1..] {
            let direction = libm::atan2(b[1] - a[1], b[0] - a[0]);
            out.push(direction.rem_euclid(std::f64::consts::PI));
        }
    }
    out
}
