//! A section as a drawing: the whole cut small, the place large, the measured length between arrows.
//!
//! Cut material is hatched and its outline drawn heavy (ISO 128-3); the measured length stands between
//! two arrows with its value beside them (ISO 129-1), and a scale bar gives the scale, so that it
//! reads in any print size and without colour. Coordinates are pixels of a drawing 640 wide.

use findings::Place;
use mesh::Mesh;
use mesh::vector::dot;

use crate::camera::{Rotation, round_down_125};
use crate::palette::{ACCENT, INK, PAPER, hex, tone_colour};
use crate::section::{Contour, Plane, Section, axis_of, cut_near};
use crate::svg::{Panel, escaped, path};

/// The drawing and its two panels, pixels.
pub(crate) const WIDTH_PX: f64 = 640.0;
pub(crate) const HEIGHT_PX: f64 = 320.0;
pub(crate) const OVERVIEW_PX: f64 = 216.0;
pub(crate) const GAP_PX: f64 = 8.0;
/// The near panel shows this many times the measured length across its height, and at least so many mm.
const TIMES_MEASURED: f64 = 9.0;
const LEAST_SPAN_MM: f64 = 1.5;
/// But no more than this many times the larger side of the cut, nor less than so many times the length.
const WHOLE_CUT: f64 = 1.1;
const LEAST_TIMES: f64 = 3.0;
/// Without a length it shows this many times the reach of the fault, and this share of the cut.
const TIMES_REACH: f64 = 5.0;
const SHARE_OF_CUT: f64 = 0.25;
/// Length of the arrows outside of the measured length, and of an arrow's head, pixels.
const ARROW_PX: f64 = 40.0;
const HEAD_PX: f64 = 9.0;

/// A section ready for a page.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionPicture {
    /// A whole `<svg>` element.
    pub svg: String,
    /// Where the cut lies: "section at z 11.80".
    pub words: String,
}

/// Draws the section through a place of a part. `label` is the measured length as a page writes it
/// ("0.31 mm") where the place's `measured` is a length along its `along`; `name` begins every id in
/// the drawing, so that many may stand in one page. `None` where the cut meets no material.
pub fn section_picture(
    mesh: &Mesh,
    to_pose: &Rotation,
    place: &Place,
    label: Option<&str>,
    name: &str,
) -> Option<SectionPicture> {
    let plane = Plane::through(place.at, place.along.or(place.outward), to_pose);
    let section = cut_near(mesh, plane);
    let bounds = flat_bounds(&section.contours)?;
    let words = section.plane.words();
    let at = section.plane.flat(place.at);
    let length = label.and_then(|label| {
        let t = place.along?;
        let measured = place.measured.filter(|m| *m > 0.0 && m.is_finite())?;
        let along = [dot(t, section.plane.right), dot(t, section.plane.up)];
        Some(Length {
            ends: ends(&section, at, along, measured),
            measured,
            label: label.to_string(),
        })
    });
    let size = [0, 1].map(|k| bounds[1][k] - bounds[0][k]);
    let span = match &length {
        Some(l) => (TIMES_MEASURED * l.measured)
            .min(WHOLE_CUT * size[0].max(size[1]))
            .max(LEAST_TIMES * l.measured)
            .max(LEAST_SPAN_MM),
        None => (TIMES_REACH * place.reach_mm)
            .max(SHARE_OF_CUT * size[0].max(size[1]))
            .max(LEAST_SPAN_MM),
    };
    let middle = length
        .as_ref()
        .map_or(at, |l| [0, 1].map(|k| 0.5 * (l.ends[0][k] + l.ends[1][k])));
    let near = Panel {
        left: OVERVIEW_PX + GAP_PX,
        top: 0.0,
        width: WIDTH_PX - OVERVIEW_PX - GAP_PX,
        height: HEIGHT_PX,
        middle,
        px_per_mm: HEIGHT_PX / span,
    };
    let overview = overview_panel(bounds);
    let mut out = String::new();
    out.push_str(&format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH_PX} {HEIGHT_PX}\" \
         width=\"{WIDTH_PX}\" height=\"{HEIGHT_PX}\" role=\"img\" font-family=\"system-ui, sans-serif\" \
         font-size=\"13\"><title>{}</title>",
        escaped(&match &length {
            Some(l) => format!("{words}, {}", l.label),
            None => words.clone(),
        })
    ));
    let hatch = format!("{}-cut", escaped(name));
    out.push_str(&format!(
        "<defs><pattern id=\"{hatch}\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><rect width=\"7\" height=\"7\" fill=\"{}\"/>\
         <path d=\"M0 0V7\" stroke=\"{}\" stroke-width=\"1.3\"/></pattern></defs>",
        hex(tone_colour(0.93)),
        hex(tone_colour(0.42))
    ));
    draw_overview(&mut out, &section.contours, &overview, &near);
    draw_near(&mut out, &section, &near, &hatch, at, length.as_ref());
    out.push_str("</svg>");
    Some(SectionPicture { svg: out, words })
}

