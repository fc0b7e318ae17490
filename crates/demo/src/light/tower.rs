//! The tower: three hollow tapering sections that stand on each other's register lips.
//!
//! Each section stands on the plate as it stands in the tower. Inside, the wall leans inward no more than
//! 45 degrees under the lip; outside, the string course and the window bosses have 45-degree undersides.

use crate::outline::{cut_head, gable};
use crate::solid::Solid;

/// Steps around a round wall.
pub const STEPS: usize = 72;
/// Gap per side between a lip and the bore over it, mm.
const LIP_GAP: f64 = 0.25;
const WALL: f64 = 2.6;
const LIP_WALL: f64 = 1.6;
const LIP_HEIGHT: f64 = 4.0;
/// Height of all three sections together, mm.
pub const HEIGHT: f64 = 186.0;
/// Where each section begins and ends above the rock, mm.
pub const BASE: [f64; 2] = [0.0, 72.0];
/// The middle section.
pub const MIDDLE: [f64; 2] = [72.0, 132.0];
/// The upper section.
pub const UPPER: [f64; 2] = [132.0, HEIGHT];
/// The flat face of the porch, from the axis, mm.
pub const PORCH_FACE: f64 = 43.0;
/// The door's threshold above the rock, mm.
pub const THRESHOLD: f64 = 8.0;

/// Outer radius at a height above the rock: a curve that leans in and straightens.
pub fn radius(z: f64) -> f64 {
    27.0 + 11.0 * libm::pow(1.0 - z / HEIGHT, 1.6)
}

/// Radius of the bore that a section stands with on the lip below.
pub fn bore(z: f64) -> f64 {
    radius(z) - WALL
}

/// Radius of the lip that enters the bore at that height.
pub fn lip(z: f64) -> f64 {
    bore(z) - LIP_GAP
}

/// Heights at which a wall from `z0` to `z1` is bent to follow the curve.
fn bends(z0: f64, z1: f64) -> Vec<f64> {
    let count = libm::round((z1 - z0) / 6.0) as usize;
    (0..=count)
        .map(|k| z0 + (z1 - z0) * k as f64 / count as f64)
        .collect()
}

/// Outer and inner body of a section, its own frame: z = 0 at its foot.
fn shells([z0, z1]: [f64; 2], plinth: bool) -> (Solid, Solid) {
    let h = z1 - z0;
    let mut outer = vec![[0.0, 0.0]];
    let wall_from = if plinth {
        let foot = radius(z0) + 3.0;
        outer.extend([[foot - 0.5, 0.0], [foot, 0.5], [foot, 5.0]]);
        8.4
    } else {
        let foot = radius(z0);
        outer.extend([[foot - 0.4, 0.0], [foot, 0.4]]);
        3.0
    };
    for z in bends(wall_from, h - 6.0) {
        outer.push([radius(z0 + z), z]);
    }
    let course = radius(z1) + 1.8;
    outer.extend([
        [
            course,
            h - 6.0 + 1.8 - (radius(z1) - radius(z1 - 6.0)) + 0.3,
        ],
        [course, h - 0.5],
        [course - 0.5, h],
        [lip(z1), h],
        [lip(z1), h + LIP_HEIGHT - 0.5],
        [lip(z1) - 0.5, h + LIP_HEIGHT],
        [0.0, h + LIP_HEIGHT],
    ]);

    let within = lip(z1) - LIP_WALL;
    let mut inner = vec![
        [0.0, -1.0],
        [bore(z0) + 1.5, -1.0],
        [bore(z0) + 0.5, 0.0],
        [bore(z0), 0.5],
        [bore(z0), LIP_HEIGHT + 0.6],
    ];
    for z in bends(LIP_HEIGHT + 2.6, h - 8.0) {
        inner.push([bore(z0 + z), z]);
    }
    inner.extend([
        [within, h - 8.0 + 1.2 * (bore(z1 - 8.0) - within)],
        [within, h + LIP_HEIGHT + 1.0],
        [0.0, h + LIP_HEIGHT + 1.0],
    ]);
    (
        Solid::revolved(&outer, STEPS),
        Solid::revolved(&inner, STEPS),
    )
}

/// Width of the conductor and how far it stands out, mm.
const CONDUCTOR: [f64; 2] = [2.0, 1.2];

