//! The outline of what a layer's contours bound together: where shells overlap or touch, what lies within is no border.
//!
//! Pieces between crossings are kept where the winding number is above 0 on their left and not on their right, looked
//! at a little way off ([`TOUCHING_MM`]), so that bodies that touch, or miss each other by rounding, are one.

use crate::Contour;
use crate::outline::{Outline, Seen, Segment, Side};

/// Bodies nearer than this touch, mm.
pub const TOUCHING_MM: f64 = 0.01;
/// Material is looked for this near to a border, mm: the thinnest film counts.
const INSIDE_MM: f64 = 1e-5;

/// The segments of the union's border, material to their left; `None` where the contours are that border already.
pub fn united(contours: &[Contour]) -> Option<Vec<Segment>> {
    // Cells of half a millimetre: what is asked for is where contours touch, and which way a level line crosses them.
    let outline = Outline::new(contours, Side::Material, 0.5);
    let mut seen = Seen::default();
    let mut near = Vec::new();
    let mut cuts: Vec<f64> = Vec::new();
    let mut kept = Vec::with_capacity(outline.segments.len());
    let mut changed = false;
    for (k, s) in outline.segments.iter().enumerate() {
        cuts.clear();
        outline.near(s, TOUCHING_MM, &mut seen, &mut near);
        for &other in near.iter().filter(|&&other| other as usize != k) {
            cut(s, &outline.segments[other as usize], &mut cuts);
        }
        cuts.sort_by(f64::total_cmp);
        let mut from = 0.0;
        let mut run: Option<f64> = None;
        for to in cuts.iter().copied().chain([s.length]) {
            if to - from < INSIDE_MM && to < s.length {
                continue;
            }
            if borders(&outline, &mut seen, s, 0.5 * (from + to)) {
                run = run.or(Some(from));
            } else {
                changed = true;
                close(s, run.take(), from, &mut kept);
            }
            from = to;
        }
        close(s, run, s.length, &mut kept);
    }
    changed.then_some(kept)
}

fn close(s: &Segment, from: Option<f64>, to: f64, kept: &mut Vec<Segment>) {
    kept.extend(from.and_then(|from| {
        let end = if to == s.length { s.end } else { s.at(to) };
        Segment::new(if from == 0.0 { s.start } else { s.at(from) }, end)
    }));
}

/// Whether material lies to the left of a point of a segment and none to its right.
fn borders(outline: &Outline, seen: &mut Seen, s: &Segment, t: f64) -> bool {
    let ([x, y], n) = (s.at(t), s.inward());
    let beside = |by: f64| [x + by * n[0], y + by * n[1]];
    outline.winding(beside(INSIDE_MM), seen) > 0 && outline.winding(beside(-TOUCHING_MM), seen) <= 0
}

/// Where on `s` the other segment crosses it or begins or ends beside it.
fn cut(s: &Segment, other: &Segment, cuts: &mut Vec<f64>) {
    let (d, n) = (s.along, s.inward());
    let place = |p: [f64; 2]| {
        let (x, y) = (p[0] - s.start[0], p[1] - s.start[1]);
        (x * d[0] + y * d[1], x * n[0] + y * n[1])
    };
    let ((u0, h0), (u1, h1)) = (place(other.start), place(other.end));
    let mut push = |t: f64| {
        if t > 0.0 && t < s.length {
            cuts.push(t);
        }
    };
    for (u, h) in [(u0, h0), (u1, h1)] {
        if h.abs() <= TOUCHING_MM {
            push(u);
        }
    }
    // Where it crosses the line itself, and the line that its right side is looked at from.
    for level in [0.0, -TOUCHING_MM] {
        if (h0 - level) * (h1 - level) < 0.0 {
            push(u0 + (u1 - u0) * (level - h0) / (h1 - h0));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, w: f64, h: f64) -> Contour {
        Contour {
            points: vec![[x, y], [x + w, y], [x + w, y + h], [x, y + h]],
            closed: true,
        }
    }

    fn length(segments: &[Segment]) -> f64 {
        segments.iter().map(|s| s.length).sum()
    }

    // Analytic: outlines of unions of squares.
    #[test]
    fn what_lies_within_is_no_border() {
        assert!(united(&[square(0.0, 0.0, 10.0, 10.0), square(12.0, 0.0, 4.0, 4.0)]).is_none());
        let mut hole = square(2.0, 2.0, 3.0, 3.0);
        hole.points.reverse();
        assert!(united(&[square(0.0, 0.0, 10.0, 10.0), hole]).is_none());
        let overlap = united(&[square(0.0, 0.0, 10.0, 10.0), square(9.7, 2.0, 5.0, 5.0)]);
        let border = length(&overlap.expect("they overlap"));
        assert!((border - (40.0 + 2.0 * 4.7)).abs() < 0.05, "{border}");
        let inner = united(&[square(0.0, 0.0, 10.0, 10.0), square(3.0, 3.0, 2.0, 2.0)]);
        assert_eq!(length(&inner.expect("one lies in the other")), 40.0);
        let touching = united(&[
            square(0.0, 0.0, 0.5, 10.0),
            square(0.500_01, 0.0, 0.5, 10.0),
        ]);
        let border = length(&touching.expect("they touch"));
        assert!((border - 22.0).abs() < 0.1, "{border}");
    }
}