/// A measured length in the plane's coordinates.
struct Length {
    ends: [[f64; 2]; 2],
    measured: f64,
    label: String,
}

/// The points a length runs between: where the contours show it, else from the place into the material.
fn ends(section: &Section, at: [f64; 2], along: [f64; 2], measured: f64) -> [[f64; 2]; 2] {
    if let Some(found) = section.span(at, along, measured) {
        return found;
    }
    let crossings = section.crossings(at, along);
    let inside = |s: f64| crossings.iter().filter(|&&c| c > s).count() % 2 == 1;
    let sign = if inside(0.5 * measured) || !inside(-0.5 * measured) {
        1.0
    } else {
        -1.0
    };
    [at, [0, 1].map(|k| at[k] + sign * measured * along[k])]
}

pub(crate) fn flat_bounds(contours: &[Contour]) -> Option<[[f64; 2]; 2]> {
    let mut points = contours.iter().flat_map(|c| &c.points);
    let first = points.next()?;
    let mut b = [*first, *first];
    for p in points {
        for k in 0..2 {
            b[0][k] = b[0][k].min(p[k]);
            b[1][k] = b[1][k].max(p[k]);
        }
    }
    b.iter().flatten().all(|c| c.is_finite()).then_some(b)
}

pub(crate) fn overview_panel(bounds: [[f64; 2]; 2]) -> Panel {
    let size = [0, 1].map(|k| (bounds[1][k] - bounds[0][k]).max(1e-6));
    let free = [OVERVIEW_PX - 32.0, HEIGHT_PX - 32.0];
    Panel {
        left: 0.0,
        top: 0.0,
        width: OVERVIEW_PX,
        height: HEIGHT_PX,
        middle: [0, 1].map(|k| 0.5 * (bounds[0][k] + bounds[1][k])),
        px_per_mm: (free[0] / size[0]).min(free[1] / size[1]),
    }
}

fn paths(contours: &[Contour], panel: &Panel, closed: bool) -> String {
    let wanted = |c: &&Contour| c.closed == closed;
    contours
        .iter()
        .filter(wanted)
        .map(|c| path(c, panel))
        .collect()
}

pub(crate) fn draw_overview(out: &mut String, contours: &[Contour], panel: &Panel, near: &Panel) {
    out.push_str(&panel.open());
    out.push_str(&format!(
        "<path d=\"{}\" fill=\"{}\" fill-rule=\"nonzero\" stroke=\"{}\" stroke-width=\"0.9\" stroke-linejoin=\"round\"/>",
        paths(contours, panel, true),
        hex(tone_colour(0.62)),
        hex(INK)
    ));
    out.push_str(&format!(
        "<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"1.4\" stroke-dasharray=\"4 2\"/>",
        paths(contours, panel, false),
        hex(INK)
    ));
    // What the near panel shows, never drawn smaller than can be seen.
    let [x, y] = panel.px(near.middle);
    let half =
        [near.width, near.height].map(|px| (0.5 * px / near.px_per_mm * panel.px_per_mm).max(7.0));
    let frame = format!(
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"none\"",
        x - half[0],
        y - half[1],
        2.0 * half[0],
        2.0 * half[1]
    );
    out.push_str(&format!(
        "{frame} stroke=\"{}\" stroke-width=\"5\"/>{frame} stroke=\"{}\" stroke-width=\"2\"/></svg>",
        hex(PAPER),
        hex(ACCENT)
    ));
}

fn draw_near(
    out: &mut String,
    section: &Section,
    panel: &Panel,
    hatch: &str,
    at: [f64; 2],
    length: Option<&Length>,
) {
    out.push_str(&panel.open());
    out.push_str(&format!(
        "<path d=\"{}\" fill=\"url(#{hatch})\" fill-rule=\"nonzero\" stroke=\"{}\" stroke-width=\"1.8\" stroke-linejoin=\"round\"/>",
        paths(&section.contours, panel, true),
        hex(INK)
    ));
    out.push_str(&format!(
        "<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"2\" stroke-dasharray=\"7 4\"/>",
        paths(&section.contours, panel, false),
        hex(INK)
    ));
    match length {
        Some(length) => draw_length(out, panel, length),
        None => {
            let [x, y] = panel.px(at);
            ring(out, [x, y], 26.0);
        }
    }
    draw_scale_bar(out, panel);
    draw_axes(out, section, panel);
    out.push_str(&format!(
        "<rect x=\"0.5\" y=\"0.5\" width=\"{:.1}\" height=\"{:.1}\" fill=\"none\" stroke=\"{}\"/></svg>",
        panel.width - 1.0,
        panel.height - 1.0,
        hex(tone_colour(0.7))
    ));
}

