//! The gallery: an octagonal deck on a collar with eight brackets. It is printed deck down, so that
//! collar and brackets grow upward; z = 0 is the foot of the collar in the assembled kit.

use crate::outline::{direction, hole_around, octagon, rectangle};
use crate::solid::Solid;

use super::{lantern, tower};

/// The deck's underside and top above the collar's foot, mm.
const DECK: [f64; 2] = [10.0, 14.0];
/// From the axis to the middle of a railing, mm.
const RAILING: f64 = 40.3;
const APOTHEM: f64 = 43.0;
/// Where the posts of a railing stand to either side of its middle.
const POST: f64 = 14.2;

fn bracket() -> Solid {
    // From the collar's foot a quarter of an ellipse sweeps out to the deck's edge.
    let mut outline = vec![[26.0, 10.6], [26.0, 1.0], [28.6, 1.0]];
    for k in 0..=8 {
        let [c, s] = direction(k, 32);
        outline.push([38.6 - 9.4 * c, 1.8 + 6.0 * s]);
    }
    outline.push([38.6, 10.6]);
    // The outline's plane is xz.
    Solid::extruded_along_y(&[outline], -1.6, 1.6)
}

/// The gallery.
pub fn gallery() -> Solid {
    let collar = tower::radius(tower::HEIGHT) + 1.4;
    let mut body = Solid::lofted(&[
        (octagon(APOTHEM - 0.6), DECK[0]),
        (octagon(APOTHEM), DECK[0] + 0.6),
        (octagon(APOTHEM), DECK[1] - 0.5),
        (octagon(APOTHEM - 0.5), DECK[1]),
    ])
    .with(&Solid::revolved(
        &[
            [0.0, 0.0],
            [collar - 0.5, 0.0],
            [collar, 0.5],
            [collar, DECK[0] + 1.0],
            [0.0, DECK[0] + 1.0],
        ],
        tower::STEPS,
    ));
    let half_corner = bracket().turned(1, 16);
    for k in 0..8 {
        body = body.with(&half_corner.turned(k, 8));
    }
    let seat = tower::bore(tower::HEIGHT);
    let mut cut = Solid::revolved(
        &[
            [0.0, -1.0],
            [seat + 1.5, -1.0],
            [seat, 0.5],
            [seat, DECK[0]],
            [8.0, DECK[0]],
            [8.0, DECK[1] + 1.0],
            [0.0, DECK[1] + 1.0],
        ],
        tower::STEPS,
    );
    for k in 0..8 {
        for y in [-POST, POST] {
            let socket = rectangle([RAILING - 1.25, y - 1.45], [RAILING + 1.25, y + 1.45]);
            cut = cut.with(&Solid::extruded(&[socket], DECK[0] - 1.0, DECK[1] + 1.0).turned(k, 8));
        }
    }
    for k in 0..4 {
        let screw = hole_around([lantern::SCREW, 0.0], 1.7, 24);
        cut = cut.with(&Solid::extruded(&[screw], 5.0, DECK[1] + 1.0).turned(k, 4));
    }
    body.without(&cut)
}
