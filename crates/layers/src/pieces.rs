//! The separate pieces of a layer: an outer ring each, with the holes in it.
//!
//! A piece can be asked which piece of the layer below it stands on, without any offset or boolean. Rings are told outer from hole by their turn; a hole belongs to the
//! smallest outer ring around it.

use crate::contour::{Contour, Layer};

/// One piece of a layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece<'a> {
    /// The outer ring.
    pub outer: &'a Contour,
    /// The holes in it.
    pub holes: Vec<&'a Contour>,
    low: [f64; 2],
    high: [f64; 2],
}

/// Where level lines are laid through what the boxes of two pieces share, shares of its height.
const LEVELS: [f64; 9] = [0.5, 0.251, 0.749, 0.1, 0.9, 0.376, 0.624, 0.02, 0.98];

impl Piece<'_> {
    /// Every ring of the piece, the outer one first.
    pub fn rings(&self) -> impl Iterator<Item = &Contour> + Clone {
        std::iter::once(self.outer).chain(self.holes.iter().copied())
    }

    /// The box around the piece, mm: least and greatest corner.
    pub fn around_mm(&self) -> [[f64; 2]; 2] {
        [self.low, self.high]
    }

    /// Whether a point lies in the material; on a ring either answer may come.
    pub fn holds(&self, p: [f64; 2]) -> bool {
        (0..2).all(|k| self.low[k] <= p[k] && p[k] <= self.high[k])
            && holds(self.outer, p)
            && !self.holes.iter().any(|h| holds(h, p))
    }

    /// Whether two pieces of different layers lie over one another, judged on level lines through what their boxes
    /// share. Pieces that share only a small corner may be missed.
    pub fn meets(&self, other: &Piece) -> bool {
        let low = [0, 1].map(|k| self.low[k].max(other.low[k]));
        let high = [0, 1].map(|k| self.high[k].min(other.high[k]));
        if !(low[0] <= high[0] && low[1] <= high[1]) {
            return false;
        }
        LEVELS.iter().any(|share| {
            let y = low[1] + share * (high[1] - low[1]);
            share_a_stretch(&self.stretches(y), &other.stretches(y))
        })
    }

    /// The stretches of material on a level line, x from and to, in order.
    fn stretches(&self, y: f64) -> Vec<[f64; 2]> {
        let mut xs: Vec<f64> = self.rings().flat_map(|c| crossings(c, y)).collect();
        xs.sort_by(f64::total_cmp);
        xs.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect()
    }
}

/// Whether two ordered lists of stretches overlap by more than a point.
fn share_a_stretch(a: &[[f64; 2]], b: &[[f64; 2]]) -> bool {
    let (mut i, mut j) = (0, 0);
    while let (Some(p), Some(q)) = (a.get(i), b.get(j)) {
        if p[0].max(q[0]) < p[1].min(q[1]) {
            return true;
        }
        if p[1] < q[1] {
            i += 1;
        } else {
            j += 1;
        }
    }
    false
}

/// The pieces of a layer, in the order of their outer rings. Open chains bound nothing; a hole in no ring is left out.
pub fn pieces(layer: &Layer) -> Vec<Piece<'_>> {
    let mut found: Vec<Piece> = Vec::new();
    let mut holes: Vec<&Contour> = Vec::new();
    for c in &layer.contours {
        let area = c.area_mm2();
        if area > 0.0 {
            let (low, high) = around(c);
            found.push(Piece {
                outer: c,
                holes: Vec::new(),
                low,
                high,
            });
        } else if area < 0.0 {
            holes.push(c);
        }
    }
    for hole in holes {
        let (low, high) = around(hole);
        let size = |p: &Piece| (p.high[0] - p.low[0]) * (p.high[1] - p.low[1]);
        // The middle of the ring's first edge: a corner may be shared with the ring around it.
        let at = [0, 1].map(|k| 0.5 * (hole.points[0][k] + hole.points[1][k]));
        let smallest = found
            .iter_mut()
            .filter(|p| {
                (0..2).all(|k| p.low[k] <= low[k] && high[k] <= p.high[k]) && holds(p.outer, at)
            })
            .reduce(|a, b| if size(b) < size(a) { b } else { a });
        if let Some(piece) = smallest {
            piece.holes.push(hole);
        }
    }
    found
}

fn around(c: &Contour) -> ([f64; 2], [f64; 2]) {
    let mut low = [f64::INFINITY; 2];
    let mut high = [f64::NEG_INFINITY; 2];
    for p in &c.points {
        for k in 0..2 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    (low, high)
}

/// Edges of a ring, the closing one included.
fn edges(c: &Contour) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    let last = c.points.last().copied().unwrap_or_default();
    c.points.iter().scan(last, |a, &b| {
        let from = std::mem::replace(a, b);
        Some((from, b))
    })
}

/// Where the ring's edges cross a level line, x of each; a point on the line counts as above it.
fn crossings(c: &Contour, y: f64) -> impl Iterator<Item = f64> + '_ {
    edges(c)
        .filter(move |(a, b)| (a[1] < y) != (b[1] < y))
        .map(move |(a, b)| a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]))
}

/// Even-odd on one ring.
fn holds(c: &Contour, p: [f64; 2]) -> bool {
    crossings(c, p[1]).filter(|&x| x > p[0]).count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(at: [f64; 2], half: f64, hole: bool) -> Contour {
        let mut points = [[-half, -half], [half, -half], [half, half], [-half, half]];
        if hole {
            points.reverse();
        }
        Contour {
            points: points
                .iter()
                .map(|p| [p[0] + at[0], p[1] + at[1]])
                .collect(),
            closed: true,
        }
    }

    #[test]
    fn a_pin_within_a_tube_is_a_piece_of_its_own() {
        let layer = Layer {
            contours: vec![
                square([0.0, 0.0], 10.0, false),
                square([0.0, 0.0], 1.0, false),
                square([0.0, 0.0], 8.0, true),
                square([0.0, 0.0], 0.5, true),
            ],
            ..Layer::default()
        };
        let found = pieces(&layer);
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].holes.len(), 1);
        assert_eq!(found[1].holes.len(), 1);
        assert!(found[0].holds([9.0, 0.3]) && !found[0].holds([0.0, 0.3]));
        assert!(found[1].holds([0.75, 0.3]) && !found[1].holds([0.1, 0.3]));
        assert!(!found[0].meets(&found[1]));
        assert!(found[0].meets(&found[0]) && found[1].meets(&found[1]));
    }

    #[test]
    fn bars_that_cross_meet() {
        let bar = |x: f64, y: f64| Layer {
            contours: vec![Contour {
                points: vec![[-x, -y], [x, -y], [x, y], [-x, y]],
                closed: true,
            }],
            ..Layer::default()
        };
        let (a, b) = (bar(20.0, 1.0), bar(1.0, 20.0));
        assert!(pieces(&a)[0].meets(&pieces(&b)[0]));
        assert!(pieces(&b)[0].meets(&pieces(&a)[0]));
    }

    #[test]
    fn open_chains_are_no_pieces() {
        let layer = Layer {
            contours: vec![Contour {
                closed: false,
                ..square([0.0, 0.0], 1.0, false)
            }],
            ..Layer::default()
        };
        assert!(pieces(&layer).is_empty());
    }
}