pub(crate) fn ring(out: &mut String, [x, y]: [f64; 2], radius: f64) {
    for (colour, width) in [(PAPER, 5.0), (ACCENT, 2.0)] {
        out.push_str(&format!(
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius:.1}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{width}\"/>",
            hex(colour)
        ));
    }
}

/// Two arrows that point at each other across the measured length, within a ring; the value beside it.
fn draw_length(out: &mut String, panel: &Panel, length: &Length) {
    let [p, q] = length.ends.map(|e| panel.px(e));
    let gap = libm::hypot(q[0] - p[0], q[1] - p[1]);
    let d = if gap > 1e-9 {
        [(q[0] - p[0]) / gap, (q[1] - p[1]) / gap]
    } else {
        [1.0, 0.0]
    };
    let middle = [0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])];
    let radius = 0.5 * gap + ARROW_PX;
    ring(out, middle, radius);
    let mut lines = String::new();
    let mut heads = String::new();
    for (end, s) in [(p, -1.0), (q, 1.0)] {
        let out_by = |by: f64, aside: f64| {
            [
                end[0] + s * d[0] * by - d[1] * aside,
                end[1] + s * d[1] * by + d[0] * aside,
            ]
        };
        let [tail, neck] = [out_by(ARROW_PX, 0.0), out_by(HEAD_PX - 1.0, 0.0)];
        let [a, b] = [
            out_by(HEAD_PX, 0.42 * HEAD_PX),
            out_by(HEAD_PX, -0.42 * HEAD_PX),
        ];
        let [e, f] = [out_by(0.0, 13.0), out_by(0.0, -13.0)];
        lines.push_str(&format!(
            "M{:.1} {:.1}L{:.1} {:.1}M{:.1} {:.1}L{:.1} {:.1}",
            tail[0], tail[1], neck[0], neck[1], e[0], e[1], f[0], f[1]
        ));
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
    label(out, panel, middle, radius, &length.label);
}

/// The value, to the right of the ring where there is room, else to its left, else above or below.
pub(crate) fn label(out: &mut String, panel: &Panel, middle: [f64; 2], radius: f64, text: &str) {
    let wide = 9.0 * text.chars().count() as f64 + 14.0;
    let (x, y, anchor) = if middle[0] + radius + wide < panel.width {
        (middle[0] + radius + 9.0, middle[1] + 6.0, "start")
    } else if middle[0] - radius - wide > 0.0 {
        (middle[0] - radius - 9.0, middle[1] + 6.0, "end")
    } else {
        (middle[0], (middle[1] - radius - 9.0).max(20.0), "middle")
    };
    out.push_str(&format!(
        "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" font-size=\"17\" font-weight=\"600\" \
         fill=\"{}\" stroke=\"{}\" stroke-width=\"5\" stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
        hex(ACCENT),
        hex(PAPER),
        escaped(text)
    ));
}

pub(crate) fn draw_scale_bar(out: &mut String, panel: &Panel) {
    let length = round_down_125(0.25 * panel.width / panel.px_per_mm);
    let px = length * panel.px_per_mm;
    let (x, y) = (16.0, panel.height - 16.0);
    out.push_str(&format!(
        "<rect x=\"8\" y=\"{:.1}\" width=\"{:.1}\" height=\"34\" fill=\"{paper}\" fill-opacity=\"0.88\"/>\
         <path d=\"M{x} {:.1}V{y:.1}H{:.1}V{:.1}\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"1.8\"/>\
         <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\" fill=\"{ink}\">{length} mm</text>",
        y - 26.0,
        px.max(44.0) + 16.0,
        y - 6.0,
        x + px,
        y - 6.0,
        x + 0.5 * px.max(44.0),
        y - 9.0,
        paper = hex(PAPER),
        ink = hex(INK)
    ));
}

