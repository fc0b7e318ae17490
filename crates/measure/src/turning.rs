//! How wide and deep a convex outline is at every angle it can be turned by on a plate.
//!
//! Between two neighbouring angles at which an edge of the outline stands upright or lies flat, the
//! same pair of corners bounds the width and the same pair the depth, so both are sinusoids of the
//! angle (M. I. Shamos, "Computational geometry", 1978: antipodal pairs, rotating calipers). Both are
//! concave there, so the room left on a plate is largest either at an end of such an interval or where
//! the room in width equals the room in depth: every candidate has a closed form, and the largest of
//! them is the largest of all angles. No angle is sampled.
//!
//! Angles are counter-clockwise seen from above. Half a turn changes nothing, so they run from 0 to 180.
//! It knows sizes only, no limit: a negative slack is a number, not a verdict.

use std::f64::consts::{FRAC_PI_2, PI};

/// An outline turned by an angle, against a rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turned {
    /// The turn, degrees counter-clockwise, from 0 to less than 180.
    pub turn_deg: f64,
    /// Extent along the plate's x, mm.
    pub width_mm: f64,
    /// Extent along the plate's y, mm.
    pub depth_mm: f64,
    /// The lesser of plate width less width and plate depth less depth, mm; below 0 it is over by that much.
    pub slack_mm: f64,
}

/// An interval of angles, radians, in which width and depth are each one sinusoid.
struct Span {
    from: f64,
    to: f64,
    /// width = w[0] cos + w[1] sin, mm
    w: [f64; 2],
    /// depth = d[0] cos + d[1] sin, mm
    d: [f64; 2],
}

fn along(wave: [f64; 2], angle: f64) -> f64 {
    wave[0] * libm::cos(angle) + wave[1] * libm::sin(angle)
}

/// Width and depth, mm, of a convex outline turned by an angle in degrees; multiples of 90 are exact.
pub fn extent_mm(hull: &[[f64; 2]], turn_deg: f64) -> [f64; 2] {
    let (sin, cos) = sin_cos_deg(turn_deg);
    let range = |x: f64, y: f64| {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for p in hull {
            let t = p[0] * x + p[1] * y;
            low = low.min(t);
            high = high.max(t);
        }
        (high - low).max(0.0)
    };
    if hull.is_empty() {
        return [0.0, 0.0];
    }
    [range(cos, -sin), range(sin, cos)]
}

fn sin_cos_deg(deg: f64) -> (f64, f64) {
    let quarters = deg / 90.0;
    if quarters == libm::trunc(quarters) {
        match libm::fmod(quarters, 4.0) as i32 {
            0 => (0.0, 1.0),
            1 | -3 => (1.0, 0.0),
            2 | -2 => (0.0, -1.0),
            _ => (-1.0, 0.0),
        }
    } else {
        let a = deg.to_radians();
        (libm::sin(a), libm::cos(a))
    }
}

/// The outline turned by `turn_deg` against a rectangle of `width_mm` by `depth_mm`.
pub fn at(hull: &[[f64; 2]], turn_deg: f64, width_mm: f64, depth_mm: f64) -> Turned {
    let [w, d] = extent_mm(hull, turn_deg);
    Turned {
        turn_deg,
        width_mm: w,
        depth_mm: d,
        slack_mm: (width_mm - w).min(depth_mm - d),
    }
}

/// The corner furthest along a direction, climbing from corner `i`.
fn climb(hull: &[[f64; 2]], mut i: usize, dir: [f64; 2]) -> usize {
    let n = hull.len();
    let reach = |k: usize| hull[k][0] * dir[0] + hull[k][1] * dir[1];
    loop {
        let (next, prev) = ((i + 1) % n, (i + n - 1) % n);
        if reach(next) > reach(i) {
            i = next;
        } else if reach(prev) > reach(i) {
            i = prev;
        } else {
            return i;
        }
    }
}

