//! The plate beneath a part: 10 mm squares, the plate's outline where it is in sight.

use mesh::Bounds;
use mesh::vector::{Vec3, add, dot, scale, sub};

use crate::camera::{Rotation, View, from_pose};

/// Squares of the grid, mm.
pub const SQUARE_MM: f64 = 10.0;
/// Tones, 0 ink to 1 paper.
const FACE: f64 = 0.955;
const LINE: f64 = 0.85;
const EDGE: f64 = 0.45;
/// Half widths of lines, pixels.
const LINE_HALF_PX: f64 = 0.45;
const EDGE_HALF_PX: f64 = 0.9;
/// Squares closer than this many pixels are drawn ten at a time.
const LEAST_SQUARE_PX: f64 = 5.0;

/// The patch of plate that a picture shows, in the frame of the mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ground {
    /// Corner of the plate, mesh frame.
    origin: Vec3,
    /// Unit vectors along the plate's x and y and away from it, mesh frame.
    axes: [Vec3; 3],
    /// The patch shown, plate coordinates: from and to along x and y, mm.
    patch: [[f64; 2]; 2],
    /// The whole plate along x and y, mm.
    plate_mm: [f64; 2],
}

impl Ground {
    /// A plate with a part of `posed` bounds (print pose) in its middle. The patch is the part's shadow
    /// and about a square around it, in whole squares; the whole plate where its edge comes into sight.
    pub fn beneath(posed: &Bounds, to_pose: &Rotation, plate_mm: [f64; 2]) -> Ground {
        let size = posed.size();
        let centre = posed.centre();
        let corner = [
            centre[0] - 0.5 * plate_mm[0],
            centre[1] - 0.5 * plate_mm[1],
            posed.min[2],
        ];
        let pad = SQUARE_MM
            .min(0.5 * size[0].max(size[1]))
            .max(0.3 * SQUARE_MM);
        let patch = [0, 1].map(|k| {
            let (middle, half) = (0.5 * plate_mm[k], 0.5 * size[k] + pad);
            let down = SQUARE_MM * libm::floor((middle - half) / SQUARE_MM);
            let up = SQUARE_MM * libm::ceil((middle + half) / SQUARE_MM);
            [down, up]
        });
        // Where the plate's edge comes into sight, the whole plate is shown.
        let inside = (0..2).all(|k| patch[k][0] > 0.0 && patch[k][1] < plate_mm[k]);
        let patch = if inside {
            patch
        } else {
            plate_mm.map(|side| [0.0, side])
        };
        Ground {
            origin: from_pose(to_pose, corner),
            axes: [0, 1, 2].map(|k| to_pose[k]),
            patch,
            plate_mm,
        }
    }

    /// The corners of the patch, mesh frame.
    pub fn corners(&self) -> [Vec3; 4] {
        let [x, y] = self.patch;
        [(0, 0), (1, 0), (1, 1), (0, 1)].map(|(i, j)| {
            let along = add(scale(self.axes[0], x[i]), scale(self.axes[1], y[j]));
            add(self.origin, along)
        })
    }

    /// Where the shadow of a point falls on the plate, mesh frame; `lamp` points towards the light.
    pub(crate) fn shadow_of(&self, p: Vec3, lamp: Vec3) -> Vec3 {
        let height = dot(sub(p, self.origin), self.axes[2]);
        let slope = dot(lamp, self.axes[2]).max(0.1);
        sub(p, scale(lamp, height / slope))
    }

    /// The patch as one view sees it; `None` from below or along the plate.
    pub(crate) fn seen(&self, view: &View) -> Option<SeenGround> {
        let facing = dot(view.toward, self.axes[2]);
        if facing < 0.05 {
            return None;
        }
        // Plate coordinates are linear in pixels: from the picture's corner, a step right, a step down.
        let on_plate = |px: f64, py: f64| {
            let across = (px - 0.5 * view.width_px as f64) / view.px_per_mm;
            let upward = (0.5 * view.height_px as f64 - py) / view.px_per_mm;
            let p = add(
                view.centre,
                add(scale(view.right, across), scale(view.up, upward)),
            );
            let d = sub(p, self.origin);
            let down = dot(d, self.axes[2]) / facing;
            let q = sub(d, scale(view.toward, down));
            [dot(q, self.axes[0]), dot(q, self.axes[1])]
        };
        let start = on_plate(0.0, 0.0);
        let (right, down) = (on_plate(1.0, 0.0), on_plate(0.0, 1.0));
        let per_px = [0, 1].map(|k| [right[k] - start[k], down[k] - start[k]]);
        let mm_per_px = per_px.map(|g| libm::hypot(g[0], g[1]).max(1e-12));
        let finest = SQUARE_MM / mm_per_px[0].max(mm_per_px[1]);
        let square_mm = if finest >= LEAST_SQUARE_PX {
            SQUARE_MM
        } else {
            10.0 * SQUARE_MM
        };
        Some(SeenGround {
            start,
            per_px,
            mm_per_px,
            square_mm,
            patch: self.patch,
            plate_mm: self.plate_mm,
        })
    }
}

