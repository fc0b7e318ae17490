//! Slenderness of the pieces of a growing part, as columns clamped at their root.
//!
//! A column of length L whose sections have the least radius of gyration i has the slenderness ratio L / i (any
//! handbook of mechanics; i = t / sqrt 12 for a wall of thickness t). Where sections change along the height, i is
//! the one that bends as much at the top under a sideways push there (Euler and Bernoulli's beam):
//! `ratio^2 = 3 / L * greatest eigenvalue of the integral of (top - z)^2 (I / A)^-1 dz`, with I the tensor of second
//! moments, so ribs and corners count in every direction. Each piece is followed on its own: eight bars under a
//! ring are eight columns until the ring joins them. A piece that stands on several bends as springs side by side; where a
//! section is suddenly much thinner than the one below, what is below is a foot and the column begins anew.

use layers::Moments;
use serde::{Deserialize, Serialize};

/// A piece of one layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Its area and moments.
    pub moments: Moments,
    /// The pieces of the layer below that it stands on, by number.
    pub stands_on: Vec<u32>,
}

/// The most slender column of a part.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Column {
    /// Slenderness ratio: length over the least radius of gyration.
    pub ratio: f64,
    /// Height of its root above the plate, mm.
    pub root_mm: f64,
    /// Height of its top above the plate, mm.
    pub top_mm: f64,
    /// Centroid of its topmost section, print pose, mm.
    pub at_mm: [f64; 2],
    /// The direction in the plate's plane in which it bends most easily, one long.
    pub bends: [f64; 2],
}

impl Column {
    /// Its length, mm.
    pub fn length_mm(&self) -> f64 {
        self.top_mm - self.root_mm
    }

    /// The thickness of a plain wall as long and as slender, mm.
    pub fn wall_mm(&self) -> f64 {
        self.length_mm() * SQRT_12 / self.ratio
    }

    /// The thickness of a plain wall as long with another slenderness ratio, mm.
    pub fn wall_of_mm(&self, ratio: f64) -> f64 {
        self.length_mm() * SQRT_12 / ratio
    }
}

/// Thickness of a wall over its radius of gyration.
const SQRT_12: f64 = 3.464_101_615_137_754_6;
/// Where the square of the least radius of gyration falls to this share of what it was a layer below, a column
/// begins anew: the wall on a foot half as thick or less.
const STEP: f64 = 0.25;

/// A symmetric tensor in the plane: xx, yy, xy.
type Tensor = [f64; 3];

/// What has grown of one piece.
#[derive(Debug, Clone, Copy)]
struct Growing {
    root: f64,
    /// Integrals over the height from the root of the flexibility, times height to the power 0, 1, 2.
    sums: [Tensor; 3],
    /// Greatest flexibility of the topmost section.
    flexible: f64,
}

/// Follows the pieces of a part from the plate up.
pub struct Columns {
    layer_mm: f64,
    least_mm: f64,
    below: Vec<Growing>,
    worst: Option<Column>,
}

impl Columns {
    /// Columns of a part whose layers have that height; shorter ones than `least_mm` are none.
    pub fn new(layer_mm: f64, least_mm: f64) -> Columns {
        Columns {
            layer_mm,
            least_mm,
            below: Vec::new(),
            worst: None,
        }
    }

    /// Adds the next layer, cut at `z` above the plate.
    pub fn add(&mut self, z: f64, sections: &[Section]) {
        let top = z + 0.5 * self.layer_mm;
        let mut here = Vec::with_capacity(sections.len());
        for s in sections {
            let Some(flexibility) = flexibility(&s.moments) else {
                here.push(Growing {
                    root: top,
                    sums: [[0.0; 3]; 3],
                    flexible: 0.0,
                });
                continue;
            };
            let flexible = greatest(flexibility).0;
            let under: Vec<(f64, &Growing)> = s
                .stands_on
                .iter()
                .filter_map(|&k| self.below.get(k as usize))
                .filter(|g| flexible * STEP <= g.flexible)
                .map(|g| (bent(g, top).0, g))
                .collect();
            let mut growing = side_by_side(&under).unwrap_or(Growing {
                root: z - 0.5 * self.layer_mm,
                sums: [[0.0; 3]; 3],
                flexible,
            });
            let up = z - growing.root;
            for (power, sum) in [1.0, up, up * up].into_iter().zip(&mut growing.sums) {
                for (total, f) in sum.iter_mut().zip(flexibility) {
                    *total += self.layer_mm * power * f;
                }
            }
            growing.flexible = flexible;
            let (bend, bends) = bent(&growing, top);
            let length = top - growing.root;
            let ratio = (3.0 / length * bend).sqrt();
            if length >= self.least_mm
                && ratio.is_finite()
                && self.worst.is_none_or(|w| ratio > w.ratio)
            {
                self.worst = Some(Column {
                    ratio,
                    root_mm: growing.root,
                    top_mm: top,
                    at_mm: s.moments.centroid_mm,
                    bends,
                });
            }
            here.push(growing);
        }
        self.below = here;
    }

    /// The most slender column met.
    pub fn finish(self) -> Option<Column> {
        self.worst
    }
}

