//! Area, centroid and second moments of the section that a layer's contours bound.
//!
//! Green's theorem over the edges (C. Steger, "On the calculation of arbitrary moments of polygons", FGBV-96-05,
//! 1996): exact for polygons, holes count against. Sums run about a point of the section, so that a layer far from
//! the origin loses no digits. Contours are taken with their signs: where shells overlap, the overlap counts twice.

use crate::contour::Contour;

/// Integrals over a plane section.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moments {
    /// Area, mm2; below 0 where holes outweigh.
    pub area_mm2: f64,
    /// Centroid, mm; the middle of the box of the points where there is no area.
    pub centroid_mm: [f64; 2],
    /// Second moments of area about the centroid, mm4: of x squared, y squared, and x times y.
    pub second_mm4: [f64; 3],
}

impl Moments {
    /// Integrates over closed contours; open ones bound nothing. No contour gives zeros.
    pub fn of<'a>(contours: impl IntoIterator<Item = &'a Contour> + Clone) -> Moments {
        let closed = || {
            contours
                .clone()
                .into_iter()
                .filter(|c| c.closed && c.points.len() > 2)
        };
        let mut low = [f64::INFINITY; 2];
        let mut high = [f64::NEG_INFINITY; 2];
        for p in closed().flat_map(|c| &c.points) {
            for k in 0..2 {
                low[k] = low[k].min(p[k]);
                high[k] = high[k].max(p[k]);
            }
        }
        if low[0] > high[0] {
            return Moments::default();
        }
        let middle = [0, 1].map(|k| 0.5 * (low[k] + high[k]));
        // Twice the area, six times the first, 12, 12 and 24 times the second moments, about the middle.
        let (mut area, mut first, mut second) = (0.0, [0.0; 2], [0.0; 3]);
        for c in closed() {
            let Some(last) = c.points.last() else {
                continue;
            };
            let mut a = [last[0] - middle[0], last[1] - middle[1]];
            for p in &c.points {
                let b = [p[0] - middle[0], p[1] - middle[1]];
                let w = a[0] * b[1] - b[0] * a[1];
                area += w;
                for k in 0..2 {
                    first[k] += w * (a[k] + b[k]);
                    second[k] += w * (a[k] * a[k] + a[k] * b[k] + b[k] * b[k]);
                }
                second[2] +=
                    w * (a[0] * b[1] + 2.0 * a[0] * a[1] + 2.0 * b[0] * b[1] + b[0] * a[1]);
                a = b;
            }
        }
        let area = 0.5 * area;
        if area == 0.0 {
            return Moments {
                centroid_mm: middle,
                ..Moments::default()
            };
        }
        let off = first.map(|f| f / (6.0 * area));
        Moments {
            area_mm2: area,
            centroid_mm: [middle[0] + off[0], middle[1] + off[1]],
            second_mm4: [
                second[0] / 12.0 - area * off[0] * off[0],
                second[1] / 12.0 - area * off[1] * off[1],
                second[2] / 24.0 - area * off[0] * off[1],
            ],
        }
    }

    /// The least second moment about any axis through the centroid, mm4, and the unit vector across which it
    /// is counted: the direction in which the section bends most easily.
    pub fn weakest(&self) -> (f64, [f64; 2]) {
        let [xx, yy, xy] = self.second_mm4;
        let (middle, half) = (0.5 * (xx + yy), 0.5 * (xx - yy));
        let reach = libm::hypot(half, xy);
        // The greater principal axis lies at this angle; the weaker one across it.
        let turn = 0.5 * libm::atan2(xy, half) + std::f64::consts::FRAC_PI_2;
        (middle - reach, [libm::cos(turn), libm::sin(turn)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    fn ring(points: &[[f64; 2]]) -> Contour {
        Contour {
            points: points.to_vec(),
            closed: true,
        }
    }

    fn rectangle(min: [f64; 2], max: [f64; 2]) -> Contour {
        ring(&[min, [max[0], min[1]], max, [min[0], max[1]]])
    }

    fn near(a: f64, b: f64) {
        assert!((a - b).abs() <= 1e-9 * b.abs().max(1.0), "{a} is not {b}");
    }

    /// b h^3 / 12 and its like (any handbook of mechanics), 100 m off the origin.
    #[test]
    fn a_rectangle_wherever_it_lies() {
        for at in [[0.0, 0.0], [1e5, -1e5]] {
            let m = Moments::of(&[rectangle(at, [at[0] + 6.0, at[1] + 2.0])]);
            near(m.area_mm2, 12.0);
            near(m.centroid_mm[0], at[0] + 3.0);
            near(m.second_mm4[0], 2.0 * 216.0 / 12.0);
            near(m.second_mm4[1], 6.0 * 8.0 / 12.0);
            assert!(m.second_mm4[2].abs() < 1e-6);
            let (least, across) = m.weakest();
            near(least, 4.0);
            assert!(across[1].abs() > 0.999_999);
        }
    }

    /// b h^3 / 36, h b^3 / 36, b^2 h^2 / 72 with sign for a right triangle (handbook of mechanics).
    #[test]
    fn a_right_triangle() {
        let (b, h) = (9.0, 6.0);
        let m = Moments::of(&[ring(&[[0.0, 0.0], [b, 0.0], [0.0, h]])]);
        near(m.area_mm2, 27.0);
        near(m.centroid_mm[0], 3.0);
        near(m.centroid_mm[1], 2.0);
        near(m.second_mm4[0], h * b * b * b / 36.0);
        near(m.second_mm4[1], b * h * h * h / 36.0);
        near(m.second_mm4[2], -b * b * h * h / 72.0);
    }

    /// A tube: pi (R^4 - r^4) / 4 about any axis, here by regular polygons of 4096 sides.
    #[test]
    fn a_tube_is_equally_stiff_all_around() {
        let circle = |r: f64, sign: f64| {
            let points: Vec<[f64; 2]> = (0..4096)
                .map(|k| sign * TAU * f64::from(k) / 4096.0)
                .map(|a| [r * libm::cos(a), r * libm::sin(a)])
                .collect();
            ring(&points)
        };
        let m = Moments::of(&[circle(10.0, 1.0), circle(8.0, -1.0)]);
        let exact = PI * (1e4 - 4096.0) / 4.0;
        let (least, _) = m.weakest();
        assert!((least / exact - 1.0).abs() < 3e-6, "{least}");
        assert!((m.second_mm4[0] / exact - 1.0).abs() < 3e-6);
        near(m.centroid_mm[0], 0.0);
    }

    #[test]
    fn a_turned_bar_is_weak_across_its_side() {
        let (c, s) = (libm::cos(0.4), libm::sin(0.4));
        let points: Vec<[f64; 2]> = [[-10.0, -1.0], [10.0, -1.0], [10.0, 1.0], [-10.0, 1.0]]
            .iter()
            .map(|[x, y]| [c * x - s * y, s * x + c * y])
            .collect();
        let (least, across) = Moments::of(&[ring(&points)]).weakest();
        near(least, 20.0 * 8.0 / 12.0);
        assert!((across[0] * -s + across[1] * c).abs() > 0.999_999_9);
    }

    #[test]
    fn nothing_weighs_nothing() {
        assert_eq!(Moments::of(&[]), Moments::default());
        let open = Contour {
            closed: false,
            ..rectangle([0.0, 0.0], [1.0, 1.0])
        };
        assert_eq!(Moments::of(&[open]), Moments::default());
    }
}