/// Which way the mesh's own axes run, where the plane lies along them.
fn draw_axes(out: &mut String, section: &Section, panel: &Panel) {
    let plane = &section.plane;
    let (Some(right), Some(up)) = (axis_of(plane.right), axis_of(plane.up)) else {
        return;
    };
    let name = |(axis, positive): (char, bool)| {
        if positive {
            axis.to_string()
        } else {
            format!("\u{2212}{axis}")
        }
    };
    let (x, y) = (panel.width - 54.0, 52.0);
    out.push_str(&format!(
        "<rect x=\"{:.1}\" y=\"6\" width=\"56\" height=\"56\" fill=\"{paper}\" fill-opacity=\"0.88\"/>\
         <path d=\"M{x} {:.1}V{y}H{:.1}M{:.1} {:.1}L{x} {:.1}L{:.1} {:.1}M{:.1} {:.1}L{:.1} {y}L{:.1} {:.1}\" \
         fill=\"none\" stroke=\"{ink}\" stroke-width=\"1.3\"/>\
         <text x=\"{:.1}\" y=\"{:.1}\" fill=\"{ink}\">{}</text><text x=\"{:.1}\" y=\"{:.1}\" fill=\"{ink}\">{}</text>",
        x - 8.0,
        y - 26.0,
        x + 26.0,
        x - 3.5,
        y - 20.0,
        y - 26.0,
        x + 3.5,
        y - 20.0,
        x + 20.0,
        y - 3.5,
        x + 26.0,
        x + 20.0,
        y + 3.5,
        x + 31.0,
        y + 4.0,
        name(right),
        x - 4.0,
        y - 31.0,
        name(up),
        paper = hex(PAPER),
        ink = hex(INK)
    ));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::closeup::block;

    const AS_MODELLED: Rotation = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn wall() -> Place {
        Place {
            measured: Some(0.6),
            along: Some([1.0, 0.0, 0.0]),
            ..Place::at([0.0, 10.0, 5.0])
        }
    }

    #[test]
    fn a_wall_of_six_tenths_is_drawn_at_scale_between_its_arrows() {
        let mesh = block([0.0; 3], [0.6, 20.0, 10.0]);
        let got = section_picture(&mesh, &AS_MODELLED, &wall(), Some("0.60 mm <x>"), "wall-1")
            .expect("material");
        assert_eq!(got.words, "section at z 5.00");
        assert!(got.svg.contains(">0.60 mm &lt;x&gt;</text>"));
        assert!(got.svg.contains("id=\"wall-1-cut\"") && got.svg.contains("url(#wall-1-cut)"));
        // 9 times 0.6 mm over 320 px: the wall is 320 / 9 = 35.6 px wide, centred in the panel of 416.
        let px = HEIGHT_PX / TIMES_MEASURED;
        let left = 0.5 * (WIDTH_PX - OVERVIEW_PX - GAP_PX) - 0.5 * px;
        assert!(
            got.svg
                .contains(&format!("M{left:.1} {:.1}L", 0.5 * HEIGHT_PX)),
            "{}",
            got.svg
        );
        assert!(got.svg.len() < 6000, "{}", got.svg.len());
    }

    #[test]
    fn a_place_without_a_length_is_ringed_and_one_outside_gives_nothing() {
        let mesh = block([0.0; 3], [30.0, 20.0, 10.0]);
        let inside = Place::at([15.0, 10.0, 5.0]);
        let got = section_picture(&mesh, &AS_MODELLED, &inside, None, "a").expect("material");
        assert!(got.svg.contains("<circle") && got.svg.matches("<svg").count() == 3);
        assert_eq!(
            got.svg.matches("<svg").count(),
            got.svg.matches("</svg>").count()
        );
        let outside = Place::at([15.0, 10.0, 500.0]);
        assert!(section_picture(&mesh, &AS_MODELLED, &outside, None, "a").is_none());
        let nothing = Mesh::default();
        assert!(section_picture(&nothing, &AS_MODELLED, &inside, None, "a").is_none());
    }

    #[test]
    fn a_length_that_the_contours_do_not_show_runs_into_the_material() {
        let mesh = block([0.0; 3], [30.0, 20.0, 10.0]);
        let section = cut_near(&mesh, Plane::through([0.0, 10.0, 5.0], None, &AS_MODELLED));
        assert_eq!(
            ends(&section, [0.0, 0.0], [1.0, 0.0], 2.0),
            [[0.0, 0.0], [2.0, 0.0]]
        );
        assert_eq!(
            ends(&section, [30.0, 0.0], [1.0, 0.0], 2.0),
            [[30.0, 0.0], [28.0, 0.0]]
        );
    }
}
