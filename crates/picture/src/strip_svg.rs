//! A layer as a drawing: what is laid there, over the layer below it, large at a place.
//!
//! The layer is pale with a heavy outline, the layer below hatched with a dashed outline (line types and hatching
//! after ISO 128-2 and 128-3), so that material in the air is what is pale and bare; it reads without colour. A
//! length runs between two arrows with its value beside it (ISO 129-1). Seen from above in the print pose, x to the
//! right. It must not know why a place is shown.

use layers::{Contour, Layer, plain};

use crate::palette::{ACCENT, INK, PAPER, hex, tone_colour};
use crate::section;
use crate::section_svg::{
    GAP_PX, HEIGHT_PX, OVERVIEW_PX, WIDTH_PX, draw_overview, draw_scale_bar, flat_bounds, label,
    overview_panel, ring,
};
use crate::svg::{Panel, escaped, path};

/// The near panel shows at least so many millimetres across its height.
const LEAST_SPAN_MM: f64 = 20.0;
/// And so many times the reach of what is shown, or the length's own box.
const TIMES_REACH: f64 = 2.4;
const TIMES_LENGTH: f64 = 1.5;
/// Share of half the near panel that is left free around the place, its length and the part.
const MARGIN: f64 = 0.25;
/// Radius of the ring at the place, pixels.
const RING_PX: f64 = 16.0;
/// Length and half the width of an arrow's head, pixels.
const HEAD_PX: [f64; 2] = [9.0, 3.8];
/// Most bytes of path data of one layer in the near panel, and in the overview.
const MOST_NEAR: usize = 7000;
const MOST_OVERVIEW: usize = 3500;
/// Finest step between points, pixels; doubled until a path is small enough, at most so often.
const FINEST_PX: f64 = 0.3;
const DOUBLINGS: u32 = 8;

/// What is drawn. Places are those of the print pose, mm.
#[derive(Debug, Clone, Copy)]
pub struct Strip<'a> {
    /// The layer.
    pub layer: &'a Layer,
    /// The layer below it; `None` on the plate.
    pub below: Option<&'a Layer>,
    /// The place.
    pub at: [f64; 2],
    /// The ends of a length to be drawn, where there is one.
    pub ends: Option<[[f64; 2]; 2]>,
    /// The figure at the place as a page writes it ("12.00 mm"); empty for none.
    pub label: &'a str,
    /// How far what is shown reaches around the place, mm.
    pub reach_mm: f64,
}

/// A strip ready for a page.
#[derive(Debug, Clone, PartialEq)]
pub struct StripPicture {
    /// A whole `<svg>` element, of at most about 20 kB.
    pub svg: String,
    /// Which layer it is: "layer 151 at z 30.10 mm (pale), over the layer below (hatched)".
    pub words: String,
}

/// Draws a layer at a place; `name` begins every id in the drawing, so that many may stand in one page. `None` where
/// the layer has no contours or the place is no number.
pub fn strip_picture(strip: &Strip, name: &str) -> Option<StripPicture> {
    let layer = contours(strip.layer);
    let below = strip.below.map(contours).unwrap_or_default();
    if layer.is_empty() || !strip.at.iter().all(|c| c.is_finite()) {
        return None;
    }
    let bounds = flat_bounds(&layer)?;
    let near = near_panel(strip, bounds);
    let overview = overview_panel(with_panel(bounds, &near));
    let words = words(strip);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH_PX} {HEIGHT_PX}\" \
         width=\"{WIDTH_PX}\" height=\"{HEIGHT_PX}\" role=\"img\" font-family=\"system-ui, sans-serif\" \
         font-size=\"13\"><title>{}</title>",
        escaped(&words)
    );
    let hatch = format!("{}-below", escaped(name));
    out.push_str(&format!(
        "<defs><pattern id=\"{hatch}\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><path d=\"M0 0V7\" stroke=\"{}\" stroke-width=\"1.5\"/></pattern></defs>",
        hex(tone_colour(0.3))
    ));
    draw_overview(
        &mut out,
        &small(&layer, &overview, MOST_OVERVIEW),
        &overview,
        &near,
    );
    out.push_str(&near.open());
    out.push_str(&format!(
        "<path d=\"{}\" fill=\"{}\" fill-rule=\"nonzero\" stroke=\"{}\" stroke-width=\"2\" stroke-linejoin=\"round\"/>",
        paths(&small(&layer, &near, MOST_NEAR), &near),
        hex(tone_colour(0.88)),
        hex(INK)
    ));
    if !below.is_empty() {
        out.push_str(&format!(
            "<path d=\"{}\" fill=\"url(#{hatch})\" fill-rule=\"nonzero\" stroke=\"{}\" stroke-width=\"1.3\" \
             stroke-dasharray=\"6 3\" stroke-linejoin=\"round\"/>",
            paths(&small(&below, &near, MOST_NEAR), &near),
            hex(tone_colour(0.15))
        ));
    }
    draw_place(&mut out, strip, &near);
    draw_scale_bar(&mut out, &near);
    out.push_str(&format!(
        "<rect x=\"0.5\" y=\"0.5\" width=\"{:.1}\" height=\"{:.1}\" fill=\"none\" stroke=\"{}\"/></svg></svg>",
        near.width - 1.0,
        near.height - 1.0,
        hex(tone_colour(0.7))
    ));
    Some(StripPicture { svg: out, words })
}

