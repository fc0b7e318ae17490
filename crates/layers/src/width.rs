//! How wide a layer's lines and gaps are, exactly: from every point of the outline, the largest disc that touches
//! it there from inside, and what else that disc touches.
//!
//! For a point `x` of a straight piece with inward normal `n`, the disc that touches it there and a line at
//! distance `s` with inward normal `m` has radius `s / (1 - n.m)`, linear along the piece; the disc that touches a
//! point `q`, `h` above the piece and `u` along it, has `(u^2 + h^2) / 2h`. The least of them all is the radius of
//! the medial axis (Blum 1967) over `x`, and the area nearest to a piece is the sum of that radius along it.
//! So the width is decided on the outline itself, with no pixel's error, and its cost goes with the outline's length.
//!
//! Where the second contact lies [`OPPOSED_DEG`] or more round the disc from the first there is a wall between two
//! sides. Where it lies less the disc sits in a corner, which every corner has and nothing is thin.
//! What is too narrow is not said here.

use crate::outline::{Outline, Seen, Segment};

/// Contacts this far apart around a disc belong to opposing sides, degrees: the same as for balls in walls.
pub const OPPOSED_DEG: f64 = 120.0;
/// Cosine of what [`OPPOSED_DEG`] leaves of a half turn.
const OPPOSED_COS: f64 = 0.5;

/// A short stretch of outline with something opposite, nearer than was asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Its middle, on the outline, mm.
    pub at_mm: [f64; 2],
    /// The middle of the disc that touches it there, mm.
    pub middle_mm: [f64; 2],
    /// The disc's diameter in the middle of the stretch, mm.
    pub width_mm: f64,
    /// The least diameter along the stretch, mm.
    pub least_mm: f64,
    /// How long it is, mm.
    pub length_mm: f64,
    /// What lies nearest to this stretch of outline, up to the middle line, mm2.
    pub area_mm2: f64,
    /// How fast the width changes along the outline, mm per mm.
    pub taper: f64,
    /// Whether the other contact belongs to an opposing side; a corner's does not.
    pub opposed: bool,
}

/// What may touch the disc over `from..to` of a segment: the radius is `a t^2 + b t + c`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Touch {
    pub(crate) from: f64,
    pub(crate) to: f64,
    a: f64,
    b: f64,
    c: f64,
    opposed: bool,
}

impl Touch {
    pub(crate) fn radius(&self, t: f64) -> f64 {
        (self.a * t + self.b) * t + self.c
    }

    fn slope(&self, t: f64) -> f64 {
        2.0 * self.a * t + self.b
    }
}

/// Working memory, kept from layer to layer.
#[derive(Debug, Clone, Default)]
pub struct Widths {
    seen: Seen,
    near: Vec<u32>,
    touches: Vec<Touch>,
    cuts: Vec<f64>,
    open: Vec<u32>,
}

impl Widths {
    /// Calls `work` for every stretch of the outline, none longer than `step_mm`, over which the disc is narrower than
    /// `limit_mm`, on those segments where something opposes. Pieces in order, each from its start to its end.
    ///
    /// Widths are exact at every stretch's middle, and the least along it is exact; where contacts change or the
    /// limit is crossed is found within a two-thousandth of a step.
    pub fn narrower(
        &mut self,
        outline: &Outline,
        limit_mm: f64,
        step_mm: f64,
        mut work: impl FnMut(u32, &Stretch),
    ) {
        let radius = 0.5 * limit_mm;
        for k in 0..outline.segments.len() {
            let segment = outline.segments[k];
            self.touches.clear();
            outline.near(&segment, limit_mm, &mut self.seen, &mut self.near);
            for &other in &self.near {
                if other as usize != k {
                    touches(
                        &segment,
                        &outline.segments[other as usize],
                        radius,
                        &mut self.touches,
                    );
                }
            }
            if self.touches.iter().any(|t| t.opposed) {
                self.sweep(&segment, radius, step_mm, |s| work(k as u32, s));
            }
        }
    }

