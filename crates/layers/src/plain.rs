//! A layer's contours without the points that say nothing: those a straight wall's facets leave on its line.
//!
//! The diagonals of flat walls are cut at another place in every layer. Without those points the layers of a prism are
//! the same, point by point, and what was decided on one holds for all.

use crate::Contour;

/// A point this near to the line between its neighbours says nothing, mm.
const OFF_MM: f64 = 1e-6;

/// The closed contours, each from its least point on, without points on a straight way; in order of their first points.
/// Open chains bound nothing and are left out.
pub fn plain(contours: &[Contour]) -> Vec<Contour> {
    let mut out: Vec<Contour> = contours.iter().filter_map(one).collect();
    out.sort_by(|a, b| order(&a.points[0], &b.points[0]).then(a.points.len().cmp(&b.points.len())));
    out
}

/// Whether two lists of plain contours are the same within a rounding.
pub fn same(a: &[Contour], b: &[Contour]) -> bool {
    let near = |p: &[f64; 2], q: &[f64; 2]| (0..2).all(|k| (p[k] - q[k]).abs() <= OFF_MM);
    a.len() == b.len()
        && a.iter().zip(b).all(|(a, b)| {
            a.points.len() == b.points.len()
                && a.points.iter().zip(&b.points).all(|(p, q)| near(p, q))
        })
}

fn order(a: &[f64; 2], b: &[f64; 2]) -> std::cmp::Ordering {
    a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1]))
}

fn one(contour: &Contour) -> Option<Contour> {
    let n = contour.points.len();
    if !contour.closed || n < 3 {
        return None;
    }
    // The least point is a corner: nothing lies on its other side.
    let first = (0..n).min_by(|&i, &j| order(&contour.points[i], &contour.points[j]))?;
    let at = |k: usize| contour.points[(first + k) % n];
    let mut points: Vec<[f64; 2]> = vec![at(0)];
    for k in 1..n {
        let (from, here, to) = (points[points.len() - 1], at(k), at(k + 1));
        if !straight(from, here, to) {
            points.push(here);
        }
    }
    (points.len() >= 3).then_some(Contour {
        points,
        closed: true,
    })
}

/// Whether `here` lies on the way from one point to the next.
fn straight(from: [f64; 2], here: [f64; 2], to: [f64; 2]) -> bool {
    let (ax, ay) = (here[0] - from[0], here[1] - from[1]);
    let (bx, by) = (to[0] - here[0], to[1] - here[1]);
    let (cx, cy) = (ax + bx, ay + by);
    let long = (cx * cx + cy * cy).sqrt();
    ax * ax + ay * ay <= OFF_MM * OFF_MM
        || (ax * bx + ay * by >= 0.0 && (ax * cy - ay * cx).abs() <= OFF_MM * long)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_on_the_way_go_and_corners_stay() {
        let ring = |points: &[[f64; 2]]| Contour {
            points: points.to_vec(),
            closed: true,
        };
        let a = ring(&[
            [5.0, 0.0],
            [5.0, 2.0],
            [5.0, 5.0],
            [0.0, 5.0],
            [0.0, 0.0],
            [1.0, 0.0],
        ]);
        let b = ring(&[
            [0.0, 0.0],
            [4.0, 0.0],
            [5.0, 0.0],
            [5.0, 5.0],
            [3.0, 5.0],
            [0.0, 5.0],
        ]);
        let (a, b) = (plain(&[a]), plain(&[b]));
        assert_eq!(
            a[0].points,
            [[0.0, 0.0], [5.0, 0.0], [5.0, 5.0], [0.0, 5.0]]
        );
        assert!(same(&a, &b));
        let c = plain(&[ring(&[[0.0, 0.0], [5.0, 0.0], [5.0, 5.001], [0.0, 5.0]])]);
        assert!(!same(&a, &c));
        assert!(plain(&[ring(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]])]).is_empty());
    }
}
