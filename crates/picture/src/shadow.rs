//! The soft shadow of a part on the plate: it grounds the part, and shows what does not touch.

use mesh::Mesh;
use mesh::vector::{Vec3, add, scale, unit};

use crate::camera::View;
use crate::ground::Ground;
use crate::raster::{self, NOTHING};

/// Where the light stands: nearly overhead, to the left of the picture and a little behind the reader.
const ASIDE: f64 = -0.34;
const BEHIND: f64 = 0.16;
/// The shadow's edge is spread over this many pixels to either side.
const SOFT_PX: usize = 3;

/// How deep in shadow the ground lies at every pixel: 0 not, 255 wholly.
pub(crate) fn on_ground(mesh: &Mesh, ground: &Ground, view: &View, up: Vec3) -> Vec<u8> {
    let lamp = add(
        add(up, scale(view.right, ASIDE)),
        scale(view.toward, BEHIND),
    );
    let lamp = unit(lamp).unwrap_or(up);
    let seen = raster::look_at(mesh, view, 1, |p| ground.shadow_of(p, lamp));
    let (width, height) = (seen.width, seen.height);
    let mut flat = vec![0u8; width * height];
    for y in 0..height {
        for (to, &facet) in flat[y * width..(y + 1) * width]
            .iter_mut()
            .zip(seen.facets(y))
        {
            *to = if facet == NOTHING { 0 } else { 255 };
        }
    }
    // A box blur both ways, twice: near enough to a bell.
    for _ in 0..2 {
        flat = blurred(&flat, width, height, 1, width);
        flat = blurred(&flat, height, width, width, 1);
    }
    flat
}

/// Averages over `2 SOFT_PX + 1` neighbours along lines of `len` values `step` apart; lines `stride` apart.
fn blurred(from: &[u8], len: usize, lines: usize, step: usize, stride: usize) -> Vec<u8> {
    let count = (2 * SOFT_PX + 1) as u32;
    let mut out = vec![0u8; from.len()];
    for line in 0..lines {
        let at = |k: usize| u32::from(from[line * stride + k * step]);
        let mut sum: u32 = (0..SOFT_PX.min(len)).map(at).sum();
        for k in 0..len {
            if k + SOFT_PX < len {
                sum += at(k + SOFT_PX);
            }
            if k > SOFT_PX {
                sum -= at(k - SOFT_PX - 1);
            }
            out[line * stride + k * step] = (sum / count) as u8;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_blur_keeps_the_sum_and_the_middle() {
        let mut line = vec![0u8; 40];
        line[20] = 210;
        let out = blurred(&line, 40, 1, 1, 40);
        assert_eq!(out[20], 30);
        assert_eq!(out.iter().map(|&v| u32::from(v)).sum::<u32>(), 210);
        assert_eq!((out[16], out[17], out[23], out[24]), (0, 30, 30, 0));
        assert_eq!(blurred(&[90, 90], 2, 1, 1, 2), [25, 25]);
        assert!(blurred(&[], 0, 0, 1, 0).is_empty());
    }
}