    /// Walks along one segment from cut to cut with the touches open there.
    fn sweep(&mut self, segment: &Segment, radius: f64, step: f64, mut work: impl FnMut(&Stretch)) {
        self.touches
            .sort_by(|a, b| a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to)));
        self.cuts.clear();
        for t in &self.touches {
            self.cuts.extend([t.from, t.to]);
            // The least of a parabola is a cut, so that no stretch hides it.
            if t.a > 0.0 {
                let least = -t.b / (2.0 * t.a);
                if least > t.from && least < t.to {
                    self.cuts.push(least);
                }
            }
        }
        self.cuts.sort_by(f64::total_cmp);
        self.cuts.dedup();
        self.open.clear();
        let (touches, open) = (&self.touches, &mut self.open);
        let mut next = 0;
        for pair in self.cuts.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            while next < touches.len() && touches[next].from <= from {
                open.push(next as u32);
                next += 1;
            }
            open.retain(|&t| touches[t as usize].to >= to);
            // Touches that end where others begin leave a crack of rounding between them.
            if open.is_empty() || to - from < SHORTEST_MM {
                continue;
            }
            let parts = ((to - from) / step).ceil().max(1.0);
            let long = (to - from) / parts;
            let view = View {
                segment,
                touches,
                open,
                radius,
            };
            for part in 0..parts as usize {
                let start = from + part as f64 * long;
                view.halve([start, start + long], HALVINGS, &mut work);
            }
        }
    }
}

/// Stretches shorter than this are rounding, mm.
const SHORTEST_MM: f64 = 1e-9;
/// How often a stretch is halved to find where one contact gives way to another, or the limit is crossed.
const HALVINGS: usize = 10;

/// One segment between two cuts: the touches open there hold over the whole of it.
struct View<'a> {
    segment: &'a Segment,
    touches: &'a [Touch],
    open: &'a [u32],
    radius: f64,
}

impl View<'_> {
    /// Halves a stretch until one touch is the tightest over all of it, on one side of the limit; a piece left over
    /// after [`HALVINGS`] goes by its middle.
    fn halve(&self, [from, to]: [f64; 2], left: usize, work: &mut impl FnMut(&Stretch)) {
        let middle = 0.5 * (from + to);
        let at = [from, middle, to].map(|t| tightest(self.touches, self.open, t));
        let [Some(a), Some(m), Some(b)] = at else {
            return;
        };
        if a.1.min(m.1).min(b.1) >= self.radius {
            return;
        }
        let below = |x: (u32, f64)| x.1 < self.radius;
        let even = a.0 == m.0 && m.0 == b.0 && below(a) == below(m) && below(m) == below(b);
        if !even && left > 0 {
            self.halve([from, middle], left - 1, work);
            self.halve([middle, to], left - 1, work);
        } else if below(m) {
            // The ends may belong to another contact: only this one's count.
            let ends = [a, b].into_iter().filter(|e| e.0 == m.0).map(|e| e.1);
            self.emit([from, to], m, ends.fold(m.1, f64::min), work);
        }
    }

    fn emit(
        &self,
        [from, to]: [f64; 2],
        (touch, rho): (u32, f64),
        least: f64,
        work: &mut impl FnMut(&Stretch),
    ) {
        let touch = &self.touches[touch as usize];
        let (t, long) = (0.5 * (from + to), to - from);
        let (at, n) = (self.segment.at(t), self.segment.inward());
        work(&Stretch {
            at_mm: at,
            middle_mm: [at[0] + rho * n[0], at[1] + rho * n[1]],
            width_mm: 2.0 * rho,
            least_mm: 2.0 * least,
            length_mm: long,
            area_mm2: rho * long,
            taper: (2.0 * touch.slope(t)).abs(),
            opposed: touch.opposed,
        });
    }
}

