//! The lamp: a base with a cup for a small geared motor, a holder on four screws, and a lens that turns
//! on the holder's journal. The motor is bought; its shape here is invented and is no part to print.

use crate::outline::{circle, direction, hole_around};
use crate::solid::Solid;

/// From the axis to the middle of a post, mm; the posts stand on the diagonals.
const POST: f64 = 16.0;
const DISC: f64 = 21.0;
/// Height of the posts on which the holder lies, mm.
pub const POSTS: f64 = 18.0;
/// Top of the holder's thrust collar above the holder's underside, mm.
pub const COLLAR: f64 = 5.2;
const STEPS: usize = 64;

fn on_the_diagonals(one: &Solid, all: Solid, join: fn(&Solid, &Solid) -> Solid) -> Solid {
    (0..4).fold(all, |body, k| join(&body, &one.turned(2 * k + 1, 8)))
}

/// The base plate: notched around the frame's bosses, a cup for the motor, four posts for inserts.
pub fn base() -> Solid {
    let disc = Solid::revolved(
        &[
            [0.0, 0.0],
            [DISC - 0.5, 0.0],
            [DISC, 0.5],
            [DISC, 3.0],
            [0.0, 3.0],
        ],
        STEPS,
    );
    let notch = Solid::block([13.5, -5.0, -1.0], [30.0, 5.0, 10.0]);
    let mut body = (0..4).fold(disc, |body, k| body.without(&notch.turned(k, 4)));
    let cup = Solid::revolved(&[[8.25, 2.0], [9.9, 2.0], [9.9, 9.0], [8.25, 9.0]], STEPS);
    body = body
        .with(&cup)
        .without(&Solid::extruded(&[circle([0.0; 2], 5.0, STEPS)], -1.0, 4.0));
    let post = Solid::extruded(&[circle([POST, 0.0], 4.5, 40)], 2.0, POSTS);
    let insert = Solid::extruded(
        &[hole_around([POST, 0.0], 2.0, 24)],
        POSTS - 7.0,
        POSTS + 1.0,
    );
    let body = on_the_diagonals(&post, body, Solid::with);
    on_the_diagonals(&insert, body, Solid::without)
}

/// The holder: clearance holes for four screws, a thrust collar and the journal for the lens.
pub fn holder() -> Solid {
    let body = Solid::revolved(
        &[
            [1.8, 0.0],
            [DISC - 0.5, 0.0],
            [DISC, 0.5],
            [DISC, 3.0],
            [6.5, 3.0],
            [6.5, COLLAR],
            [4.0, COLLAR],
            [4.0, COLLAR + 6.0],
            [3.5, COLLAR + 6.5],
            [1.8, COLLAR + 6.5],
        ],
        STEPS,
    );
    let screw = Solid::extruded(&[hole_around([POST, 0.0], 1.7, 24)], -1.0, 6.0);
    on_the_diagonals(&screw, body, Solid::without)
}

/// The lens: ridged like a beehive lens, with a hub that turns on the journal (0.25 mm a side) and takes
/// the motor's shaft.
pub fn lens() -> Solid {
    let wall = 12.0;
    let mut outline = vec![[4.25, 0.0], [wall - 0.4, 0.0], [wall, 0.4], [wall, 2.0]];
    for k in 0..8 {
        let z = 2.0 + 2.8 * f64::from(k);
        outline.extend([[wall + 1.3, z + 1.4], [wall, z + 2.8]]);
    }
    outline.extend([
        [wall, 26.0],
        [10.0, 26.0],
        [10.0, 2.4],
        [6.6, 2.4],
        [6.6, 15.4],
        [6.0, 16.0],
        [1.55, 16.0],
        [1.55, 10.0],
        [4.25, 7.0],
    ]);
    Solid::revolved(&outline, STEPS)
}

/// The motor as a bare scan would show it: the can is open below, so the surface has an edge.
pub fn motor() -> (Vec<[f64; 3]>, Vec<[u32; 3]>) {
    let steps = 24;
    let rings = [[8.0, 0.0], [8.0, 14.0], [1.5, 14.0], [1.5, 38.0]];
    let mut points = Vec::new();
    for [r, z] in rings {
        for k in 0..steps {
            let [c, s] = direction(k, steps);
            points.push([r * c, r * s, z]);
        }
    }
    let n = steps as u32;
    let mut triangles = Vec::new();
    for level in 0..rings.len() as u32 - 1 {
        for k in 0..n {
            let m = (k + 1) % n;
            let [a, b] = [level * n + k, level * n + m];
            triangles.push([a, b, b + n]);
            triangles.push([a, b + n, a + n]);
        }
    }
    let top = (rings.len() as u32 - 1) * n;
    for k in 1..n - 1 {
        triangles.push([top, top + k, top + k + 1]);
    }
    (points, triangles)
}
