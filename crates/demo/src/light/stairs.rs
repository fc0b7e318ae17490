//! The stairs to the door and the cheek walls beside them; the right cheek is the left one mirrored.

use crate::outline::rectangle;
use crate::solid::Solid;

/// Where the pegs of the rock stand, in the assembled kit's frame, mm.
pub const PEG_Y: f64 = -51.0;
/// Front of the porch, with a gap for glue.
const BACK: f64 = -43.2;
const HALF_WIDTH: f64 = 14.0;
const CHEEK: f64 = 4.0;

/// Two steps, in the assembled kit's frame but for the height: z = 0 on the rock.
pub fn stairs() -> Solid {
    let side = vec![
        [BACK, 0.0],
        [BACK, 8.0],
        [BACK - 10.0, 8.0],
        [BACK - 10.0, 4.0],
        [BACK - 19.0, 4.0],
        [BACK - 19.0, 0.0],
    ];
    let mut steps = Solid::extruded_along_x(&[side], -HALF_WIDTH, HALF_WIDTH);
    for x in [-8.0, 8.0] {
        steps = steps.without(&Solid::extruded(
            &[rectangle(
                [x - 2.75, PEG_Y - 2.75],
                [x + 2.75, PEG_Y + 2.75],
            )],
            -1.0,
            2.4,
        ));
    }
    steps
}

/// The cheek wall at the left (x below 0), its newel post and a plinth on the outer side only.
pub fn cheek() -> Solid {
    let inner = -HALF_WIDTH - 0.2;
    let wall = vec![
        [BACK, 0.0],
        [BACK, 15.0],
        [BACK - 8.0, 15.0],
        [BACK - 15.0, 9.0],
        [BACK - 20.0, 9.0],
        [BACK - 20.0, 0.0],
    ];
    let wall = Solid::extruded_along_x(&[wall], inner - CHEEK, inner);
    let plinth = vec![
        [BACK, 0.0],
        [BACK, 2.6],
        [BACK - 19.0, 2.6],
        [BACK - 19.0, 0.0],
    ];
    let plinth = Solid::extruded_along_x(&[plinth], inner - CHEEK - 1.2, inner - CHEEK + 1.0);
    let (x0, x1) = (inner - CHEEK - 1.2, inner);
    let (y0, y1) = (BACK - 24.4, BACK - 18.4);
    let post = Solid::lofted(&[
        (rectangle([x0, y0], [x1, y1]), 0.0),
        (rectangle([x0, y0], [x1, y1]), 12.0),
        (rectangle([x0 + 1.6, y0 + 1.8], [x1 - 1.6, y1 - 1.8]), 14.0),
    ]);
    wall.with(&plinth).with(&post)
}