/// The tightest of the open touches at `t`, and its radius.
fn tightest(touches: &[Touch], open: &[u32], t: f64) -> Option<(u32, f64)> {
    let each = open.iter().map(|&k| (k, touches[k as usize].radius(t)));
    each.min_by(|a, b| a.1.total_cmp(&b.1))
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// What of `other` may touch a disc on `segment` of less than `radius`: its line, and its two ends.
pub(crate) fn touches(segment: &Segment, other: &Segment, radius: f64, out: &mut Vec<Touch>) {
    let (d, n) = (segment.along, segment.inward());
    let far = [
        other.start[0] - segment.start[0],
        other.start[1] - segment.start[1],
    ];
    let end = [
        other.end[0] - segment.start[0],
        other.end[1] - segment.start[1],
    ];
    let (h0, h1) = (dot(far, n), dot(end, n));
    let (u0, u1) = (dot(far, d), dot(end, d));
    // The discs reach from the segment's line to twice the radius over it, and one radius past its ends.
    let beside = (u0.max(u1) < -radius) || (u0.min(u1) > segment.length + radius);
    if h0.max(h1) <= 0.0 || h0.min(h1) >= 2.0 * radius || beside {
        return;
    }
    line_touch(segment, other, far, radius, out);
    point_touch(segment, u0, h0, radius, out);
    point_touch(segment, u1, h1, radius, out);
}

fn line_touch(
    segment: &Segment,
    other: &Segment,
    far: [f64; 2],
    radius: f64,
    out: &mut Vec<Touch>,
) {
    let (d, n) = (segment.along, segment.inward());
    let (e, m) = (other.along, other.inward());
    let spread = 1.0 - dot(n, m);
    if spread < 1e-9 {
        return;
    }
    // rho(t) = c + b t; the foot on the other line, from its start, is foot + run t.
    let (c, b) = (-dot(far, m) / spread, dot(d, m) / spread);
    let (foot, run) = (c * dot(n, e) - dot(far, e), dot(d, e) + b * dot(n, e));
    let mut range = [0.0, segment.length];
    keep_between(&mut range, foot, run, 0.0, other.length);
    keep_between(&mut range, c, b, 0.0, radius);
    if range[0] < range[1] {
        out.push(Touch {
            from: range[0],
            to: range[1],
            a: 0.0,
            b,
            c,
            opposed: -dot(n, m) >= OPPOSED_COS,
        });
    }
}

/// Keeps of a range where `value + slope t` lies between two bounds.
fn keep_between(range: &mut [f64; 2], value: f64, slope: f64, least: f64, most: f64) {
    if slope == 0.0 {
        if value < least || value > most {
            range[1] = range[0];
        }
        return;
    }
    let (p, q) = ((least - value) / slope, (most - value) / slope);
    range[0] = range[0].max(p.min(q));
    range[1] = range[1].min(p.max(q));
}

fn point_touch(segment: &Segment, u: f64, h: f64, radius: f64, out: &mut Vec<Touch>) {
    // A point on the segment's own line, its own ends among them, touches no disc but of no size.
    let room = 2.0 * h * radius - h * h;
    if h <= 1e-9 * segment.length.max(radius) || room <= 0.0 {
        return;
    }
    let reach = room.sqrt();
    // Opposed while the contact lies OPPOSED_DEG or more round: within h / sqrt 3 of the foot.
    let across = h / 3f64.sqrt();
    let mut push = |from: f64, to: f64, opposed: bool| {
        let (from, to) = (from.max(0.0), to.min(segment.length));
        if from < to {
            out.push(Touch {
                from,
                to,
                a: 0.5 / h,
                b: -u / h,
                c: 0.5 * (u * u + h * h) / h,
                opposed,
            });
        }
    };
    let inner = across.min(reach);
    push(u - inner, u + inner, true);
    if across < reach {
        push(u - reach, u - across, false);
        push(u + across, u + reach, false);
    }
}

#[cfg(test)]
#[path = "width_tests.rs"]
mod tests;
