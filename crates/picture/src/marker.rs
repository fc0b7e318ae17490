//! Marks on a picture: a ring with four ticks around a place, readable by shape and rim, not by colour.

use crate::canvas::Canvas;

/// Half width of the mark's line and of its light rim, pixels.
const LINE_HALF_PX: f64 = 1.25;
const RIM_HALF_PX: f64 = 3.0;
/// Ticks start this far outside the ring and are this long, pixels.
const TICK_GAP_PX: f64 = 3.0;
const TICK_PX: f64 = 9.0;
/// Dashes around the ring of a hidden place.
const DASHES: f64 = 14.0;

/// How a place is marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// The place itself: ring and ticks.
    Worst,
    /// The place itself, hidden behind what is seen: dashed ring and ticks.
    Hidden,
    /// Another place of the same finding: a small ring.
    Also,
}

/// Draws a mark around a pixel position; `radius_px` is that of the ring.
pub fn mark(canvas: &mut Canvas, at_px: [f64; 2], radius_px: f64, kind: Mark) {
    let reach = radius_px + TICK_GAP_PX + TICK_PX + RIM_HALF_PX + 1.0;
    if !at_px.iter().all(|c| c.is_finite() && c.abs() < 1e6)
        || radius_px.is_nan()
        || radius_px > 1e4
    {
        return;
    }
    let low = at_px.map(|c| libm::floor(c - reach) as i64);
    let high = at_px.map(|c| libm::ceil(c + reach) as i64);
    let ticks = kind != Mark::Also;
    for rim in [true, false] {
        let half = if rim { RIM_HALF_PX } else { LINE_HALF_PX };
        for y in low[1]..=high[1] {
            for x in low[0]..=high[0] {
                let d = [x as f64 + 0.5 - at_px[0], y as f64 + 0.5 - at_px[1]];
                let out = libm::hypot(d[0], d[1]);
                let mut off = (out - radius_px).abs();
                if kind == Mark::Hidden && !rim {
                    let turn = libm::atan2(d[1], d[0]) / std::f64::consts::TAU + 0.5;
                    if (turn * DASHES).fract() > 0.6 {
                        off = f64::INFINITY;
                    }
                }
                if ticks {
                    let (across, along) = (d[0].abs().min(d[1].abs()), d[0].abs().max(d[1].abs()));
                    let from = radius_px + TICK_GAP_PX;
                    let beyond = (from - along).max(along - from - TICK_PX).max(0.0);
                    off = off.min(libm::hypot(across, beyond));
                }
                let cover = (half + 0.5 - off).clamp(0.0, 1.0);
                if cover > 0.0 {
                    if rim {
                        canvas.lay_tone(x, y, 1.0, cover);
                    } else {
                        canvas.lay_accent(x, y, cover);
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ring_has_the_area_of_a_ring_and_leaves_its_middle_free() {
        let mut canvas = Canvas::paper(101, 101);
        mark(&mut canvas, [50.5, 50.5], 30.0, Mark::Also);
        let covered: f64 = canvas.pixels.iter().map(|p| f64::from(p[1]) / 255.0).sum();
        // A ring of middle radius r and width w has the area 2 pi r w (elementary geometry).
        let exact = std::f64::consts::TAU * 30.0 * 2.0 * LINE_HALF_PX;
        assert!((covered / exact - 1.0).abs() < 0.02, "{covered} {exact}");
        assert_eq!(canvas.pixels[50 * 101 + 50], [255, 0]);
    }

    #[test]
    fn a_mark_at_or_beyond_the_border_is_cut_and_nonsense_is_left_out() {
        let mut canvas = Canvas::paper(20, 20);
        for at in [
            [0.0, 0.0],
            [19.9, 3.0],
            [-50.0, 400.0],
            [f64::NAN, 1.0],
            [1e300, 0.0],
        ] {
            mark(&mut canvas, at, 8.0, Mark::Worst);
            mark(&mut canvas, at, f64::NAN, Mark::Hidden);
        }
        assert_eq!(canvas.pixels.len(), 400);
    }
}
