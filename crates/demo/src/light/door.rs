//! Door, door surround and window frames: flat parts that are printed apart for painting.
//! Each lies on its back; x is its width, y its height, z its depth.

use crate::outline::{Outline, circle, cut_head, gable, moved, rectangle};
use crate::solid::Solid;

/// What a gap of `gap` takes from the cut of a 45-degree corner when both sides move inward.
fn shorter_cut(cut: f64, gap: f64) -> f64 {
    cut - gap * (2.0 - core::f64::consts::SQRT_2)
}

/// The door: a back of 1.4 mm with stiles, rails and a knob, 0.25 mm smaller than its rebate on each side.
pub fn door() -> Solid {
    let leaf = cut_head(18.5, 0.0, 37.5, shorter_cut(5.5, 0.25));
    let panel = |x: f64, y0: f64, y1: f64| rectangle([x - 2.8, y0], [x + 2.8, y1]);
    let face: Vec<Outline> = vec![
        leaf.clone(),
        panel(-4.1, 2.6, 14.2),
        panel(4.1, 2.6, 14.2),
        panel(-4.1, 17.4, 24.4),
        panel(4.1, 17.4, 24.4),
        moved(&cut_head(13.8, 0.0, 8.3, 3.8), [0.0, 26.8]),
    ];
    let knob = Solid::revolved(
        &[[0.0, 1.0], [1.1, 1.0], [1.1, 3.0], [0.7, 3.5], [0.0, 3.5]],
        24,
    );
    Solid::extruded(&[leaf], 0.0, 1.4)
        .with(&Solid::extruded(&face, 1.0, 2.2))
        .with(&knob.moved([6.4, 15.8, 0.0]))
}

/// The surround that holds the door in its rebate: pilasters with feet, a gable and a keystone.
pub fn surround() -> Solid {
    let outer = gable(27.0, 0.0, 37.4, 9.0);
    let opening = cut_head(16.5, -1.0, 36.5, 4.8);
    let plate =
        Solid::extruded(&[outer], 0.0, 2.2).without(&Solid::extruded(&[opening], -1.0, 6.0));
    let mut all = plate;
    for x in [-11.0, 11.0] {
        let foot = rectangle([x - 2.5, 0.0], [x + 2.5, 5.0]);
        let capital = rectangle([x - 2.5, 30.0], [x + 2.5, 32.4]);
        all = all
            .with(&Solid::extruded(&[foot], 0.0, 3.4))
            .with(&Solid::extruded(&[capital], 0.0, 3.4));
    }
    let keystone = vec![[-1.8, 37.2], [1.8, 37.2], [2.6, 43.4], [-2.6, 43.4]];
    all.with(&Solid::extruded(&[keystone], 0.0, 3.4))
}

/// A window frame with a mullion, a transom and a sill, 0.25 mm smaller than its rebate on each side.
pub fn window() -> Solid {
    let outer = cut_head(13.0, 0.0, 20.0, shorter_cut(3.6, 0.25));
    let low = |x: f64| rectangle([x - 1.65, 2.5], [x + 1.65, 9.3]);
    let left = vec![
        [-0.7, 10.7],
        [-0.7, 17.5],
        [-1.5, 17.5],
        [-4.0, 15.0],
        [-4.0, 10.7],
    ];
    let right = left.iter().rev().map(|p| [-p[0], p[1]]).collect();
    let frame = vec![outer, low(-2.35), low(2.35), left, right];
    let sill = Solid::extruded(&[rectangle([-6.5, 0.0], [6.5, 1.8])], 0.0, 3.4);
    Solid::extruded(&frame, 0.0, 2.0).with(&sill)
}

/// A shutter in place of the upper window to the back: five slats that lean by 45 degrees, in a frame with the
/// window's outline. Each slat's edges are cut square, so that none runs out to nothing.
pub fn shutter() -> Solid {
    let outer = cut_head(13.0, 0.0, 20.0, shorter_cut(3.6, 0.25));
    let opening = cut_head(9.4, 2.5, 17.6, 2.2);
    let (thick, deep, edge) = (1.0, 2.0, 0.4);
    let lean = deep - edge;
    (0..5).fold(Solid::extruded(&[outer, opening], 0.0, deep), |body, k| {
        let y = 3.2 + 2.8 * f64::from(k);
        let slat = vec![
            [y, 0.0],
            [y + thick, 0.0],
            [y + thick + lean, lean],
            [y + thick + lean, deep],
            [y + lean, deep],
            [y, edge],
        ];
        body.with(&Solid::extruded_along_x(&[slat], -5.2, 5.2))
    })
}

/// A railing segment for one side of the gallery: posts with tenons and knobs, rails and balusters, on its
/// back and 2.0 mm thick.
pub fn railing() -> Solid {
    let right = [
        [13.0, -3.6],
        [15.4, -3.6],
        [15.4, 21.6],
        [16.0, 22.4],
        [16.0, 24.2],
        [15.2, 25.0],
        [13.2, 25.0],
        [12.4, 24.2],
        [12.4, 22.4],
        [13.0, 21.6],
    ];
    let left = right.iter().rev().map(|p| [-p[0], p[1]]);
    let mut outlines: Vec<Outline> = vec![
        [[-13.0, 2.8], [13.0, 2.8]]
            .into_iter()
            .chain(right)
            .chain(left)
            .collect(),
    ];
    // Six fields between the posts, in two rows between three rails.
    let bars = [-9.4, -4.7, 0.0, 4.7, 9.4];
    for field in 0..=bars.len() {
        let x0 = if field == 0 {
            -13.0
        } else {
            bars[field - 1] + 0.7
        };
        let x1 = bars.get(field).map_or(13.0, |x| x - 0.7);
        for (y0, y1) in [(4.4, 11.4), (13.0, 19.4)] {
            outlines.push(rectangle([x0, y0], [x1, y1]));
        }
    }
    Solid::extruded(&outlines, 0.0, 2.0)
}

/// The jig that holds a railing upright while its glue sets: it rests on the deck's edge and reaches over
/// the hand rail. The outline lies in the plate: x outward from the axis less 40 mm, y above the deck.
pub fn railing_jig() -> Solid {
    let outline = vec![
        [1.5, 0.0],
        [3.2, 0.0],
        [3.2, -6.0],
        [8.0, -6.0],
        [8.0, 27.6],
        [-4.4, 27.6],
        [-4.4, 17.0],
        [-1.0, 17.0],
        [-1.0, 25.2],
        [1.5, 25.2],
    ];
    let grip = circle([5.0, 5.0], 1.7, 24);
    Solid::extruded(&[outline, grip], 0.0, 22.0)
}
