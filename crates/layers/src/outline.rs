//! A layer's outline as loose segments with an index of cells: who lies near whom, in time that goes with the
//! length of the outline and not with the area of the layer.

use crate::Contour;

/// Which side of the outline is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The material: how wide it is.
    Material,
    /// What is not material: how wide its gaps are.
    Gap,
}

/// A straight piece of the outline; what is looked at lies to its left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Its start, mm.
    pub start: [f64; 2],
    /// Its end, mm.
    pub end: [f64; 2],
    /// Unit direction.
    pub along: [f64; 2],
    /// Its length, mm.
    pub length: f64,
}

impl Segment {
    /// `None` where the two points are one, or no points.
    pub fn new(start: [f64; 2], end: [f64; 2]) -> Option<Self> {
        let [dx, dy] = [end[0] - start[0], end[1] - start[1]];
        let length = (dx * dx + dy * dy).sqrt();
        (length > 0.0 && length.is_finite()).then(|| Self {
            start,
            end,
            along: [dx / length, dy / length],
            length,
        })
    }

    /// Unit normal into what is looked at.
    pub fn inward(&self) -> [f64; 2] {
        [-self.along[1], self.along[0]]
    }

    /// The point `t` mm from the start.
    pub fn at(&self, t: f64) -> [f64; 2] {
        [
            self.start[0] + t * self.along[0],
            self.start[1] + t * self.along[1],
        ]
    }
}

/// The segments of one layer, and which cells they cross.
#[derive(Debug, Clone)]
pub struct Outline {
    /// All segments, contour by contour.
    pub segments: Vec<Segment>,
    low: [f64; 2],
    cell: f64,
    columns: usize,
    rows: usize,
    starts: Vec<u32>,
    items: Vec<u32>,
}

/// The most cells an index has: more would cost more than they save.
const MOST_CELLS: f64 = 65536.0;

impl Outline {
    /// Takes the closed contours of a layer; open chains bound nothing. `near_mm` is how far away neighbours are
    /// going to be asked for.
    pub fn new(contours: &[Contour], side: Side, near_mm: f64) -> Self {
        let mut segments = Vec::new();
        for contour in contours.iter().filter(|c| c.closed) {
            let points = &contour.points;
            for (k, &start) in points.iter().enumerate() {
                let end = points[(k + 1) % points.len()];
                segments.extend(match side {
                    Side::Material => Segment::new(start, end),
                    Side::Gap => Segment::new(end, start),
                });
            }
        }
        Self::of(segments, near_mm)
    }

    /// Takes segments as they are.
    pub fn of(segments: Vec<Segment>, near_mm: f64) -> Self {
        let (mut low, mut high) = ([f64::MAX; 2], [f64::MIN; 2]);
        for s in &segments {
            for k in 0..2 {
                low[k] = low[k].min(s.start[k]).min(s.end[k]);
                high[k] = high[k].max(s.start[k]).max(s.end[k]);
            }
        }
        if segments.is_empty() {
            (low, high) = ([0.0; 2], [0.0; 2]);
        }
        let [w, h] = [high[0] - low[0], high[1] - low[1]];
        let cell = near_mm
            .max((w * h / MOST_CELLS).sqrt())
            .max(w.max(h) / MOST_CELLS);
        let cell = cell.max(f64::MIN_POSITIVE);
        let (columns, rows) = ((w / cell) as usize + 1, (h / cell) as usize + 1);
        let mut outline = Self {
            segments,
            low,
            cell,
            columns,
            rows,
            starts: vec![0; columns * rows + 1],
            items: Vec::new(),
        };
        outline.index();
        outline
    }

    fn index(&mut self) {
        let mut starts = std::mem::take(&mut self.starts);
        for s in &self.segments {
            self.cells(s, 0.0, |cell| starts[cell + 1] += 1);
        }
        for k in 1..starts.len() {
            starts[k] += starts[k - 1];
        }
        let mut next = starts.clone();
        let mut items = vec![0; starts.last().map_or(0, |&n| n as usize)];
        for (k, s) in self.segments.iter().enumerate() {
            self.cells(s, 0.0, |cell| {
                items[next[cell] as usize] = k as u32;
                next[cell] += 1;
            });
        }
        (self.starts, self.items) = (starts, items);
    }

