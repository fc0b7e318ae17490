//! The rock: two halves that are glued on the plane x = 0, with keys whose flanks stand at 45 degrees,
//! so that neither key nor socket needs support. The skerry grows narrower with height at every bearing, and a cleft
//! runs up both sides and over the top where the halves meet: the joint lies at its bottom, out of mind.

use crate::outline::{Outline, circle, direction, gable, rectangle};
use crate::solid::Solid;

use super::tower;

/// Height of the level top on which the tower stands, mm.
pub const TOP: f64 = 36.0;
/// Gap of each half to the joint plane, mm: room for glue.
const GLUE: f64 = 0.05;
const BEARINGS: usize = 32;
/// Depth of the cleft and half its width, mm.
const CLEFT: f64 = 1.2;
/// Half the side of a key at the joint, its height, and how much it narrows a millimetre of height.
const KEY: [f64; 3] = [7.0, 5.0, 1.04];

/// A number from -1 to 1 that depends on two counts only (integer hash after Wang, 2007; from memory).
fn roughness(bearing: usize, level: usize) -> f64 {
    let mut h = (bearing as u32)
        .wrapping_mul(0x9E37_79B9)
        .wrapping_add((level as u32).wrapping_mul(0x85EB_CA6B))
        .wrapping_add(7);
    h = (h ^ 61) ^ (h >> 16);
    h = h.wrapping_mul(9);
    h ^= h >> 4;
    h = h.wrapping_mul(0x27D4_EB2D);
    h ^= h >> 15;
    let rough = f64::from(h % 20_001) / 10_000.0 - 1.0;
    // The joint comes out at the bearings 8 and 24: a calm face there leaves no sharp edge on the halves.
    let from_joint = (bearing % 16).abs_diff(8);
    if from_joint <= 2 { 0.3 * rough } else { rough }
}

fn skerry() -> Solid {
    // Height and share of the foot's radius: steep faces between sloping ledges.
    let levels = [
        (0.0, 1.0),
        (3.0, 1.0),
        (9.0, 0.965),
        (14.0, 0.955),
        (19.0, 0.92),
        (26.0, 0.91),
        (31.0, 0.885),
        (TOP, 0.86),
    ];
    let mut radii: Vec<f64> = (0..BEARINGS)
        .map(|k| 80.0 * (1.0 + 0.05 * roughness(k, 0)))
        .collect();
    let foot = radii.clone();
    let mut rings: Vec<(Outline, f64)> = Vec::new();
    for (level, &(z, share)) in levels.iter().enumerate() {
        for k in 0..BEARINGS {
            if level > 1 {
                let rough = 0.016 * roughness(k, level);
                radii[k] = (foot[k] * (share + rough)).min(radii[k] - 0.3);
            }
        }
        let ring = (0..BEARINGS)
            .flat_map(|k| {
                let ([c, s], r) = (direction(k, BEARINGS), radii[k]);
                if k % 16 == 8 {
                    // On the joint plane: toward +y or -y.
                    vec![
                        [s * CLEFT, s * r],
                        [0.0, s * (r - CLEFT)],
                        [-s * CLEFT, s * r],
                    ]
                } else {
                    vec![[r * c, r * s]]
                }
            })
            .collect();
        rings.push((ring, z));
    }
    let rock = Solid::lofted(&rings);

    let spigot = tower::lip(0.0);
    let ring = Solid::revolved(
        &[
            [spigot - 4.0, TOP - 1.0],
            [spigot, TOP - 1.0],
            [spigot, TOP + 3.5],
            [spigot - 0.5, TOP + 4.0],
            [spigot - 4.0, TOP + 4.0],
        ],
        tower::STEPS,
    );
    let shaft = Solid::extruded(&[circle([0.0; 2], 6.0, 32)], -1.0, TOP + 5.0);
    let channel = Solid::extruded_along_y(&[gable(6.0, -1.0, 4.0, 1.0)], 0.0, 100.0);
    // The cleft over the top, beside the tower's foot and the porch.
    let over = vec![
        [-CLEFT - 0.5, TOP + 0.5],
        [0.0, TOP - CLEFT],
        [CLEFT + 0.5, TOP + 0.5],
    ];
    let front = Solid::extruded_along_y(std::slice::from_ref(&over), -100.0, -45.0);
    let back = Solid::extruded_along_y(&[over], 45.0, 100.0);
    let mut whole = rock
        .with(&ring)
        .without(&shaft)
        .without(&channel)
        .without(&front)
        .without(&back);
    for x in [-8.0, 8.0] {
        whole = whole.with(&peg(x));
    }
    whole
}

/// A peg that keeps the stairs in place.
fn peg(x: f64) -> Solid {
    let y = super::stairs::PEG_Y;
    Solid::extruded(
        &[rectangle([x - 2.5, y - 2.5], [x + 2.5, y + 2.5])],
        TOP - 1.0,
        TOP + 2.0,
    )
}

/// A square frustum along +x from the joint, `slack` wider on each side and deeper.
fn key(y: f64, z: f64, slack: f64) -> Solid {
    let [half, height, narrowing] = KEY;
    let at = |x: f64| {
        let h = half + slack - narrowing * x;
        (rectangle([y - h, z - h], [y + h, z + h]), x)
    };
    Solid::lofted(&[at(-1.0), at(height + slack)]).framed(
        [0.0, 1.0, 0.0],
        [0.0, 0.0, 1.0],
        [1.0, 0.0, 0.0],
    )
}

const KEYS: [[f64; 2]; 4] = [[-58.0, 16.0], [-24.0, 20.0], [26.0, 20.0], [56.0, 17.0]];

fn half(sign: f64) -> Solid {
    let [x0, x1] = if sign > 0.0 {
        [GLUE, 200.0]
    } else {
        [-200.0, -GLUE]
    };
    skerry().within(&Solid::block([x0, -200.0, -10.0], [x1, 200.0, 200.0]))
}

/// The half with the keys, x below 0.
pub fn left() -> Solid {
    KEYS.iter()
        .fold(half(-1.0), |rock, &[y, z]| rock.with(&key(y, z, 0.0)))
}

/// The half with the sockets, x above 0.
pub fn right() -> Solid {
    KEYS.iter()
        .fold(half(1.0), |rock, &[y, z]| rock.without(&key(y, z, 0.3)))
}