fn spans(hull: &[[f64; 2]]) -> Vec<Span> {
    let n = hull.len();
    if n == 0 {
        return Vec::new();
    }
    let mut ends = vec![0.0, PI];
    for i in 0..n {
        let (a, b) = (hull[i], hull[(i + 1) % n]);
        let flat = -libm::atan2(b[1] - a[1], b[0] - a[0]);
        let first = flat - FRAC_PI_2 * libm::floor(flat / FRAC_PI_2);
        ends.push(first.min(FRAC_PI_2));
        ends.push((first + FRAC_PI_2).min(PI));
    }
    ends.sort_by(f64::total_cmp);
    ends.dedup();
    let mut corner = [0usize; 4];
    let mut spans = Vec::with_capacity(ends.len());
    for pair in ends.windows(2) {
        let mid = 0.5 * (pair[0] + pair[1]);
        let (sin, cos) = (libm::sin(mid), libm::cos(mid));
        let dirs = [[cos, -sin], [-cos, sin], [sin, cos], [-sin, -cos]];
        for (i, dir) in corner.iter_mut().zip(dirs) {
            *i = climb(hull, *i, dir);
        }
        let [right, left, top, bottom] = corner.map(|i| hull[i]);
        spans.push(Span {
            from: pair[0],
            to: pair[1],
            w: [right[0] - left[0], left[1] - right[1]],
            d: [top[1] - bottom[1], top[0] - bottom[0]],
        });
    }
    spans
}

/// The angles within a span at which `wave` takes the value `level`: at most two, in order.
fn crossings(span: &Span, wave: [f64; 2], level: f64) -> Vec<f64> {
    let size = libm::hypot(wave[0], wave[1]);
    // A negated comparison, so that a wave of no size gives no crossing.
    if !(size > 0.0 && level.abs() <= size) {
        return Vec::new();
    }
    let phase = libm::atan2(wave[1], wave[0]);
    let off = libm::acos((level / size).clamp(-1.0, 1.0));
    let mut found: Vec<f64> = [phase - off, phase + off]
        .into_iter()
        .map(|a| a - 2.0 * PI * libm::floor(a / (2.0 * PI)))
        .filter(|&a| a > span.from && a < span.to)
        .collect();
    found.sort_by(f64::total_cmp);
    found
}

/// The turn that leaves the most room on a rectangle of `width_mm` by `depth_mm`, over all angles;
/// the least turn of equals (within 1e-9 mm). `None` for an outline without points.
///
/// Where the best slack is below 0, the outline fits at no angle, and this is the angle at which the
/// larger of its two overshoots is least.
pub fn best_turn(hull: &[[f64; 2]], width_mm: f64, depth_mm: f64) -> Option<Turned> {
    if hull.is_empty() {
        return None;
    }
    const EQUAL_MM: f64 = 1e-9;
    let mut best = at(hull, 0.0, width_mm, depth_mm);
    let mut offer = |found: Turned| {
        if found.slack_mm > best.slack_mm + EQUAL_MM {
            best = found;
        }
    };
    for span in spans(hull) {
        let even = [span.w[0] - span.d[0], span.w[1] - span.d[1]];
        let inner = crossings(&span, even, width_mm - depth_mm);
        for angle in std::iter::once(span.from).chain(inner) {
            let (w, d) = (along(span.w, angle), along(span.d, angle));
            offer(Turned {
                turn_deg: angle.to_degrees(),
                width_mm: w,
                depth_mm: d,
                slack_mm: (width_mm - w).min(depth_mm - d),
            });
        }
    }
    Some(best)
}

/// Every range of angles, degrees, in which the outline lies within `width_mm` by `depth_mm`, from 0 to
/// 180 in order; a range that is a single angle may be missing.
pub fn fitting_ranges_deg(hull: &[[f64; 2]], width_mm: f64, depth_mm: f64) -> Vec<[f64; 2]> {
    let mut ranges: Vec<[f64; 2]> = Vec::new();
    for span in spans(hull) {
        let mut cuts = vec![span.from];
        cuts.extend(crossings(&span, span.w, width_mm));
        cuts.extend(crossings(&span, span.d, depth_mm));
        cuts.push(span.to);
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.windows(2) {
            let mid = 0.5 * (pair[0] + pair[1]);
            if along(span.w, mid) <= width_mm && along(span.d, mid) <= depth_mm {
                match ranges.last_mut() {
                    Some(last) if last[1] == pair[0] => last[1] = pair[1],
                    _ => ranges.push([pair[0], pair[1]]),
                }
            }
        }
    }
    ranges.into_iter().map(|r| r.map(f64::to_degrees)).collect()
}

