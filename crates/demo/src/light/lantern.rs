//! The lantern: a drum with eight grooved posts, panes that slide into the grooves, and the roof over them.

use crate::outline::{cut_head, direction, hole_around, octagon, rectangle};
use crate::solid::Solid;

/// From the axis to the middle of a screw that holds the frame on the deck, mm.
pub const SCREW: f64 = 18.5;
/// Height of the drum on which the panes stand, mm.
pub const DRUM: f64 = 12.0;
/// From the axis to the middle of a pane, mm.
pub const PANE: f64 = 25.0;
const OUTER: f64 = 27.0;
const INNER: f64 = 23.0;
const POSTS: f64 = 52.0;
/// Half the width of the opening between two posts, and how deep the grooves are.
const OPENING: f64 = 6.6;
const GROOVE: f64 = 1.6;

fn prism(apothem: f64, z0: f64, z1: f64) -> Solid {
    Solid::extruded(&[octagon(apothem)], z0, z1)
}

/// Drum and posts without the bosses, with ventilators through four sides of the drum or without any.
pub fn posts(ventilators: bool) -> Solid {
    let outside = Solid::lofted(&[
        (octagon(OUTER + 1.1), 0.0),
        (octagon(OUTER + 1.6), 0.5),
        (octagon(OUTER + 1.6), 2.4),
        (octagon(OUTER), 3.6),
        (octagon(OUTER), 8.8),
        (octagon(OUTER + 1.2), 10.2),
        (octagon(OUTER + 1.2), DRUM),
    ])
    .with(&Solid::lofted(&[
        (octagon(OUTER), 1.0),
        (octagon(OUTER), POSTS - 0.6),
        (octagon(OUTER - 0.6), POSTS),
    ]));
    let mut cut = prism(INNER, -1.0, POSTS + 1.0);
    let opening = Solid::block([20.0, -OPENING, DRUM], [30.0, OPENING, POSTS + 1.0]);
    let groove = Solid::block(
        [PANE - 0.75, -OPENING - GROOVE, DRUM],
        [PANE + 0.75, OPENING + GROOVE, POSTS + 1.0],
    );
    let gap = opening.with(&groove);
    for k in 0..8 {
        cut = cut.with(&gap.turned(k, 8));
    }
    if ventilators {
        // In the four sides without a boss; along -y, then turned to the diagonals.
        let vent =
            Solid::extruded_along_y(&[cut_head(7.0, 4.2, 7.8, 2.0)], -40.0, -15.0).turned(1, 8);
        for k in 0..4 {
            cut = cut.with(&vent.turned(k, 4));
        }
    }
    outside.without(&cut)
}

/// Drum, posts and the bosses for the inserts; it stands as it is printed.
pub fn frame() -> Solid {
    let mut body = posts(true);
    let boss = Solid::extruded(
        &[rectangle([SCREW - 4.5, -4.5], [INNER + 1.5, 4.5])],
        0.0,
        DRUM,
    );
    let insert = Solid::extruded(&[hole_around([SCREW, 0.0], 2.0, 24)], -1.0, 7.0);
    for k in 0..4 {
        body = body.with(&boss.turned(k, 4)).without(&insert.turned(k, 4));
    }
    body
}

/// Height of a pane, and half the width of what shows of it between the posts, mm.
pub const PANE_SIZE: [f64; 2] = [38.8, OPENING - 0.3];

/// A pane without bars: 1.0 mm of clear plastic on a foot. x is its width, +y the inside.
pub fn sheet() -> Solid {
    let width = OPENING + GROOVE - 0.25;
    let [height, half] = PANE_SIZE;
    let sheet = Solid::block([-width, -0.5, 0.0], [width, 0.5, height]);
    let foot = Solid::lofted(&[
        (rectangle([-half, -1.5], [half, 1.5]), 0.0),
        (rectangle([-half, -1.8], [half, 1.8]), 0.3),
        (rectangle([-half, -1.8], [half, 1.8]), 2.0),
        (rectangle([-half, -0.4], [half, 0.4]), 3.8),
    ]);
    sheet.with(&foot)
}

/// A pane with two glazing bars and a transom inside; it is printed standing.
pub fn pane() -> Solid {
    let [height, half] = PANE_SIZE;
    let mut all = sheet();
    for x in [-2.4, 2.4] {
        all = all.with(&Solid::block(
            [x - 0.6, 0.0, 1.0],
            [x + 0.6, 1.5, height - 1.5],
        ));
    }
    // A transom whose underside rises at 45 degrees.
    let transom = vec![[0.0, 18.4], [1.5, 20.0], [1.5, 21.4], [0.0, 21.4]];
    all.with(&Solid::extruded_along_x(&[transom], -half, half))
}

/// How far the roof rises for each millimetre that it narrows; over 1, so that its corners print too.
const PITCH: f64 = 1.1;

/// The roof: a hollow pyramid that stands on its eaves, with a countersunk seat for the ball of that many steps around.
pub fn roof(steps: usize) -> Solid {
    let eaves = 31.0;
    let tip = 5.0;
    let outside = Solid::lofted(&[
        (octagon(eaves - 0.5), 0.0),
        (octagon(eaves), 0.5),
        (octagon(eaves), 3.0),
        (octagon(tip), 3.0 + (eaves - tip) * PITCH),
    ])
    .with(&Solid::revolved(
        &[
            [0.0, 20.0],
            [6.4, 20.0],
            [6.4, 33.5],
            [5.9, 34.0],
            [0.0, 34.0],
        ],
        steps,
    ));
    let seat = OUTER + 0.25;
    let hollow = Solid::lofted(&[
        (octagon(seat + 1.5), -1.0),
        (octagon(seat), 0.5),
        (octagon(seat), 2.0),
        (octagon(1.4), 2.0 + (seat - 1.4) * PITCH),
    ]);
    let vent = Solid::revolved(
        &[
            [0.0, 20.0],
            [2.2, 20.0],
            [2.2, 32.0],
            [5.2, 35.0],
            [0.0, 35.0],
        ],
        steps,
    );
    outside.without(&hollow).without(&vent)
}

/// The vent ball with its lightning rod; the plug below and the ball's underside rise at 45 degrees.
/// It has that many steps around.
pub fn ball(steps: usize) -> Solid {
    let radius = 6.0;
    let middle = 15.0;
    let mut outline = vec![
        [0.0, 0.0],
        [1.9, 0.0],
        [5.0, 3.3],
        [5.0, 4.4],
        [2.6, 6.0],
        [2.6, 9.0],
    ];
    // From 45 degrees below the ball's middle to where the rod begins.
    for k in 0..=10 {
        let [c, s] = direction(k, 32);
        // Eight steps are a quarter of a turn; the fan starts one eighth below the middle.
        let h = core::f64::consts::FRAC_1_SQRT_2;
        outline.push([radius * h * (c + s), middle + radius * h * (s - c)]);
    }
    let rod = 1.4;
    outline.push([rod, middle + (radius * radius - rod * rod).sqrt()]);
    outline.extend([
        [1.2, middle + 16.0],
        [0.8, middle + 16.6],
        [0.0, middle + 16.6],
    ]);
    Solid::revolved(&outline, steps)
}