fn words(strip: &Strip) -> String {
    let layer = format!(
        "layer {} at z {:.2} mm",
        strip.layer.index + 1,
        strip.layer.z_mm
    );
    match strip.below {
        Some(below) if below.contours.is_empty() => format!("{layer} (pale), with nothing below"),
        Some(_) => format!("{layer} (pale), over the layer below (hatched)"),
        None => format!("{layer}, on the plate"),
    }
}

/// Closed contours without points on a straight way, and open chains as they are.
fn contours(layer: &Layer) -> Vec<section::Contour> {
    let open = layer.contours.iter().filter(|c| !c.closed).cloned();
    let all = plain::plain(&layer.contours).into_iter().chain(open);
    all.map(|Contour { points, closed }| section::Contour { points, closed })
        .collect()
}

fn near_panel(strip: &Strip, bounds: [[f64; 2]; 2]) -> Panel {
    let (width, height) = (WIDTH_PX - OVERVIEW_PX - GAP_PX, HEIGHT_PX);
    let mut span = LEAST_SPAN_MM.max(TIMES_REACH * strip.reach_mm);
    let mut middle = strip.at;
    if let Some([a, b]) = strip.ends {
        let size = [0, 1].map(|k| TIMES_LENGTH * (b[k] - a[k]).abs());
        span = span.max(size[1]).max(size[0] * height / width);
        middle = [0, 1].map(|k| 0.5 * (a[k] + b[k]));
    }
    // Moved over the layer, as far as the place stays well within: what lies beside the part says nothing.
    let half = [0.5 * span * width / height, 0.5 * span];
    for k in 0..2 {
        let (low, high) = (
            bounds[0][k] + (1.0 - MARGIN) * half[k],
            bounds[1][k] - (1.0 - MARGIN) * half[k],
        );
        let moved = if low < high {
            middle[k].clamp(low, high)
        } else {
            0.5 * (bounds[0][k] + bounds[1][k])
        };
        let most = (1.0 - MARGIN) * half[k];
        let ends = strip.ends.iter().flatten().chain([&strip.at]);
        let (first, last) = ends.fold((f64::MAX, f64::MIN), |(first, last), p| {
            (first.min(p[k]), last.max(p[k]))
        });
        // The length fits: the panel is wider than it by more than its margins.
        middle[k] = moved.min(first + most).max(last - most);
    }
    Panel {
        left: OVERVIEW_PX + GAP_PX,
        top: 0.0,
        width,
        height,
        middle,
        px_per_mm: height / span,
    }
}

/// Bounds with what a panel shows, in its plane.
fn with_panel(bounds: [[f64; 2]; 2], panel: &Panel) -> [[f64; 2]; 2] {
    let half = [panel.width, panel.height].map(|px| 0.5 * px / panel.px_per_mm);
    [
        [0, 1].map(|k| bounds[0][k].min(panel.middle[k] - half[k])),
        [0, 1].map(|k| bounds[1][k].max(panel.middle[k] + half[k])),
    ]
}