/// A turn a person can dial in: the nearest multiple of the coarsest of `steps_deg` that keeps
/// `kept` (0 to 1) of the best slack; the best turn itself where none does or nothing fits.
pub fn plain_turn(
    hull: &[[f64; 2]],
    best: Turned,
    width_mm: f64,
    depth_mm: f64,
    steps_deg: &[f64],
    kept: f64,
) -> Turned {
    if best.slack_mm <= 0.0 {
        return best;
    }
    steps_deg
        .iter()
        .map(|step| libm::round(best.turn_deg / step) * step)
        .map(|turn| at(hull, libm::fmod(turn, 180.0), width_mm, depth_mm))
        .find(|found| found.slack_mm >= kept * best.slack_mm)
        .unwrap_or(best)
}

/// The rectangle of least area around an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectangle {
    /// The longer side, mm.
    pub long_mm: f64,
    /// The shorter side, mm.
    pub short_mm: f64,
    /// The turn, degrees, after which its longer side lies along x.
    pub turn_deg: f64,
}

/// The rectangle of least area around a convex outline: one of its sides lies on an edge (H. Freeman
/// and R. Shapira, "Determining the minimum-area encasing rectangle for an arbitrary closed curve",
/// Communications of the ACM 18(7), 1975). `None` for an outline without points.
pub fn least_rectangle(hull: &[[f64; 2]]) -> Option<Rectangle> {
    let mut best: Option<Rectangle> = None;
    for span in spans(hull) {
        let (w, d) = (along(span.w, span.from), along(span.d, span.from));
        if w >= d && best.is_none_or(|b| w * d < b.long_mm * b.short_mm) {
            best = Some(Rectangle {
                long_mm: w,
                short_mm: d.max(0.0),
                turn_deg: span.from.to_degrees(),
            });
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hull2::convex_hull;
    use proptest::prelude::*;

    fn bar(p: f64, q: f64) -> Vec<[f64; 2]> {
        vec![[0.0, 0.0], [p, 0.0], [p, q], [0.0, q]]
    }

    /// A p x q rectangle (p >= q) fits in an a x b one (a >= b) exactly when p <= a and q <= b, or when
    /// p > a, q <= b and b >= (2 p q a + (p^2 - q^2) sqrt(p^2 + q^2 - a^2)) / (p^2 + q^2).
    /// W. B. Carver, "Solution to problem E 1225", American Mathematical Monthly 64(2), 1957;
    /// J. E. Wetzel, "Rectangles in rectangles", Mathematics Magazine 73(3), 2000.
    fn carver(p: f64, q: f64, a: f64, b: f64) -> bool {
        (p <= a && q <= b)
            || (p > a
                && q <= b
                && b >= (2.0 * p * q * a + (p * p - q * q) * (p * p + q * q - a * a).sqrt())
                    / (p * p + q * q))
    }

    #[test]
    fn a_long_bar_fits_a_square_plate_only_diagonally() {
        let hull = bar(200.0, 10.0);
        assert_eq!(at(&hull, 0.0, 150.0, 150.0).slack_mm, -50.0);
        assert_eq!(at(&hull, 90.0, 150.0, 150.0).slack_mm, -50.0);
        let best = best_turn(&hull, 150.0, 150.0).expect("it has corners");
        // On a square plate the best turn of a bar is 45 degrees: width = depth = (p + q) / sqrt 2.
        assert!((best.turn_deg - 45.0).abs() < 1e-9, "{best:?}");
        assert!((best.slack_mm - (150.0 - 210.0 / 2f64.sqrt())).abs() < 1e-9);
        let ranges = fitting_ranges_deg(&hull, 150.0, 150.0);
        assert_eq!(ranges.len(), 2, "45 and 135 degrees: {ranges:?}");
        assert!(ranges[0][0] < 45.0 && ranges[0][1] > 45.0);
        // 10 x 202 would need (202 + 10) / sqrt 2 = 149.9; 10 x 203 needs 150.6.
        assert!(best_turn(&bar(202.0, 10.0), 150.0, 150.0).unwrap().slack_mm > 0.0);
        assert!(best_turn(&bar(203.0, 10.0), 150.0, 150.0).unwrap().slack_mm < 0.0);
    }

    #[test]
    fn a_plate_that_is_just_as_large_has_no_slack_and_no_overshoot() {
        let hull = bar(220.0, 220.0);
        assert_eq!(best_turn(&hull, 220.0, 220.0).unwrap().slack_mm, 0.0);
        let hull = bar(100.0, 220.0);
        assert_eq!(at(&hull, 90.0, 220.0, 100.0).slack_mm, 0.0);
    }

    #[test]
    fn points_and_lines_are_outlines_too() {
        assert_eq!(best_turn(&[], 10.0, 10.0), None);
        assert!(fitting_ranges_deg(&[], 10.0, 10.0).is_empty());
        let point = best_turn(&[[3.0, 4.0]], 10.0, 20.0).unwrap();
        assert_eq!((point.width_mm, point.slack_mm), (0.0, 10.0));
        // A stick of length 13 in a 12 x 5 rectangle lies on its diagonal, at atan2(5, 12) or its mirror.
        let stick = best_turn(&[[0.0, 0.0], [13.0, 0.0]], 12.0, 5.0).unwrap();
        assert!(stick.slack_mm.abs() < 1e-9, "{stick:?}");
        assert!((stick.turn_deg - 22.619_864_948_040_43).abs() < 1e-6);
    }

    #[test]
    fn a_plain_turn_is_taken_where_it_costs_little() {
        let hull = bar(200.0, 10.0);
        let best = best_turn(&hull, 160.0, 150.0).unwrap();
        let plain = plain_turn(&hull, best, 160.0, 150.0, &[45.0, 5.0, 1.0], 0.1);
        assert_eq!(plain.turn_deg, 45.0);
        let exact = plain_turn(&hull, best, 160.0, 150.0, &[45.0], 0.999);
        assert_eq!(exact, best);
    }

    #[test]
    fn the_least_rectangle_of_a_turned_bar_is_the_bar() {
        let (sin, cos) = (libm::sin(0.4), libm::cos(0.4));
        let hull: Vec<[f64; 2]> = bar(30.0, 7.0)
            .iter()
            .map(|p| [p[0] * cos - p[1] * sin, p[0] * sin + p[1] * cos])
            .collect();
        let r = least_rectangle(&hull).expect("it has corners");
        assert!((r.long_mm - 30.0).abs() < 1e-9 && (r.short_mm - 7.0).abs() < 1e-9);
        assert!((r.turn_deg - (180.0 - 0.4f64.to_degrees())).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn bars_fit_exactly_where_the_published_condition_says(
            p in 1.0f64..300.0, share in 0.01f64..1.0, a in 50.0f64..300.0, ratio in 0.3f64..1.0
        ) {
            let (q, b) = (p * share, a * ratio);
            let best = best_turn(&bar(p, q), a, b).expect("it has corners");
            // Nearer than 1e-7 mm to the limit, rounding decides on either side.
            prop_assume!(best.slack_mm.abs() > 1e-7);
            prop_assert_eq!(best.slack_mm > 0.0, carver(p, q, a, b), "{:?}", best);
            prop_assert_eq!(best.slack_mm > 0.0, !fitting_ranges_deg(&bar(p, q), a, b).is_empty());
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        #[test]
        fn no_angle_of_a_fine_sweep_beats_the_closed_form(
            points in prop::collection::vec((-100.0f64..100.0, -100.0f64..100.0), 1..30),
            w in 20.0f64..250.0, d in 20.0f64..250.0
        ) {
            let points: Vec<[f64; 2]> = points.iter().map(|&(x, y)| [x, y]).collect();
            let hull = convex_hull(&points);
            let best = best_turn(&hull, w, d).expect("it has corners");
            let mut swept = f64::NEG_INFINITY;
            for k in 0..18_000 {
                swept = swept.max(at(&hull, 0.01 * f64::from(k), w, d).slack_mm);
            }
            prop_assert!(swept <= best.slack_mm + 1e-9, "{} {:?}", swept, best);
            // A step of 0.01 degrees moves a corner 283 mm away by at most 0.05 mm.
            prop_assert!(swept >= best.slack_mm - 0.05);
            let again = at(&hull, best.turn_deg, w, d);
            prop_assert!((again.slack_mm - best.slack_mm).abs() < 1e-9);
        }
    }
}