/// A strip up the side toward +x, as if a lightning conductor ran down the tower: the loops of its layers start along
/// its edge, out of mind. `wall` is the outer wall as (radius, height) from below; a foot on the plate is bevelled.
pub fn conductor(wall: &[[f64; 2]], foot: bool) -> Solid {
    let [wide, deep] = CONDUCTOR;
    let bevel = if foot { 0.4 } else { 0.0 };
    let mut outline: Vec<[f64; 2]> = wall.iter().rev().map(|[r, z]| [r - 1.0, *z]).collect();
    for (k, [r, z]) in wall.iter().enumerate() {
        if k == 0 && foot {
            outline.push([r + deep - bevel, *z]);
            outline.push([r + deep, z + bevel]);
        } else {
            outline.push([r + deep, *z]);
        }
    }
    Solid::extruded_along_y(&[outline], -wide / 2.0, wide / 2.0)
}

/// The conductor of a section, from its foot or out of its plinth up into its string course.
fn conductor_of([z0, z1]: [f64; 2], plinth: bool) -> Solid {
    let from = if plinth { 6.0 } else { 0.0 };
    let wall: Vec<[f64; 2]> = bends(from, z1 - z0 - 3.0)
        .into_iter()
        .map(|z| [radius(z0 + z), z])
        .collect();
    conductor(&wall, !plinth)
}

/// A boss toward -y with a flat face, an opening and a rebate for the window frame:
/// (what to add, what to cut). `z` is the foot of the frame in the section's own frame.
fn window(face: f64, z: f64) -> (Solid, Solid) {
    let deep = face - 8.0;
    let side = vec![
        [-face, z - 3.0],
        [-deep, z - 12.0],
        [-12.0, z - 12.0],
        [-12.0, z + 31.0],
        [-deep, z + 31.0],
        [-face, z + 23.0],
    ];
    let boss = Solid::extruded_along_x(&[side], -9.0, 9.0);
    let opening = Solid::extruded_along_y(&[cut_head(8.0, z + 2.5, z + 17.5, 2.5)], -60.0, -10.0);
    let rebate = Solid::extruded_along_y(
        &[cut_head(13.5, z - 0.25, z + 20.25, 3.6)],
        -60.0,
        1.2 - face,
    );
    (boss, opening.with(&rebate))
}

/// Distance of the middle section's window bosses from the axis, and the frame's foot above the section's, mm.
const MIDDLE_WINDOW: [f64; 2] = [32.5, 20.0];
/// The same in the upper section.
const UPPER_WINDOW: [f64; 2] = [29.7, 16.0];

/// The lowest section: plinth, porch with the door's opening and a rebate for the door.
pub fn base() -> Solid {
    let (outer, inner) = shells(BASE, true);
    let porch = Solid::extruded_along_y(&[gable(30.0, 0.0, 46.0, 10.0)], -PORCH_FACE, -15.0);
    let opening = Solid::extruded_along_y(
        &[cut_head(15.0, THRESHOLD, THRESHOLD + 36.0, 4.5)],
        -60.0,
        -10.0,
    );
    let rebate = Solid::extruded_along_y(
        &[cut_head(19.0, THRESHOLD, THRESHOLD + 38.0, 5.5)],
        -60.0,
        2.6 - PORCH_FACE,
    );
    outer
        .with(&porch)
        .with(&conductor_of(BASE, true))
        .without(&inner)
        .without(&opening.with(&rebate))
}

/// The middle section: a window to the front and one to the back.
pub fn middle() -> Solid {
    let (outer, inner) = shells(MIDDLE, false);
    let (boss, cut) = window(MIDDLE_WINDOW[0], MIDDLE_WINDOW[1]);
    outer
        .with(&boss)
        .with(&boss.turned(1, 2))
        .with(&conductor_of(MIDDLE, false))
        .without(&inner)
        .without(&cut)
        .without(&cut.turned(1, 2))
}

/// The upper section: a window to the front and one to the back.
pub fn upper() -> Solid {
    let (outer, inner) = shells(UPPER, false);
    let (boss, cut) = window(UPPER_WINDOW[0], UPPER_WINDOW[1]);
    outer
        .with(&boss)
        .with(&boss.turned(1, 2))
        .with(&conductor_of(UPPER, false))
        .without(&inner)
        .without(&cut)
        .without(&cut.turned(1, 2))
}