/// The contours with as few points as a path of at most so many bytes needs.
fn small(contours: &[section::Contour], panel: &Panel, most: usize) -> Vec<section::Contour> {
    let mut step_px = FINEST_PX;
    let mut out = stepped(contours, step_px / panel.px_per_mm);
    for _ in 0..DOUBLINGS {
        if paths(&out, panel).len() <= most {
            break;
        }
        step_px *= 2.0;
        out = stepped(contours, step_px / panel.px_per_mm);
    }
    out
}

/// Points at least a step apart; contours smaller than the step are left out.
fn stepped(contours: &[section::Contour], step_mm: f64) -> Vec<section::Contour> {
    let far = |p: &[f64; 2], q: &[f64; 2]| libm::hypot(p[0] - q[0], p[1] - q[1]) >= step_mm;
    let mut out = Vec::with_capacity(contours.len());
    for contour in contours {
        let mut points: Vec<[f64; 2]> = Vec::new();
        for p in &contour.points {
            if points.last().is_none_or(|last| far(p, last)) {
                points.push(*p);
            }
        }
        if points.len() > 1 {
            out.push(section::Contour {
                points,
                closed: contour.closed,
            });
        }
    }
    out
}

fn paths(contours: &[section::Contour], panel: &Panel) -> String {
    contours.iter().map(|c| path(c, panel)).collect()
}

/// The ring at the place, the length between its arrows, and the figure.
fn draw_place(out: &mut String, strip: &Strip, panel: &Panel) {
    let at = panel.px(strip.at);
    ring(out, at, RING_PX);
    let mut beside = (at, RING_PX);
    if let Some(ends) = strip.ends {
        let [p, q] = ends.map(|e| panel.px(e));
        draw_length(out, p, q);
        let middle = [0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])];
        // Below the line where it runs across the panel, else to its right.
        if (q[0] - p[0]).abs() > (q[1] - p[1]).abs() {
            let ring_y = if (at[0] - middle[0]).abs() < 60.0 {
                RING_PX
            } else {
                0.0
            };
            text(out, [middle[0], middle[1] + ring_y + 24.0], strip.label);
            return;
        }
        beside = (middle, if middle == at { RING_PX } else { 8.0 });
    }
    if !strip.label.is_empty() {
        label(out, panel, beside.0, beside.1, strip.label);
    }
}

fn text(out: &mut String, [x, y]: [f64; 2], words: &str) {
    out.push_str(&format!(
        "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"middle\" font-size=\"17\" font-weight=\"600\" fill=\"{}\" \
         stroke=\"{}\" stroke-width=\"5\" stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
        hex(ACCENT),
        hex(PAPER),
        escaped(words)
    ));
}

