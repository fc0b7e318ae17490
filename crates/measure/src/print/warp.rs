//! How much a part is inclined to lift off the plate at its ends: a figure to rank parts by, nothing else.
//!
//! Wang, Xi and Jin 2007, "A model research for prototype warp deformation in the FDM process", International
//! Journal of Advanced Manufacturing Technology 33, 1087-1096: each new layer shrinks from the glass point to the
//! chamber's temperature and bends what lies under it. Grip, flow and slow cooling are not in it, and measured
//! parts had their maximum at a middle height (Armillotta, Bellotti, Cavallaro 2018), so the length it gives is no
//! forecast.

use layers::Contour;
use serde::{Deserialize, Serialize};

use crate::hull2::convex_hull;
use crate::part::PartFacts;
use crate::turning::least_rectangle;

/// What a layer of a material is taken to do while it cools.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cooling {
    /// Coefficient of thermal expansion, 1/K.
    pub cte_per_k: f64,
    /// Glass transition, degrees Celsius.
    pub tg_c: f64,
    /// Temperature around the part, degrees Celsius.
    pub chamber_c: f64,
}

impl Cooling {
    /// The strain of a layer that cools freely; 0 where the chamber is as hot as the glass point.
    pub fn strain(&self) -> f64 {
        (self.cte_per_k * (self.tg_c - self.chamber_c)).max(0.0)
    }

    /// How much a length shrinks freely, mm.
    pub fn shrink_mm(&self, length_mm: f64) -> f64 {
        length_mm * self.strain()
    }
}

/// Radius to which `layers` layers bend, mm; infinite for one layer or none, and without strain.
pub fn radius_mm(cooling: &Cooling, layer_mm: f64, layers: usize) -> f64 {
    let strain = cooling.strain();
    if layers < 2 || strain <= 0.0 {
        return f64::INFINITY;
    }
    let n = layers as f64;
    n * n * n * layer_mm / (6.0 * strain * (n - 1.0))
}

/// How far the ends of a length would lift, mm: `R (1 - cos(L / 2R))`.
pub fn lift_mm(cooling: &Cooling, layer_mm: f64, layers: usize, length_mm: f64) -> f64 {
    let radius = radius_mm(cooling, layer_mm, layers);
    if !radius.is_finite() {
        return 0.0;
    }
    // 1 - cos a = 2 sin^2(a / 2), without the cancellation of a small angle; more than half a turn is a roll.
    let half = libm::sin((0.25 * length_mm / radius).min(std::f64::consts::FRAC_PI_2));
    2.0 * radius * half * half
}

/// A part's inclination to lift, mm and places in the print pose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Warp {
    /// The figure to rank by: the lift of the model, mm.
    pub lift_mm: f64,
    /// Longest side of the contact, mm.
    pub contact_length_mm: f64,
    /// Free shrinkage of that length, mm.
    pub shrink_mm: f64,
    /// Sharp outer corners of the contact, farthest from its middle first.
    pub corners: Vec<Corner>,
    /// Its place among the parts of a kit, 1 for the one most inclined to lift; `None` before they are compared, and
    /// where it is not.
    pub rank: Option<usize>,
}

/// A sharp corner of the contact's outline.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Corner {
    /// Where, print pose, mm.
    pub at: [f64; 2],
    /// How far the outline turns there, degrees: 90 for a square corner.
    pub turn_deg: f64,
}

/// A turn counts as one corner when it happens within this length of outline, mm: a fillet of a greater radius
/// spreads the pull.
const CORNER_MM: f64 = 3.0;
/// Turns by less are none, degrees.
const LEAST_TURN_DEG: f64 = 60.0;

/// Measures a part by the contours of its first layer. `None` where nothing touches the plate.
pub fn measure(
    first_layer: &[Contour],
    layers: usize,
    layer_mm: f64,
    cooling: &Cooling,
) -> Option<Warp> {
    let points: Vec<[f64; 2]> = first_layer
        .iter()
        .filter(|c| c.closed)
        .flat_map(|c| c.points.iter().copied())
        .collect();
    let hull = convex_hull(&points);
    let contact_length_mm = least_rectangle(&hull)?.long_mm;
    Some(Warp {
        lift_mm: lift_mm(cooling, layer_mm, layers, contact_length_mm),
        contact_length_mm,
        shrink_mm: cooling.shrink_mm(contact_length_mm),
        corners: corners(&hull),
        rank: None,
    })
}

