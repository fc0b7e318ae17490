//! The least thickness near a reading: a pattern search over the surface, its step halved until the value
//! moves less than half a percent.

use std::f64::consts::FRAC_1_SQRT_2;

use mesh::vector::{Vec3, add, cross, dot, scale, unit};

use super::ball::{Ground, Side, ball_at};
use super::field::Reading;

/// The value has settled when a halved step moves it by less than this share.
const SETTLED: f64 = 0.005;
/// Steps are halved at least this often before the value may count as settled.
const HALVINGS: usize = 5;
/// Moves at most, each of eight readings.
const MOVES: usize = 64;
/// A step lands on the same stretch of surface: normals within 60 degrees.
const SAME_FACE: f64 = 0.5;

/// Follows the surface downhill from a reading; the result is never thicker and keeps the area and spacing.
/// `weigh` turns a reading into what is to be least.
pub(super) fn refine(
    ground: &Ground,
    side: Side,
    start: &Reading,
    reach_mm: f64,
    weigh: impl Fn(&Reading) -> f64,
    admit: impl Fn(&Reading) -> bool,
) -> Reading {
    let mut best = *start;
    let mut value = weigh(&best);
    let mut step = best.spacing_mm.max(1e-3);
    let mut halvings = 0;
    let mut before = value;
    for _ in 0..MOVES {
        let normal = ground.normals[best.triangle as usize];
        let (u, v) = tangents(normal);
        let mut better: Option<(f64, Reading)> = None;
        for k in 0..8 {
            let (a, b) = COMPASS[k];
            let off = add(scale(u, a * step), scale(v, b * step));
            let Some(reading) = read_near(ground, side, &best, normal, add(best.at, off), reach_mm)
            else {
                continue;
            };
            let weight = weigh(&reading);
            if weight < better.as_ref().map_or(value, |b| b.0) && admit(&reading) {
                better = Some((weight, reading));
            }
        }
        match better {
            Some((weight, reading)) => {
                best = reading;
                value = weight;
            }
            None => {
                halvings += 1;
                step *= 0.5;
                if halvings >= HALVINGS && before - value <= SETTLED * before {
                    break;
                }
                before = value;
            }
        }
    }
    best
}

/// Directions of a step.
const COMPASS: [(f64, f64); 8] = [
    (1.0, 0.0),
    (-1.0, 0.0),
    (0.0, 1.0),
    (0.0, -1.0),
    (FRAC_1_SQRT_2, FRAC_1_SQRT_2),
    (-FRAC_1_SQRT_2, FRAC_1_SQRT_2),
    (FRAC_1_SQRT_2, -FRAC_1_SQRT_2),
    (-FRAC_1_SQRT_2, -FRAC_1_SQRT_2),
];

/// Two unit vectors square to a normal and to each other.
pub(super) fn tangents(normal: Vec3) -> (Vec3, Vec3) {
    let size = normal.map(f64::abs);
    let axis = if size[0] <= size[1] && size[0] <= size[2] {
        [1.0, 0.0, 0.0]
    } else if size[1] <= size[2] {
        [0.0, 1.0, 0.0]
    } else {
        [0.0, 0.0, 1.0]
    };
    let u = unit(cross(normal, axis)).unwrap_or([1.0, 0.0, 0.0]);
    (u, cross(normal, u))
}

fn read_near(
    ground: &Ground,
    side: Side,
    from: &Reading,
    normal: Vec3,
    near: Vec3,
    reach_mm: f64,
) -> Option<Reading> {
    let landed = ground
        .tree
        .closest(near, from.spacing_mm.max(1e-3) * 2.0, |t| {
            dot(ground.normals[t as usize], normal) >= SAME_FACE
        })?;
    let ball = ball_at(ground, side, landed.point, landed.triangle, reach_mm)?;
    Some(Reading::new(
        landed.point,
        landed.triangle,
        ground.normals[landed.triangle as usize],
        &ball,
        from.area_mm2,
        from.spacing_mm,
    ))
}