/// A line with an arrow's head and a cross stroke at each end.
fn draw_length(out: &mut String, p: [f64; 2], q: [f64; 2]) {
    let long = libm::hypot(q[0] - p[0], q[1] - p[1]);
    if long < 1e-9 {
        return;
    }
    let d = [(q[0] - p[0]) / long, (q[1] - p[1]) / long];
    let mut lines = format!("M{:.1} {:.1}L{:.1} {:.1}", p[0], p[1], q[0], q[1]);
    let mut heads = String::new();
    for (end, s) in [(p, 1.0), (q, -1.0)] {
        let by = |along: f64, aside: f64| {
            [
                end[0] + s * d[0] * along - d[1] * aside,
                end[1] + s * d[1] * along + d[0] * aside,
            ]
        };
        let [a, b] = [by(0.0, 13.0), by(0.0, -13.0)];
        lines.push_str(&format!("M{:.1} {:.1}L{:.1} {:.1}", a[0], a[1], b[0], b[1]));
        let back = HEAD_PX[0].min(0.5 * long);
        let [a, b] = [by(back, HEAD_PX[1]), by(back, -HEAD_PX[1])];
        heads.push_str(&format!(
            "M{:.1} {:.1}L{:.1} {:.1}L{:.1} {:.1}Z",
            end[0], end[1], a[0], a[1], b[0], b[1]
        ));
    }
    out.push_str(&format!(
        "<path d=\"{lines}{heads}\" fill=\"none\" stroke=\"{}\" stroke-width=\"5\" stroke-linejoin=\"round\"/>\
         <path d=\"{lines}\" fill=\"none\" stroke=\"{accent}\" stroke-width=\"1.8\"/>\
         <path d=\"{heads}\" fill=\"{accent}\"/>",
        hex(PAPER),
        accent = hex(ACCENT)
    ));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(low: [f64; 2], high: [f64; 2]) -> Contour {
        Contour {
            points: vec![low, [high[0], low[1]], high, [low[0], high[1]]],
            closed: true,
        }
    }

    fn layer(index: usize, contours: Vec<Contour>) -> Layer {
        Layer {
            index,
            z_mm: (index as f64 + 0.5) * 0.2,
            contours,
        }
    }

    // Plane geometry: a layer of 20 x 10 mm over one of 10 x 10 mm; 20 mm across 320 px are 16 px a mm.
    #[test]
    fn a_box_over_half_of_itself_stands_where_it_is() {
        let above = layer(150, vec![square([0.0; 2], [20.0, 10.0])]);
        let below = layer(149, vec![square([0.0; 2], [10.0, 10.0])]);
        let strip = Strip {
            layer: &above,
            below: Some(&below),
            at: [10.0, 5.0],
            ends: None,
            label: "10.00 mm",
            reach_mm: 0.0,
        };
        let got = strip_picture(&strip, "arm-1").expect("material");
        assert_eq!(
            got.words,
            "layer 151 at z 30.10 mm (pale), over the layer below (hatched)"
        );
        // The panel is 416 wide: its middle, 208, is x 10; y 0 and y 10 lie 80 px from its middle.
        for path in [
            "M48.0 240.0L368.0 240.0L368.0 80.0L48.0 80.0Z",
            "M48.0 240.0L208.0 240.0L208.0 80.0L48.0 80.0Z",
        ] {
            assert!(got.svg.contains(path), "{path}: {}", got.svg);
        }
        assert!(got.svg.contains("url(#arm-1-below)") && got.svg.contains(">10.00 mm</text>"));
        assert!(got.svg.contains("cx=\"208.0\" cy=\"160.0\""));
        assert!(got.svg.len() < 5000, "{}", got.svg.len());
    }

    #[test]
    fn a_bridge_has_its_span_between_its_ends() {
        let above = layer(50, vec![square([0.0; 2], [50.0, 10.0])]);
        let below = layer(
            49,
            vec![
                square([0.0; 2], [5.0, 10.0]),
                square([45.0, 0.0], [50.0, 10.0]),
            ],
        );
        let strip = Strip {
            layer: &above,
            below: Some(&below),
            at: [12.0, 5.0],
            ends: Some([[5.0, 5.0], [45.0, 5.0]]),
            label: "40.00 mm",
            reach_mm: 0.0,
        };
        let got = strip_picture(&strip, "b").expect("material");
        // 1.5 times 40 mm across 416 px: the span is 416 / 1.5 = 277.3 px about the middle.
        assert!(got.svg.contains("M69.3 160.0L346.7 160.0"), "{}", got.svg);
        assert!(got.svg.contains(">40.00 mm</text>"));
    }

    #[test]
    fn a_layer_of_many_points_stays_small_and_an_empty_one_gives_nothing() {
        let star = |turns: f64| Contour {
            points: (0..200_000)
                .map(|k| {
                    let a = std::f64::consts::TAU * f64::from(k) / 200_000.0;
                    let r = 9.0 + 0.8 * libm::sin(turns * a);
                    [r * libm::cos(a), r * libm::sin(a)]
                })
                .collect(),
            closed: true,
        };
        let (above, below) = (layer(1, vec![star(900.0)]), layer(0, vec![star(700.0)]));
        let strip = Strip {
            layer: &above,
            below: Some(&below),
            at: [0.0; 2],
            ends: None,
            label: "",
            reach_mm: 0.0,
        };
        let got = strip_picture(&strip, "s").expect("material");
        assert!(got.svg.len() < 20_000, "{}", got.svg.len());
        let empty = layer(0, Vec::new());
        let nothing = Strip {
            layer: &empty,
            ..strip
        };
        assert!(strip_picture(&nothing, "s").is_none());
        let nowhere = Strip {
            at: [f64::NAN, 0.0],
            ..strip
        };
        assert!(strip_picture(&nowhere, "s").is_none());
    }
}
