//! Chains that a crack left open, closed within the layer.
//!
//! A crack of a few micrometres parts a chain where the cut crosses it; so does a vertex that lies on an edge of its
//! neighbour without being a corner of it. The nearest ends are joined first, an end only with a beginning, so that
//! material stays to the left. What is further apart than the caller allows stays open.

use crate::contour::{Contour, Layer};

/// Joins the ends of open chains that are at most `gap_mm` apart, in place; returns how many gaps were closed.
/// The order of the contours that were closed does not change; what was joined comes after them.
pub fn close(layer: &mut Layer, gap_mm: f64) -> usize {
    if layer.contours.iter().all(|c| c.closed) {
        return 0;
    }
    let (closed, open): (Vec<Contour>, Vec<Contour>) = std::mem::take(&mut layer.contours)
        .into_iter()
        .partition(|c| c.closed);
    layer.contours = closed;
    let next = partners(&open, gap_mm);
    let mut led_to = vec![false; open.len()];
    for &j in next.iter().flatten() {
        led_to[j] = true;
    }
    let mut used = vec![false; open.len()];
    // Chains that nothing leads to begin what stays open; then the rings.
    let starts = (0..open.len()).filter(|&i| !led_to[i]);
    for start in starts.chain(0..open.len()) {
        if used[start] {
            continue;
        }
        let mut points: Vec<[f64; 2]> = Vec::new();
        let mut at = Some(start);
        while let Some(i) = at.filter(|&i| !used[i]) {
            used[i] = true;
            let again = points.last() == open[i].points.first();
            points.extend(open[i].points.iter().skip(usize::from(again)));
            at = next[i];
        }
        let closed = at == Some(start);
        if closed && points.first() == points.last() {
            points.pop();
        }
        if !closed || points.len() > 2 {
            layer.contours.push(Contour { points, closed });
        }
    }
    next.iter().flatten().count()
}

/// The chain whose beginning each chain's end is joined to: nearest pairs first.
fn partners(open: &[Contour], gap_mm: f64) -> Vec<Option<usize>> {
    let mut starts: Vec<([f64; 2], usize)> = Vec::new();
    for (i, chain) in open.iter().enumerate() {
        starts.extend(chain.points.first().map(|&p| (p, i)));
    }
    starts.sort_by(|a, b| a.0[0].total_cmp(&b.0[0]).then(a.1.cmp(&b.1)));
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (i, chain) in open.iter().enumerate() {
        let Some(&[x, y]) = chain.points.last() else {
            continue;
        };
        let from = starts.partition_point(|(p, _)| p[0] < x - gap_mm);
        for &(p, j) in starts[from..]
            .iter()
            .take_while(|(p, _)| p[0] <= x + gap_mm)
        {
            let square = (p[0] - x) * (p[0] - x) + (p[1] - y) * (p[1] - y);
            if square <= gap_mm * gap_mm {
                pairs.push((square, i, j));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut next = vec![None; open.len()];
    let mut taken = vec![false; open.len()];
    for (_, i, j) in pairs {
        if next[i].is_none() && !taken[j] {
            next[i] = Some(j);
            taken[j] = true;
        }
    }
    next
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chain(points: &[[f64; 2]]) -> Contour {
        Contour {
            points: points.to_vec(),
            closed: false,
        }
    }

    #[test]
    fn a_square_in_two_halves_becomes_a_ring() {
        let mut layer = Layer {
            contours: vec![
                chain(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]]),
                chain(&[[10.0, 10.001], [0.0, 10.001], [0.0, 0.001]]),
            ],
            ..Layer::default()
        };
        let apart = layer.clone();
        assert_eq!(close(&mut layer, 1e-4), 0);
        assert_eq!(layer, apart);
        assert_eq!(close(&mut layer, 0.01), 2);
        assert_eq!(layer.contours.len(), 1);
        assert!(layer.contours[0].closed);
        assert!((layer.area_mm2() - 100.01).abs() < 1e-6);
    }

    #[test]
    fn a_wide_gap_stays_and_a_chain_closes_on_itself() {
        let mut layer = Layer {
            contours: vec![
                chain(&[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 0.01]]),
                chain(&[[5.0, 0.0], [6.0, 0.0]]),
                chain(&[[6.0, 0.0], [7.0, 0.0]]),
            ],
            ..Layer::default()
        };
        assert_eq!(close(&mut layer, 0.02), 2);
        assert_eq!(layer.contours.len(), 2);
        assert_eq!(
            layer.contours[0].points,
            [[5.0, 0.0], [6.0, 0.0], [7.0, 0.0]]
        );
        assert!(!layer.contours[0].closed && layer.contours[1].closed);
    }

    #[test]
    fn ends_crowding_at_one_place_are_each_used_once() {
        let spoke = |k: f64| chain(&[[0.0, 0.0], [k, 1.0], [k, 2.0], [0.0, 0.0]]);
        let mut layer = Layer {
            contours: (1..20).map(|k| spoke(f64::from(k))).collect(),
            ..Layer::default()
        };
        assert_eq!(close(&mut layer, 0.01), 19);
        assert_eq!(layer.open(), 0);
    }
}