/// What several columns under one piece are together: the stiffest, made stiffer as springs side by side are.
fn side_by_side(under: &[(f64, &Growing)]) -> Option<Growing> {
    let (bend, stiffest) = under
        .iter()
        .copied()
        .reduce(|a, b| if b.0 < a.0 { b } else { a })?;
    let mut together = *stiffest;
    if under.len() > 1 && bend > 0.0 {
        let springs: f64 = under.iter().map(|(b, _)| bend / b).sum();
        for x in together.sums.iter_mut().flatten() {
            *x /= springs;
        }
    }
    Some(together)
}

/// Area times the inverse of the tensor of second moments; `None` for a section without extent.
fn flexibility(m: &Moments) -> Option<Tensor> {
    let [xx, yy, xy] = m.second_mm4;
    let det = xx * yy - xy * xy;
    let sound = m.area_mm2 > 0.0 && det > 0.0;
    sound
        .then(|| [yy, xx, -xy].map(|x| m.area_mm2 * x / det))
        .filter(|f| f.iter().all(|x| x.is_finite()))
}

/// How far a push at `top` bends what has grown (the integral of (top - z)^2 times flexibility), and which way.
fn bent(g: &Growing, top: f64) -> (f64, [f64; 2]) {
    let up = top - g.root;
    let tensor = [0, 1, 2].map(|k| up * up * g.sums[0][k] - 2.0 * up * g.sums[1][k] + g.sums[2][k]);
    greatest(tensor)
}

/// Greatest eigenvalue and its unit vector.
fn greatest([xx, yy, xy]: Tensor) -> (f64, [f64; 2]) {
    let (middle, half) = (0.5 * (xx + yy), 0.5 * (xx - yy));
    let turn = 0.5 * libm::atan2(xy, half);
    (
        middle + libm::hypot(half, xy),
        [libm::cos(turn), libm::sin(turn)],
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle(x: f64, y: f64) -> Moments {
        Moments {
            area_mm2: x * y,
            centroid_mm: [0.0; 2],
            second_mm4: [y * x * x * x / 12.0, x * y * y * y / 12.0, 0.0],
        }
    }

    fn grown(layers: usize, layer_mm: f64, at: impl Fn(f64) -> Moments) -> Column {
        let mut columns = Columns::new(layer_mm, 0.0);
        for k in 0..layers {
            let z = (k as f64 + 0.5) * layer_mm;
            let section = Section {
                moments: at(z),
                stands_on: if k == 0 { vec![] } else { vec![0] },
            };
            columns.add(z, &[section]);
        }
        columns.finish().expect("a column")
    }

    /// L / i with i = t / sqrt 12 (handbook): a wall 30 x 0.8, 40 mm tall: 173.205.
    #[test]
    fn a_wall_is_as_slender_as_the_handbook_says() {
        let c = grown(200, 0.2, |_| rectangle(30.0, 0.8));
        assert!((c.ratio / 173.205 - 1.0).abs() < 1e-4, "{}", c.ratio);
        assert!(c.bends[1].abs() > 0.999_999);
        assert!((c.wall_mm() - 0.8).abs() < 1e-4);
        assert!((c.length_mm() - 40.0).abs() < 1e-9);
    }

    /// A wedge-shaped cantilever whose thickness falls linearly to 0 bends, under a load at its tip, 3/2 times as
    /// far as one as thick throughout (I goes with the cube of thickness). Here flexibility goes with its square
    /// (I / A): the integral of u^2 / u^2 is 3 times that of u^2, so the ratio is sqrt 3 times as great.
    #[test]
    fn a_taper_is_integrated() {
        let c = grown(4000, 0.01, |z| rectangle(30.0, 2.0 * (40.0 - z) / 40.0));
        let plain = 40.0 * SQRT_12 / 2.0;
        assert!((c.ratio / (plain * 3.0f64.sqrt()) - 1.0).abs() < 1e-3);
    }

    #[test]
    fn a_foot_does_not_make_a_wall_less_slender() {
        let on_foot = grown(210, 0.2, |z| {
            rectangle(30.0, if z < 2.0 { 8.0 } else { 0.8 })
        });
        assert!((on_foot.ratio / 173.205 - 1.0).abs() < 1e-4);
        assert!((on_foot.root_mm - 2.0).abs() < 1e-9);
    }

    #[test]
    fn pieces_are_followed_apart_until_they_are_joined() {
        let mut columns = Columns::new(0.2, 0.0);
        let pin = |on: Vec<u32>| Section {
            moments: rectangle(2.0, 2.0),
            stands_on: on,
        };
        columns.add(0.1, &[pin(vec![]), pin(vec![])]);
        for k in 1..100 {
            columns.add(0.2 * f64::from(k) + 0.1, &[pin(vec![0]), pin(vec![1])]);
        }
        let slab = Section {
            moments: rectangle(40.0, 40.0),
            stands_on: vec![0, 1],
        };
        columns.add(20.1, &[slab]);
        let c = columns.finish().expect("a column");
        assert!((c.ratio - 20.0 * SQRT_12 / 2.0).abs() < 1e-2, "{}", c.ratio);
    }
}
