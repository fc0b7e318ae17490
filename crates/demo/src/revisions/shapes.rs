//! Parts of the demo kit made simpler, and the two that it has not: coarser, without screws or brackets.

use crate::light::{lantern, tower};
use crate::outline::{circle, octagon, rectangle};
use crate::solid::Solid;

/// Steps around what is round: enough that no facet of the tower leaves its curve by 0.05 mm.
const STEPS: usize = 56;

/// Steps around what is small and round.
pub(super) const SMALL: usize = 32;

/// The top of the tower with the lip on which the gallery sits, 24 mm and the lip high.
pub(super) fn tower_top() -> Solid {
    let (outer, bore) = (tower::radius(tower::HEIGHT), tower::bore(tower::HEIGHT));
    let lip = tower::lip(tower::HEIGHT);
    Solid::revolved(
        &[
            [bore, 0.0],
            [outer - 0.4, 0.0],
            [outer, 0.4],
            [outer, 24.0],
            [lip, 24.0],
            [lip, 27.6],
            [lip - 0.4, 28.0],
            [lip - 1.6, 28.0],
            [lip - 1.6, 22.0],
            [bore, 20.0],
        ],
        STEPS,
    )
    .with(&tower::conductor(&[[outer, 0.0], [outer, 23.0]], true))
}

/// The gallery without brackets or screws; `gap` is left around the lip, mm a side.
pub(super) fn gallery(gap: f64) -> Solid {
    let collar = tower::radius(tower::HEIGHT) + 1.4;
    let seat = tower::lip(tower::HEIGHT) + gap;
    let body = Solid::lofted(&[
        (octagon(42.4), 10.0),
        (octagon(43.0), 10.6),
        (octagon(43.0), 13.5),
        (octagon(42.5), 14.0),
    ])
    .with(&Solid::revolved(
        &[
            [0.0, 0.0],
            [collar - 0.5, 0.0],
            [collar, 0.5],
            [collar, 11.0],
            [0.0, 11.0],
        ],
        STEPS,
    ))
    .with(&tower::conductor(&[[collar, 1.0], [collar, 11.0]], false));
    let mut cut = Solid::revolved(
        &[
            [0.0, -1.0],
            [seat + 1.5, -1.0],
            [seat, 0.5],
            [seat, 10.0],
            [8.0, 10.0],
            [8.0, 15.0],
            [0.0, 15.0],
        ],
        STEPS,
    );
    for k in 0..8 {
        for y in [-14.2, 14.2] {
            let socket = rectangle([40.3 - 1.25, y - 1.45], [40.3 + 1.25, y + 1.45]);
            cut = cut.with(&Solid::extruded(&[socket], 9.0, 15.0).turned(k, 8));
        }
    }
    body.without(&cut)
}

/// A pane with one rib in the middle of its inside, from well above the foot to well below the roof.
pub(super) fn ribbed_pane() -> Solid {
    // The underside rises at 45 degrees out of the sheet.
    let rib = vec![[0.0, 6.5], [2.5, 9.0], [2.5, 35.0], [0.0, 35.0]];
    lantern::sheet().with(&Solid::extruded_along_x(&[rib], -0.8, 0.8))
}

/// A stand for a lamp of 5 mm: a disc and a column of that radius with a hole down its middle, mm.
pub(super) fn lamp_stand(column: f64) -> Solid {
    Solid::revolved(
        &[
            [2.7, 0.0],
            [12.0, 0.0],
            [12.5, 0.5],
            [12.5, 3.0],
            [column, 3.0],
            [column, 20.0],
            [2.7, 20.0],
        ],
        SMALL,
    )
    .without(&Solid::extruded(
        &[circle([9.0, 0.0], 1.2, SMALL)],
        -1.0,
        4.0,
    ))
}
