//! Convex hulls in the plane. What a flat outline needs to know about itself; it knows no plate and no part.
//!
//! Andrew's monotone chain (A. M. Andrew, "Another efficient algorithm for convex hulls in two
//! dimensions", Information Processing Letters 9(5), 1979), decided by exact orientation
//! (J. R. Shewchuk, "Adaptive precision floating-point arithmetic and fast robust geometric
//! predicates", 1997). Points strictly inside a coarse hull are dropped first
//! (S. G. Akl and G. T. Toussaint, "A fast convex hull algorithm", 1978): no hull vertex is ever lost.

use robust::{Coord, orient2d};

/// Points are hulled in pieces of this many; the hull of the pieces' hulls is the hull of all.
const CHUNK: usize = 1 << 16;

/// Twice the signed area of the triangle a b c, its sign exact: above 0 where c lies left of a -> b.
fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    let at = |p: [f64; 2]| Coord { x: p[0], y: p[1] };
    orient2d(at(a), at(b), at(c))
}

/// The convex hull of points, counter-clockwise from the leftmost (then lowest) point, without
/// points on its edges.
///
/// One point for coincident points, two for points on a line, none for none. Coordinates must be finite.
pub fn convex_hull(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let pieces = parallel::chunks(points.len(), CHUNK, |range| {
        chain(outer_points(&points[range]))
    });
    if pieces.len() == 1 {
        return pieces.into_iter().next().unwrap_or_default();
    }
    chain(pieces.concat())
}

/// The points that are not strictly inside the hull of the extremes along eight directions.
fn outer_points(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    const DIRECTIONS: [[f64; 2]; 8] = [
        [1.0, 0.0],
        [1.0, 1.0],
        [0.0, 1.0],
        [-1.0, 1.0],
        [-1.0, 0.0],
        [-1.0, -1.0],
        [0.0, -1.0],
        [1.0, -1.0],
    ];
    let Some(&first) = points.first() else {
        return Vec::new();
    };
    let mut extremes = [(first, f64::NEG_INFINITY); 8];
    for &p in points {
        for (best, d) in extremes.iter_mut().zip(DIRECTIONS) {
            let reach = p[0] * d[0] + p[1] * d[1];
            if reach > best.1 {
                *best = (p, reach);
            }
        }
    }
    let coarse = chain(extremes.map(|e| e.0).to_vec());
    if coarse.len() < 3 {
        return points.to_vec();
    }
    // A point with one of the extremes along the diagonals in each of its four open quadrants lies
    // strictly inside them: four comparisons settle most points.
    let [ne, nw, sw, se] = [1, 3, 5, 7].map(|k| extremes[k].0);
    let low = [sw[0].max(nw[0]), sw[1].max(se[1])];
    let high = [se[0].min(ne[0]), nw[1].min(ne[1])];
    let inside = |p: [f64; 2]| {
        if p[0] > low[0] && p[0] < high[0] && p[1] > low[1] && p[1] < high[1] {
            return true;
        }
        (0..coarse.len()).all(|i| turn(coarse[i], coarse[(i + 1) % coarse.len()], p) > 0.0)
    };
    points.iter().copied().filter(|&p| !inside(p)).collect()
}

fn chain(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let mut hull: Vec<[f64; 2]> = Vec::new();
    let mut half = |ordered: &mut dyn Iterator<Item = [f64; 2]>| {
        let base = hull.len();
        for p in ordered {
            while hull.len() >= base + 2
                && turn(hull[hull.len() - 2], hull[hull.len() - 1], p) <= 0.0
            {
                hull.pop();
            }
            hull.push(p);
        }
        hull.pop();
    };
    half(&mut points.iter().copied());
    half(&mut points.iter().rev().copied());
    hull
}

/// Area of a counter-clockwise polygon, mm2 (the shoelace formula, about its first point).
pub fn polygon_area_mm2(polygon: &[[f64; 2]]) -> f64 {
    let Some(&o) = polygon.first() else {
        return 0.0;
    };
    let twice: f64 = polygon
        .windows(2)
        .map(|w| (w[0][0] - o[0]) * (w[1][1] - o[1]) - (w[1][0] - o[0]) * (w[0][1] - o[1]))
        .sum();
    0.5 * twice
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn small_cases_are_what_geometry_says() {
        assert!(convex_hull(&[]).is_empty());
        assert_eq!(convex_hull(&[[1.0, 2.0]; 5]), vec![[1.0, 2.0]]);
        let line: Vec<[f64; 2]> = (0..9).map(|k| [f64::from(k), 2.0 * f64::from(k)]).collect();
        assert_eq!(convex_hull(&line), vec![[0.0, 0.0], [8.0, 16.0]]);
        let square = [
            [0.0, 0.0],
            [2.0, 0.0],
            [1.0, 0.0],
            [1.0, 1.0],
            [2.0, 2.0],
            [0.0, 2.0],
        ];
        assert_eq!(
            convex_hull(&square),
            vec![[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]
        );
        assert_eq!(polygon_area_mm2(&convex_hull(&square)), 4.0);
    }

    #[test]
    fn a_regular_polygon_keeps_every_corner_and_no_inner_point() {
        // Area of a regular n-gon of circumradius r: n r^2 sin(2 pi / n) / 2 (elementary geometry).
        let n = 300_000;
        let mut points = Vec::new();
        for k in 0..n {
            let a = std::f64::consts::TAU * f64::from(k) / f64::from(n);
            points.push([100.0 * libm::cos(a), 100.0 * libm::sin(a)]);
            points.push([60.0 * libm::cos(a), 60.0 * libm::sin(a)]);
        }
        let hull = convex_hull(&points);
        let exact = 0.5 * f64::from(n) * 1e4 * libm::sin(std::f64::consts::TAU / f64::from(n));
        assert!((polygon_area_mm2(&hull) / exact - 1.0).abs() < 1e-9);
        assert!(hull.iter().all(|p| libm::hypot(p[0], p[1]) > 99.0));
    }

    proptest! {
        #[test]
        fn the_hull_is_convex_and_holds_every_point(
            points in prop::collection::vec((-50i32..50, -50i32..50), 1..80)
        ) {
            let points: Vec<[f64; 2]> =
                points.iter().map(|&(x, y)| [f64::from(x) * 0.1, f64::from(y) * 0.1]).collect();
            let hull = convex_hull(&points);
            let n = hull.len();
            if n >= 3 {
                for i in 0..n {
                    prop_assert!(turn(hull[i], hull[(i + 1) % n], hull[(i + 2) % n]) > 0.0);
                    for &p in &points {
                        prop_assert!(turn(hull[i], hull[(i + 1) % n], p) >= 0.0);
                    }
                }
            }
            for p in &hull {
                prop_assert!(points.contains(p));
            }
        }
    }
}
