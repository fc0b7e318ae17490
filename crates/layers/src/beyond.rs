//! Offsets and differences of whole layers as areas: what of a layer lies further than a reach from another, and how
//! much a layer covers once it is grown by a reach.
//!
//! Nothing is drawn. On a line of equal y the material of a layer is a set of intervals between crossings, and a layer
//! grown by a disc is those intervals together with the chord of every outline segment's own growth, a bar with round
//! ends. So lengths along a line are exact, round joints and all, and only the sum over lines is a quadrature, by the
//! midpoint rule: its error falls with the square of the lines' distance. Rasters answer the same with a pixel's error
//! ([`crate::raster::unsupported`]); this decides what hangs on less.
//!
//! Material is where the winding number is above 0, as with rasters.

use crate::Contour;

/// From one x up to another, mm.
type Interval = [f64; 2];

/// Area of what of `above` lies further than `reach_mm` from all of `below`, mm2, by lines `step_mm` apart.
pub fn beyond_mm2(above: &[Contour], below: &[Contour], reach_mm: f64, step_mm: f64) -> f64 {
    let (upper, lower) = (Lines::new(above), Lines::new(below));
    integral(upper.low, upper.high, step_mm, |y| {
        let held = lower.grown(y, reach_mm);
        let own = upper.material(y);
        length(&own) - shared(&own, &held)
    })
}

/// Area of a layer grown by `reach_mm` all round, mm2, by lines `step_mm` apart.
pub fn grown_mm2(contours: &[Contour], reach_mm: f64, step_mm: f64) -> f64 {
    let lines = Lines::new(contours);
    integral(lines.low - reach_mm, lines.high + reach_mm, step_mm, |y| {
        length(&lines.grown(y, reach_mm))
    })
}

fn integral(low: f64, high: f64, step_mm: f64, at: impl Fn(f64) -> f64) -> f64 {
    let tall = high - low;
    if !(tall > 0.0 && tall.is_finite() && step_mm > 0.0) {
        return 0.0;
    }
    let count = (tall / step_mm).ceil();
    let step = tall / count;
    (0..count as usize)
        .map(|k| at(low + (k as f64 + 0.5) * step))
        .sum::<f64>()
        * step
}

/// The sides of a layer's closed contours, by their lower ends.
struct Lines {
    /// Lower end, upper end, and whether the way goes up.
    sides: Vec<([f64; 2], [f64; 2], bool)>,
    /// The tallest side, mm.
    tallest: f64,
    low: f64,
    high: f64,
}

impl Lines {
    fn new(contours: &[Contour]) -> Lines {
        let mut sides: Vec<([f64; 2], [f64; 2], bool)> = contours
            .iter()
            .filter(|c| c.closed)
            .flat_map(|c| (0..c.points.len()).map(move |i| (c, i)))
            .map(|(c, i)| {
                let (a, b) = (c.points[i], c.points[(i + 1) % c.points.len()]);
                if a[1] <= b[1] {
                    (a, b, true)
                } else {
                    (b, a, false)
                }
            })
            .collect();
        sides.sort_by(|x, y| x.0[1].total_cmp(&y.0[1]));
        let over = |f: fn(f64, f64) -> f64, start, pick: fn(&([f64; 2], [f64; 2], bool)) -> f64| {
            sides.iter().map(pick).fold(start, f)
        };
        Lines {
            tallest: over(f64::max, 0.0, |s| s.1[1] - s.0[1]),
            low: over(f64::min, f64::INFINITY, |s| s.0[1]),
            high: over(f64::max, f64::NEG_INFINITY, |s| s.1[1]),
            sides,
        }
    }

    /// The sides that come within `reach` of a line.
    fn near(&self, y: f64, reach: f64) -> impl Iterator<Item = &([f64; 2], [f64; 2], bool)> {
        let first = y - reach - self.tallest;
        let from = self.sides.partition_point(|s| s.0[1] < first);
        self.sides[from..]
            .iter()
            .take_while(move |s| s.0[1] <= y + reach)
            .filter(move |s| s.1[1] >= y - reach)
    }

