//! What would steady a part that tips while it grows: a wider foot, pads at the two ends of a long one.
//!
//! It knows no limits: angle and grip that are enough come in.

use std::f64::consts::PI;

use super::stability::Tip;
use crate::turning::least_rectangle;

/// What is enough: either of the two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Enough {
    /// Lean before it tips, degrees.
    pub lean_deg: f64,
    /// Grip, mm2.
    pub grip_mm2: f64,
}

impl Enough {
    fn met(&self, lean_deg: f64, grip_mm2: f64) -> bool {
        lean_deg >= self.lean_deg || grip_mm2 >= self.grip_mm2
    }
}

/// Round pads, one layer or more thick, at both ends of a long foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pads {
    /// The middles of the foot's two ends, print pose, mm.
    pub ends_mm: [[f64; 2]; 2],
    /// Diameter of each, whole mm.
    pub diameter_mm: f64,
}

/// The least whole number of mm by which a foot must be wider all around, on top of a brim; `None` beyond `most_mm`.
pub fn foot_mm(tip: &Tip, brim_mm: f64, enough: &Enough, most_mm: f64) -> Option<f64> {
    whole(1, most_mm).find(|wider| {
        let width = brim_mm + wider;
        enough.met(tip.lean_deg(width), tip.grip_mm2(width))
    })
}

/// The least pads that steady a foot at least `long` times as long as it is wide; `None` where it is not as long, or
/// where pads of 2 `most_mm` would not do.
pub fn pads(tip: &Tip, enough: &Enough, long: f64, most_mm: f64) -> Option<Pads> {
    let rectangle = least_rectangle(&tip.foot.hull)?;
    let (wide, half) = (rectangle.short_mm, 0.5 * rectangle.long_mm);
    if rectangle.long_mm < long * wide {
        return None;
    }
    let turn = rectangle.turn_deg.to_radians();
    let (x, y) = (
        [libm::cos(turn), -libm::sin(turn)],
        [libm::sin(turn), libm::cos(turn)],
    );
    let along = |axis: [f64; 2], p: [f64; 2]| axis[0] * p[0] + axis[1] * p[1];
    let middle_of = |axis: [f64; 2]| {
        let (low, high) = tip
            .foot
            .hull
            .iter()
            .fold((f64::MAX, f64::MIN), |(l, h), &p| {
                (l.min(along(axis, p)), h.max(along(axis, p)))
            });
        0.5 * (low + high)
    };
    let (mx, my) = (middle_of(x), middle_of(y));
    let at = |u: f64, v: f64| [u * x[0] + v * y[0], u * x[1] + v * y[1]];
    let centroid = [tip.centroid_mm[0], tip.centroid_mm[1]];
    let aside = (along(y, centroid) - my).abs();
    let off = (along(y, tip.foot.middle_mm) - my).abs();
    // A centroid beyond an end is not held by pads there.
    if (along(x, centroid) - mx).abs() > half {
        return None;
    }
    let least = (2.0 * aside.max(off)).max(wide).ceil() as usize + 1;
    whole(least, 2.0 * most_mm)
        .find(|diameter| {
            let arm = 0.5 * diameter - aside;
            let more = 0.25 * PI * diameter * diameter - 0.5 * diameter * wide;
            let lean = libm::atan2(arm, tip.centroid_mm[2]).to_degrees();
            let grip = (tip.foot.contact_mm2 + 2.0 * more) * (0.5 * diameter - off) / tip.grown_mm;
            enough.met(lean, grip)
        })
        .map(|diameter_mm| Pads {
            ends_mm: [at(mx - half, my), at(mx + half, my)],
            diameter_mm,
        })
}

fn whole(from: usize, to_mm: f64) -> impl Iterator<Item = f64> {
    (from..=to_mm.max(0.0) as usize).map(|w| w as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::print::stability::Foot;

    const ENOUGH: Enough = Enough {
        lean_deg: 10.0,
        grip_mm2: 8.0,
    };

    /// A box w x d x h that stands on its w x d side: its centroid is half way up.
    fn standing(w: f64, d: f64, h: f64) -> Tip {
        Tip {
            grown_mm: h,
            centroid_mm: [0.5 * w, 0.5 * d, 0.5 * h],
            arm_mm: 0.5 * w.min(d),
            edge_mm: [0.0, 0.5 * d],
            foot: Foot {
                contact_mm2: w * d,
                rim_mm: 2.0 * (w + d),
                pieces: 1,
                hull: vec![[0.0, 0.0], [w, 0.0], [w, d], [0.0, d]],
                middle_mm: [0.5 * w, 0.5 * d],
            },
        }
    }

    /// By hand: 6 x 6 x 100 on a foot 3 mm wider holds by (36 + 24 3 + 9 pi) 6 / 100 = 8.18 mm2; with 2 mm by
    /// (36 + 48 + 4 pi) 5 / 100 = 4.83 mm2, and tips at atan(5 / 50) = 5.7 degrees.
    #[test]
    fn a_foot_is_as_wide_as_it_must_be() {
        let tip = standing(6.0, 6.0, 100.0);
        assert_eq!(foot_mm(&tip, 0.0, &ENOUGH, 20.0), Some(3.0));
        assert_eq!(foot_mm(&tip, 2.0, &ENOUGH, 20.0), Some(1.0));
        assert_eq!(foot_mm(&tip, 0.0, &ENOUGH, 2.0), None);
    }

    /// By hand: a pane 40 x 1 x 60 with pads of 8 mm holds by (40 + 2 (16 pi - 4)) 4 / 60 = 8.83 mm2, of 7 mm by
    /// (40 + 2 (12.25 pi - 3.5)) 3.5 / 60 = 6.4 mm2, and tips at atan(3.5 / 30) = 6.7 degrees.
    #[test]
    fn pads_hold_a_pane_at_its_ends() {
        let pads_of = |w, d, h| pads(&standing(w, d, h), &ENOUGH, 3.0, 20.0);
        let got = pads_of(40.0, 1.0, 60.0).expect("pads");
        assert_eq!(got.diameter_mm, 8.0);
        let mut ends = got.ends_mm;
        ends.sort_by(|a, b| a[0].total_cmp(&b[0]));
        for (end, exact) in ends.iter().zip([[0.0, 0.5], [40.0, 0.5]]) {
            assert!((end[0] - exact[0]).abs() < 1e-9 && (end[1] - exact[1]).abs() < 1e-9);
        }
        assert_eq!(pads_of(1.0, 40.0, 60.0).map(|p| p.diameter_mm), Some(8.0));
        assert!(pads_of(6.0, 6.0, 100.0).is_none());
    }
}