/// Ranks the parts of a kit at their settings' own height; parts lower than `least_mm` are left out.
pub fn rank(parts: &mut [PartFacts], least_mm: f64) {
    let lift = |facts: &PartFacts| -> Option<f64> {
        let own = facts.print.as_ref()?.as_ref().ok()?.first()?;
        let warp = own.warp.as_ref().filter(|_| own.height_mm >= least_mm)?;
        (warp.lift_mm > 0.0).then_some(warp.lift_mm)
    };
    let mut order: Vec<(usize, f64)> = parts
        .iter()
        .enumerate()
        .filter_map(|(i, facts)| lift(facts).map(|l| (i, l)))
        .collect();
    order.sort_by(|a, b| b.1.total_cmp(&a.1));
    for (place, (i, _)) in order.into_iter().enumerate() {
        let print = parts[i].print.as_mut().and_then(|p| p.as_mut().ok());
        for warp in print.into_iter().flatten().filter_map(|p| p.warp.as_mut()) {
            warp.rank = Some(place + 1);
        }
    }
}

/// Sharp corners of a convex outline, farthest from the middle of its corners first.
pub(super) fn corners(hull: &[[f64; 2]]) -> Vec<Corner> {
    let n = hull.len();
    if n < 3 {
        return Vec::new();
    }
    let way = |i: usize| {
        let (a, b) = (hull[i % n], hull[(i + 1) % n]);
        [b[0] - a[0], b[1] - a[1]]
    };
    let long = |d: [f64; 2]| libm::hypot(d[0], d[1]);
    let turn = |i: usize| {
        let (a, b) = (way(i + n - 1), way(i));
        libm::atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]).to_degrees()
    };
    // Neighbouring turns within a short way of outline are one corner; a walk begins after a long edge.
    let Some(start) = (0..n).max_by(|&i, &j| long(way(i)).total_cmp(&long(way(j)))) else {
        return Vec::new();
    };
    let mut found: Vec<Corner> = Vec::new();
    let (mut turned, mut length, mut at) = (0.0, 0.0, [0.0; 2]);
    for k in 1..=n {
        let i = (start + k) % n;
        let t = turn(i);
        turned += t;
        at = [0, 1].map(|j| at[j] + t * hull[i][j]);
        let next = long(way(i));
        if length + next > CORNER_MM || k == n {
            if turned >= LEAST_TURN_DEG {
                found.push(Corner {
                    at: at.map(|x| x / turned),
                    turn_deg: turned,
                });
            }
            (turned, length, at) = (0.0, 0.0, [0.0; 2]);
        } else {
            length += next;
        }
    }
    let middle = [0, 1].map(|k| hull.iter().map(|p| p[k]).sum::<f64>() / n as f64);
    let far = |c: &Corner| libm::hypot(c.at[0] - middle[0], c.at[1] - middle[1]);
    found.sort_by(|a, b| far(b).total_cmp(&far(a)));
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cooling(cte: f64, tg: f64, te: f64) -> Cooling {
        Cooling {
            cte_per_k: cte,
            tg_c: tg,
            chamber_c: te,
        }
    }

    /// The formula of the paper, derived again from an equal-modulus beam with the strain in its top layer; worked
    /// values computed from it outside the project.
    #[test]
    fn worked_values_of_the_model() {
        for (c, dh, n, l, radius, lift) in [
            (
                cooling(90e-6, 105.0, 70.0),
                0.25,
                5,
                100.0,
                413.360,
                3.020_315,
            ),
            (
                cooling(90e-6, 105.0, 70.0),
                0.25,
                10,
                100.0,
                1469.724,
                0.850_418,
            ),
            (
                cooling(90e-6, 105.0, 70.0),
                0.25,
                20,
                100.0,
                5569.479,
                0.224_436,
            ),
            (
                cooling(90e-6, 105.0, 70.0),
                0.25,
                20,
                200.0,
                5569.479,
                0.897_726,
            ),
            (
                cooling(90e-6, 105.0, 23.0),
                0.25,
                20,
                100.0,
                2377.217,
                0.525_806,
            ),
            (
                cooling(68e-6, 60.0, 23.0),
                0.20,
                20,
                150.0,
                5578.334,
                0.504_175,
            ),
        ] {
            assert!((radius_mm(&c, dh, n) - radius).abs() < 5e-4, "{c:?}");
            assert!((lift_mm(&c, dh, n, l) - lift).abs() < 5e-7, "{c:?}");
        }
    }

    #[test]
    fn nothing_lifts_in_one_layer_or_at_the_glass_point() {
        assert_eq!(lift_mm(&cooling(90e-6, 105.0, 70.0), 0.25, 1, 100.0), 0.0);
        assert_eq!(lift_mm(&cooling(90e-6, 105.0, 105.0), 0.25, 9, 100.0), 0.0);
        assert_eq!(lift_mm(&cooling(90e-6, 105.0, 140.0), 0.25, 9, 100.0), 0.0);
    }

    /// The model's own laws: more with length and cooling, less with layers from the second on.
    #[test]
    fn it_is_monotone() {
        let c = cooling(90e-6, 105.0, 23.0);
        let lifts = |of: &dyn Fn(usize) -> f64| -> Vec<f64> { (2..40).map(of).collect() };
        let falls = lifts(&|n| lift_mm(&c, 0.2, n + 3, 100.0));
        assert!(falls.windows(2).all(|w| w[1] < w[0]));
        let rises = lifts(&|n| lift_mm(&c, 0.2, 20, 10.0 * n as f64));
        assert!(rises.windows(2).all(|w| w[1] > w[0]));
        let cools = lifts(&|n| {
            lift_mm(
                &cooling(90e-6, 105.0, 100.0 - 2.0 * n as f64),
                0.2,
                20,
                100.0,
            )
        });
        assert!(cools.windows(2).all(|w| w[1] > w[0]));
    }

    /// Free contraction alpha L dT, by arithmetic: 200 mm of PLA over 37 K, of ABS over 82 K.
    #[test]
    fn free_contraction() {
        assert!((cooling(68e-6, 60.0, 23.0).shrink_mm(200.0) - 0.5032).abs() < 1e-9);
        assert!((cooling(90e-6, 105.0, 23.0).shrink_mm(200.0) - 1.4760).abs() < 1e-9);
    }

    fn first(points: Vec<[f64; 2]>) -> Vec<Contour> {
        vec![Contour {
            points,
            closed: true,
        }]
    }

    #[test]
    fn square_corners_count_and_round_ones_do_not() {
        let c = cooling(68e-6, 60.0, 23.0);
        let plate = first(vec![[0.0, 0.0], [150.0, 0.0], [150.0, 40.0], [0.0, 40.0]]);
        let w = measure(&plate, 20, 0.2, &c).expect("a contact");
        assert_eq!(w.corners.len(), 4);
        assert!(w.corners.iter().all(|c| (c.turn_deg - 90.0).abs() < 1e-9));
        assert!((w.contact_length_mm - 150.0).abs() < 1e-9);
        assert!((w.lift_mm - 0.504_175).abs() < 1e-6);
        // A stadium: ends of 20 mm radius.
        let round: Vec<[f64; 2]> = (0..128)
            .map(|k| {
                let a = std::f64::consts::TAU * (f64::from(k) + 0.5) / 128.0;
                let shift = if libm::cos(a) > 0.0 { 55.0 } else { -55.0 };
                [20.0 * libm::cos(a) + shift, 20.0 * libm::sin(a)]
            })
            .collect();
        let w = measure(&first(round), 20, 0.2, &c).expect("a contact");
        assert!(w.corners.is_empty(), "{:?}", w.corners);
        // Square corners with a chamfer of 1 mm are corners still.
        let chamfered = first(vec![
            [1.0, 0.0],
            [149.0, 0.0],
            [150.0, 1.0],
            [150.0, 39.0],
            [149.0, 40.0],
            [1.0, 40.0],
            [0.0, 39.0],
            [0.0, 1.0],
        ]);
        let w = measure(&chamfered, 20, 0.2, &c).expect("a contact");
        assert_eq!(w.corners.len(), 4);
        assert!((w.corners[0].turn_deg - 90.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_on_the_plate_is_no_warp() {
        assert!(measure(&[], 20, 0.2, &cooling(68e-6, 60.0, 23.0)).is_none());
    }
}