    /// Material along a line. A side counts from its lower end up to, not with, its upper one.
    fn material(&self, y: f64) -> Vec<Interval> {
        let mut crossings: Vec<(f64, bool)> = self
            .near(y, 0.0)
            .filter(|(a, b, _)| a[1] <= y && y < b[1])
            .map(|&(a, b, up)| (a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]), up))
            .collect();
        crossings.sort_by(|p, q| p.0.total_cmp(&q.0));
        let mut out = Vec::new();
        let (mut wound, mut start) = (0i64, 0.0);
        for (x, up) in crossings {
            let before = wound;
            // Material lies to the left of the way: a side that goes down has it to its right.
            wound += if up { -1 } else { 1 };
            if before <= 0 && wound > 0 {
                start = x;
            } else if before > 0 && wound <= 0 {
                out.push([start, x]);
            }
        }
        out
    }

    /// Material grown by `reach` along a line, as intervals apart from each other.
    fn grown(&self, y: f64, reach: f64) -> Vec<Interval> {
        let mut all = self.material(y);
        all.extend(
            self.near(y, reach)
                .filter_map(|&(a, b, _)| chord(a, b, y, reach)),
        );
        all.sort_by(|p, q| p[0].total_cmp(&q[0]));
        let mut out: Vec<Interval> = Vec::new();
        for [from, to] in all {
            match out.last_mut() {
                Some(last) if from <= last[1] => last[1] = last[1].max(to),
                _ => out.push([from, to]),
            }
        }
        out
    }
}

/// What a segment grown by `reach` covers of a line; it is convex, so one interval.
fn chord(a: [f64; 2], b: [f64; 2], y: f64, reach: f64) -> Option<Interval> {
    let mut found: Option<Interval> = None;
    let mut add = |from: f64, to: f64| {
        found = Some(found.map_or([from, to], |[f, t]| [f.min(from), t.max(to)]));
    };
    for end in [a, b] {
        let square = reach * reach - (y - end[1]) * (y - end[1]);
        if square >= 0.0 {
            let half = square.sqrt();
            add(end[0] - half, end[0] + half);
        }
    }
    let d = [b[0] - a[0], b[1] - a[1]];
    let long = libm::hypot(d[0], d[1]);
    if long > 0.0 {
        // The corners of the bar between the round ends.
        let n = [-d[1] / long * reach, d[0] / long * reach];
        let corners = [
            [a[0] + n[0], a[1] + n[1]],
            [b[0] + n[0], b[1] + n[1]],
            [b[0] - n[0], b[1] - n[1]],
            [a[0] - n[0], a[1] - n[1]],
        ];
        for i in 0..4 {
            let (p, q) = (corners[i], corners[(i + 1) % 4]);
            if (p[1] <= y) != (q[1] <= y) {
                let x = p[0] + (y - p[1]) / (q[1] - p[1]) * (q[0] - p[0]);
                add(x, x);
            }
        }
    }
    found
}

fn length(intervals: &[Interval]) -> f64 {
    intervals.iter().map(|[from, to]| to - from).sum()
}

/// Length that two sets of intervals share, each in order and apart.
fn shared(one: &[Interval], other: &[Interval]) -> f64 {
    let (mut i, mut k, mut sum) = (0, 0, 0.0);
    while i < one.len() && k < other.len() {
        let (from, to) = (one[i][0].max(other[k][0]), one[i][1].min(other[k][1]));
        sum += (to - from).max(0.0);
        if one[i][1] < other[k][1] {
            i += 1;
        } else {
            k += 1;
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn square(low: f64, high: f64) -> Contour {
        Contour {
            points: vec![[low, low], [high, low], [high, high], [low, high]],
            closed: true,
        }
    }

    /// Steiner: a convex outline grown by r has A + L r + pi r^2. A square of 10: 100 + 40 + pi at 1 mm.
    #[test]
    fn a_square_grows_by_steiners_formula() {
        let got = grown_mm2(&[square(0.0, 10.0)], 1.0, 0.002);
        assert!((got - (140.0 + PI)).abs() < 1e-4, "{got}");
        let hole: Contour = Contour {
            points: square(3.0, 7.0).points.into_iter().rev().collect(),
            closed: true,
        };
        // The hole of 4 shrinks to a square of 2.
        let got = grown_mm2(&[square(0.0, 10.0), hole], 1.0, 0.002);
        assert!((got - (140.0 + PI - 4.0)).abs() < 1e-4, "{got}");
    }

    /// A square of 14 over one of 10, both about the same middle: a rim of 2 mm, of which 1 mm is reached; the reach
    /// is round at the corners. 196 - (140 + pi).
    #[test]
    fn a_wider_layer_lies_beyond_by_a_rim() {
        let got = beyond_mm2(&[square(-2.0, 12.0)], &[square(0.0, 10.0)], 1.0, 0.002);
        assert!((got - (56.0 - PI)).abs() < 1e-4, "{got}");
        assert_eq!(
            beyond_mm2(&[square(0.0, 9.0)], &[square(0.0, 10.0)], 1.0, 0.1),
            0.0
        );
        assert!((beyond_mm2(&[square(0.0, 9.0)], &[], 1.0, 0.1) - 81.0).abs() < 1e-9);
        assert_eq!(beyond_mm2(&[], &[square(0.0, 9.0)], 1.0, 0.1), 0.0);
    }
}