    /// Calls `work` for every cell within `margin` of a segment (and some more), row by row.
    fn cells(&self, s: &Segment, margin: f64, mut work: impl FnMut(usize)) {
        let at = |v: f64, k: usize, most: usize| {
            (((v - self.low[k]) / self.cell).floor()).clamp(0.0, (most - 1) as f64) as usize
        };
        let (down, up) = if s.start[1] <= s.end[1] {
            (s.start, s.end)
        } else {
            (s.end, s.start)
        };
        let rise = up[1] - down[1];
        let lean = if rise > 0.0 {
            (up[0] - down[0]) / rise
        } else {
            0.0
        };
        let rows = at(down[1] - margin, 1, self.rows)..=at(up[1] + margin, 1, self.rows);
        for row in rows {
            let (mut left, mut right) = (down[0].min(up[0]), down[0].max(up[0]));
            if rise > self.cell {
                // The stretch of the segment that this row of cells, grown by the margin, can see;
                // a hundredth of a cell more, so that rounding hides nothing.
                let slack = margin + 0.01 * self.cell;
                let floor = self.low[1] + row as f64 * self.cell - slack;
                let from = (floor - down[1]).clamp(0.0, rise);
                let to = (floor + self.cell + 2.0 * slack - down[1]).clamp(0.0, rise);
                let (a, b) = (down[0] + from * lean, down[0] + to * lean);
                (left, right) = (a.min(b).max(left), a.max(b).min(right));
            }
            let slack = margin + 0.01 * self.cell;
            for column in at(left - slack, 0, self.columns)..=at(right + slack, 0, self.columns) {
                work(row * self.columns + column);
            }
        }
    }

    /// The segment that begins where segment `k` ends; `None` where none does.
    pub fn next(&self, k: usize) -> Option<&Segment> {
        let end = self.segments[k].end;
        let follows = |s: &&Segment| s.start == end;
        let next = self.segments.get(k + 1).filter(follows);
        next.or_else(|| {
            let at = |v: f64, axis: usize, most: usize| {
                let cell = ((v - self.low[axis]) / self.cell).floor();
                cell.clamp(0.0, (most - 1) as f64) as usize
            };
            let cell = at(end[1], 1, self.rows) * self.columns + at(end[0], 0, self.columns);
            let items = &self.items[self.starts[cell] as usize..self.starts[cell + 1] as usize];
            items
                .iter()
                .map(|&j| &self.segments[j as usize])
                .find(follows)
        })
    }

    /// Collects, once each and in order, the segments that come within `margin` of `segment`, and some more;
    /// `seen` is kept by the caller from one question to the next.
    pub fn near(&self, segment: &Segment, margin: f64, seen: &mut Seen, found: &mut Vec<u32>) {
        found.clear();
        seen.begin(self.segments.len());
        self.cells(segment, margin, |cell| {
            let [from, to] = [self.starts[cell] as usize, self.starts[cell + 1] as usize];
            for &k in &self.items[from..to] {
                if seen.first_time(k) {
                    found.push(k);
                }
            }
        });
        found.sort_unstable();
    }
}

impl Outline {
    /// How often the outline goes round a point, mm, seen from where its looked-at side is to the left. An edge counts
    /// from its lower end up to, not with, its upper one.
    pub fn winding(&self, point_mm: [f64; 2], seen: &mut Seen) -> i32 {
        let [x, y] = point_mm;
        let row = ((y - self.low[1]) / self.cell).floor();
        if self.segments.is_empty() || !(row >= 0.0 && row < self.rows as f64) {
            return 0;
        }
        seen.begin(self.segments.len());
        let first = ((x - self.low[0]) / self.cell).floor().max(0.0) as usize;
        let mut wound = 0;
        for column in first..self.columns {
            let cell = row as usize * self.columns + column;
            let [from, to] = [self.starts[cell] as usize, self.starts[cell + 1] as usize];
            for &k in &self.items[from..to] {
                let s = &self.segments[k as usize];
                let (was, is) = (s.start[1] <= y, s.end[1] <= y);
                if was != is && seen.first_time(k) {
                    // Above 0 where the point lies to the left of the way.
                    let left = s.along[0] * (y - s.start[1]) - s.along[1] * (x - s.start[0]);
                    wound += i32::from(was && left > 0.0) - i32::from(is && left < 0.0);
                }
            }
        }
        wound
    }
}

/// Which segments a question has met already.
#[derive(Debug, Clone, Default)]
pub struct Seen {
    marks: Vec<u32>,
    mark: u32,
}

impl Seen {
    fn begin(&mut self, len: usize) {
        if self.marks.len() < len || self.mark == u32::MAX {
            self.marks.clear();
            self.marks.resize(len, 0);
            self.mark = 0;
        }
        self.mark += 1;
    }

    fn first_time(&mut self, k: u32) -> bool {
        let mark = &mut self.marks[k as usize];
        let first = *mark != self.mark;
        *mark = self.mark;
        first
    }
}