pub(crate) struct SeenGround {
    start: [f64; 2],
    per_px: [[f64; 2]; 2],
    mm_per_px: [f64; 2],
    square_mm: f64,
    patch: [[f64; 2]; 2],
    plate_mm: [f64; 2],
}

impl SeenGround {
    /// The tone of the ground in the middle of a pixel; `None` beside the patch.
    #[inline]
    pub(crate) fn tone(&self, x: usize, y: usize) -> Option<f64> {
        let (px, py) = (x as f64 + 0.5, y as f64 + 0.5);
        let mut tone = FACE;
        let mut cover = 1.0f64;
        let mut edge = 0.0f64;
        for k in 0..2 {
            let at = self.start[k] + self.per_px[k][0] * px + self.per_px[k][1] * py;
            let [from, to] = self.patch[k];
            let inside_px = (at - from).min(to - at) / self.mm_per_px[k];
            if inside_px < -1.5 {
                return None;
            }
            cover = cover.min((inside_px + 0.5).clamp(0.0, 1.0));
            // Inside the patch: never negative beyond a line's width, so that cutting off rounds down.
            let squares = (at / self.square_mm + 0.5).max(0.0) as i64 as f64;
            let off = (at - self.square_mm * squares).abs();
            tone = tone.min(FACE - (FACE - LINE) * line(off / self.mm_per_px[k], LINE_HALF_PX));
            let rim = at.abs().min((at - self.plate_mm[k]).abs());
            edge = edge.max(line(rim / self.mm_per_px[k], EDGE_HALF_PX));
        }
        tone = 1.0 + cover * (tone - 1.0);
        // The plate's own edge is drawn over the patch's end, half of it outside.
        let [a, b] = self.patch;
        let within = |k: usize, [from, to]: [f64; 2]| {
            let at = self.start[k] + self.per_px[k][0] * px + self.per_px[k][1] * py;
            let slack = 1.5 * self.mm_per_px[k];
            at >= from - slack && at <= to + slack
        };
        if edge > 0.0 && within(0, a) && within(1, b) {
            tone += edge * (EDGE - tone);
        }
        Some(tone)
    }
}

/// How much of a pixel a line covers whose middle is `off` pixels away.
#[inline]
fn line(off: f64, half: f64) -> f64 {
    (half + 0.5 - off).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const AS_MODELLED: Rotation = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn ground(size: Vec3) -> Ground {
        let half = scale(size, 0.5);
        let posed = Bounds {
            min: scale(half, -1.0),
            max: half,
        };
        Ground::beneath(&posed, &AS_MODELLED, [220.0, 200.0])
    }

    #[test]
    fn a_small_part_gets_whole_squares_and_a_large_one_the_whole_plate() {
        let small = ground([32.0, 12.0, 8.0]);
        // The plate's middle lies at 110, 100: the part from 94 to 126, with a square around.
        assert_eq!(small.patch, [[80.0, 140.0], [80.0, 120.0]]);
        assert_eq!(small.corners()[0], [-30.0, -20.0, -4.0]);
        for large in [[300.0, 12.0, 8.0], [205.0, 12.0, 8.0], [1.0, 195.0, 1.0]] {
            assert_eq!(ground(large).patch, [[0.0, 220.0], [0.0, 200.0]]);
        }
    }

    #[test]
    fn a_shadow_lies_on_the_plate() {
        let g = ground([10.0, 10.0, 10.0]);
        let s = g.shadow_of([1.0, 2.0, 5.0], [0.6, 0.0, 0.8]);
        assert!((s[2] + 5.0).abs() < 1e-12 && (s[0] - (1.0 - 10.0 * 0.75)).abs() < 1e-12);
    }

    #[test]
    fn the_plate_is_not_seen_from_below() {
        let g = ground([10.0, 10.0, 10.0]);
        let from = |z| View::from_direction([1.0, 0.0, z], [0.0, 0.0, 1.0], 40, 30);
        assert!(g.seen(&from(1.0)).is_some());
        assert!(g.seen(&from(-1.0)).is_none());
        assert!(g.seen(&from(0.0)).is_none());
    }
}
