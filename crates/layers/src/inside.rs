//! Where a point of a layer lies: how often the closed contours go round it.
//!
//! Exact: on which side of a contour's line a point lies is decided by Shewchuk's predicate (1997, "Adaptive
//! precision floating-point arithmetic and fast robust geometric predicates"). An edge counts from its lower end up to,
//! not with, its upper end; a point on an outline belongs to the side to the right of it.

use robust::{Coord, orient2d};

use crate::contour::{Contour, Layer};

impl Contour {
    /// How often the contour goes round a point, mm, counter-clockwise; 0 for open chains.
    pub fn winding(&self, point_mm: [f64; 2]) -> i32 {
        let (true, Some(&last)) = (self.closed, self.points.last()) else {
            return 0;
        };
        let mut wound = 0;
        let mut from = last;
        for &to in &self.points {
            let (was, is) = (from[1] <= point_mm[1], to[1] <= point_mm[1]);
            if was != is {
                let [a, b, p] = [from, to, point_mm].map(|[x, y]| Coord { x, y });
                let side = orient2d(a, b, p);
                if was && side > 0.0 {
                    wound += 1;
                } else if is && side < 0.0 {
                    wound -= 1;
                }
            }
            from = to;
        }
        wound
    }
}

impl Layer {
    /// How often the closed contours go round a point, mm: 1 in plain material, 2 where two shells overlap, 0
    /// outside, below 0 where the surface is inside out.
    pub fn winding(&self, point_mm: [f64; 2]) -> i32 {
        self.contours.iter().map(|c| c.winding(point_mm)).sum()
    }

    /// Whether a point, mm, is in material: the winding number is above 0 (3MF Core 1.4.0, 4.1.1).
    pub fn inside(&self, point_mm: [f64; 2]) -> bool {
        self.winding(point_mm) > 0
    }

    /// Chains that do not close.
    pub fn open(&self) -> usize {
        self.contours.iter().filter(|c| !c.closed).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(x: f64, y: f64, a: f64) -> Contour {
        Contour {
            points: vec![
                [x - a, y - a],
                [x + a, y - a],
                [x + a, y + a],
                [x - a, y + a],
            ],
            closed: true,
        }
    }

    fn hole(x: f64, y: f64, a: f64) -> Contour {
        let mut hole = ring(x, y, a);
        hole.points.reverse();
        hole
    }

    #[test]
    fn holes_overlaps_and_open_chains() {
        let mut open = ring(0.0, 0.0, 20.0);
        open.closed = false;
        let layer = Layer {
            contours: vec![
                ring(0.0, 0.0, 10.0),
                hole(0.0, 0.0, 4.0),
                ring(9.0, 0.0, 3.0),
                open,
            ],
            ..Layer::default()
        };
        assert_eq!(layer.winding([0.0, 0.0]), 0);
        assert_eq!(layer.winding([5.0, 0.0]), 1);
        assert_eq!(layer.winding([8.0, 1.0]), 2);
        assert_eq!(layer.winding([11.0, -1.0]), 1);
        assert_eq!(layer.winding([15.0, 0.0]), 0);
        assert!(layer.inside([8.0, 1.0]) && !layer.inside([0.0, 0.0]));
        assert_eq!(layer.open(), 1);
        let inverted = Layer {
            contours: vec![hole(0.0, 0.0, 4.0)],
            ..Layer::default()
        };
        assert_eq!(inverted.winding([0.0, 0.0]), -1);
        assert!(!inverted.inside([0.0, 0.0]));
    }

    #[test]
    fn corners_level_with_the_point_are_crossed_once() {
        let diamond = Contour {
            points: vec![[0.0, -1.0], [1.0, 0.0], [0.0, 1.0], [-1.0, 0.0]],
            closed: true,
        };
        assert_eq!(diamond.winding([0.0, 0.0]), 1);
        assert_eq!(diamond.winding([-2.0, 0.0]), 0);
        assert_eq!(diamond.winding([2.0, 0.0]), 0);
        assert_eq!(diamond.winding([-2.0, 1.0]), 0);
        assert_eq!(diamond.winding([-2.0, -1.0]), 0);
    }
}
