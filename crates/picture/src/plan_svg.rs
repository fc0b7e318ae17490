//! A part's outline on a plate, seen from above: as filed, turned, and by how much it is over.
//!
//! What lies beyond the plate is drawn in another hatch and a heavier line; the outline's own width and
//! depth stand as dimensions (ISO 129-1) beside it. Coordinates are pixels of a drawing 480 wide.

use crate::palette::{ACCENT, INK, PAPER, hex, tone_colour};
use crate::svg::escaped;

/// The drawing and the room around plate and part, pixels.
const WIDTH_PX: f64 = 480.0;
const HEIGHT_PX: f64 = 380.0;
const ROOM_PX: f64 = 44.0;
/// Squares of the plate, mm, and how close they may be drawn, pixels.
const SQUARE_MM: f64 = 10.0;
const LEAST_SQUARE_PX: f64 = 4.0;
/// Distance of dimension lines from the outline, pixels.
const DIMENSION_PX: f64 = 16.0;
const HEAD_PX: f64 = 7.0;

/// What lies on the plate.
#[derive(Debug, Clone, Copy)]
pub struct Plan<'a> {
    /// The convex outline, counter-clockwise, mm, not turned.
    pub outline: &'a [[f64; 2]],
    /// The plate along x and y, mm.
    pub plate_mm: [f64; 2],
    /// Kept free along every edge, mm.
    pub edge_margin_mm: f64,
    /// The turn it is drawn at, degrees counter-clockwise.
    pub turn_deg: f64,
}

/// Draws the outline in the middle of the plate, a whole `<svg>` element; `name` begins every id in it.
/// `None` for an outline without area or a plate without size.
pub fn plan_picture(plan: &Plan, name: &str) -> Option<String> {
    let filed = centred(plan.outline, 0.0)?;
    let turned = centred(plan.outline, plan.turn_deg)?;
    let size = [0, 1].map(|k| extent(&turned, k));
    let [w, d] = plan.plate_mm;
    let shown = [0, 1].map(|k| size[k].max(plan.plate_mm[k]));
    let fine = |v: f64| v.is_finite() && v > 0.0;
    if !(fine(w) && fine(d) && fine(shown[0]) && fine(shown[1])) {
        return None;
    }
    let scale = ((WIDTH_PX - 2.0 * ROOM_PX) / shown[0]).min((HEIGHT_PX - 2.0 * ROOM_PX) / shown[1]);
    let px = |p: [f64; 2]| {
        [
            0.5 * WIDTH_PX + p[0] * scale,
            0.5 * HEIGHT_PX - 4.0 - p[1] * scale,
        ]
    };
    let hatch = format!("{}-plan", escaped(name));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH_PX} {HEIGHT_PX}\" width=\"{WIDTH_PX}\" \
         height=\"{HEIGHT_PX}\" role=\"img\" font-family=\"system-ui, sans-serif\" font-size=\"13\">\
         <title>{:.1} by {:.1} mm on a plate of {w} by {d} mm</title>\
         <defs>{}{}</defs>",
        size[0],
        size[1],
        pattern(&format!("{hatch}-on"), 45, 9, hex(tone_colour(0.5)), 0.9),
        pattern(&format!("{hatch}-over"), -45, 6, hex(ACCENT), 2.0),
    );
    let shape = polygon(&turned, px);
    // All of it as if beyond the plate; what is on the plate is then drawn over it.
    out.push_str(&format!(
        "<path d=\"{shape}\" fill=\"url(#{hatch}-over)\" stroke=\"{}\" stroke-width=\"2.6\" stroke-linejoin=\"round\"/>",
        hex(ACCENT)
    ));
    let corner = px([-0.5 * w, 0.5 * d]);
    let (pw, pd) = (w * scale, d * scale);
    out.push_str(&format!(
        "<svg x=\"{:.1}\" y=\"{:.1}\" width=\"{pw:.1}\" height=\"{pd:.1}\" overflow=\"hidden\">\
         <rect width=\"{pw:.1}\" height=\"{pd:.1}\" fill=\"{}\"/>",
        corner[0],
        corner[1],
        hex(tone_colour(0.955))
    ));
    out.push_str(&grid(plan.plate_mm, scale));
    let within = |p: [f64; 2]| {
        let [x, y] = px(p);
        [x - corner[0], y - corner[1]]
    };
    out.push_str(&format!(
        "<path d=\"{}\" fill=\"url(#{hatch}-on)\" stroke=\"{}\" stroke-width=\"1.8\" stroke-linejoin=\"round\"/>",
        polygon(&turned, within),
        hex(INK)
    ));
    if plan.edge_margin_mm > 0.0 {
        let m = plan.edge_margin_mm * scale;
        out.push_str(&format!(
            "<rect x=\"{m:.1}\" y=\"{m:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"none\" stroke=\"{}\" \
             stroke-dasharray=\"5 4\"/>",
            (pw - 2.0 * m).max(0.0),
            (pd - 2.0 * m).max(0.0),
            hex(tone_colour(0.35))
        ));
    }
    out.push_str("</svg>");
    out.push_str(&format!(
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{pw:.1}\" height=\"{pd:.1}\" fill=\"none\" stroke=\"{}\" stroke-width=\"1.6\"/>",
        corner[0],
        corner[1],
        hex(tone_colour(0.2))
    ));
    if plan.turn_deg != 0.0 {
        out.push_str(&format!(
            "<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"1\" stroke-dasharray=\"3 3\"/>",
            polygon(&filed, px),
            hex(tone_colour(0.3))
        ));
    }
    dimensions(&mut out, &turned, size, plan, px);
    out.push_str(&format!(
        "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\" fill=\"{}\">plate {w} \u{d7} {d} mm{}</text></svg>",
        0.5 * WIDTH_PX,
        HEIGHT_PX - 9.0,
        hex(tone_colour(0.2)),
        if plan.turn_deg == 0.0 {
            String::new()
        } else {
            format!(", turned {:.1}\u{b0} (dashed: as filed)", plan.turn_deg)
        }
    ));
    Some(out)
}

/// The outline turned, with the middle of its box at the origin.
fn centred(outline: &[[f64; 2]], turn_deg: f64) -> Option<Vec<[f64; 2]>> {
    let a = turn_deg.to_radians();
    let (s, c) = (libm::sin(a), libm::cos(a));
    let mut points: Vec<[f64; 2]> = outline
        .iter()
        .map(|p| [c * p[0] - s * p[1], s * p[0] + c * p[1]])
        .collect();
    if points.len() < 3 {
        return None;
    }
    for k in 0..2 {
        let (low, high) = range(&points, k);
        for p in &mut points {
            p[k] -= 0.5 * (low + high);
        }
    }
    Some(points)
}

fn range(points: &[[f64; 2]], k: usize) -> (f64, f64) {
    points
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| {
            (l.min(p[k]), h.max(p[k]))
        })
}

fn extent(points: &[[f64; 2]], k: usize) -> f64 {
    let (low, high) = range(points, k);
    high - low
}

fn pattern(id: &str, turn: i32, step: u32, colour: String, width: f64) -> String {
    format!(
        "<pattern id=\"{id}\" width=\"{step}\" height=\"{step}\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate({turn})\"><rect width=\"{step}\" height=\"{step}\" fill=\"{}\" \
         fill-opacity=\"0.6\"/><path d=\"M0 0V{step}\" stroke=\"{colour}\" stroke-width=\"{width}\"/></pattern>",
        hex(tone_colour(0.9))
    )
}

fn polygon(points: &[[f64; 2]], px: impl Fn([f64; 2]) -> [f64; 2]) -> String {
    let mut out = String::new();
    for (k, &p) in points.iter().enumerate() {
        let [x, y] = px(p);
        out.push_str(&format!("{}{x:.1} {y:.1}", if k == 0 { 'M' } else { 'L' }));
    }
    out.push('Z');
    out
}

fn grid(plate_mm: [f64; 2], scale: f64) -> String {
    let mut step = SQUARE_MM;
    while step * scale < LEAST_SQUARE_PX {
        step *= 10.0;
    }
    let [w, d] = plate_mm.map(|side| side * scale);
    let mut lines = String::new();
    let mut k = 1.0;
    while k * step < plate_mm[0] {
        lines.push_str(&format!("M{:.1} 0V{d:.1}", k * step * scale));
        k += 1.0;
    }
    k = 1.0;
    while k * step < plate_mm[1] {
        lines.push_str(&format!("M0 {:.1}H{w:.1}", d - k * step * scale));
        k += 1.0;
    }
    format!(
        "<path d=\"{lines}\" fill=\"none\" stroke=\"{}\" stroke-width=\"0.8\"/>",
        hex(tone_colour(0.875))
    )
}

/// Width above the outline, depth to its right; a side that is over in the accent and in bold.
fn dimensions(
    out: &mut String,
    turned: &[[f64; 2]],
    size: [f64; 2],
    plan: &Plan,
    px: impl Fn([f64; 2]) -> [f64; 2],
) {
    let (x, y) = (range(turned, 0), range(turned, 1));
    let [left, top] = px([x.0, y.1]);
    let [right, bottom] = px([x.1, y.0]);
    let [plate_right, plate_top] = px(plan.plate_mm.map(|side| 0.5 * side));
    // Where the outermost points lie: y of the left and right ones, x of the top and bottom ones.
    let at = |k: usize, value: f64| {
        let found = turned.iter().find(|p| p[k] == value);
        found.map_or([0.0; 2], |&p| px(p))[1 - k]
    };
    let reach = [at(0, x.0), at(0, x.1), at(1, y.1), at(1, y.0)];
    for k in 0..2 {
        let over = size[k] > plan.plate_mm[k] - 2.0 * plan.edge_margin_mm;
        let (colour, weight) = if over { (ACCENT, 700) } else { (INK, 400) };
        let (a, b, at, turn) = if k == 0 {
            let line = top.min(plate_top) - DIMENSION_PX;
            let middle = [0.5 * (left + right), line - 5.0];
            ([left, line], [right, line], middle, 0)
        } else {
            let line = right.max(plate_right) + DIMENSION_PX;
            let middle = [line + 5.0, 0.5 * (top + bottom)];
            ([line, top], [line, bottom], middle, 90)
        };
        let d = if k == 0 { [1.0, 0.0] } else { [0.0, 1.0] };
        let mut heads = String::new();
        for (end, s) in [(a, 1.0), (b, -1.0)] {
            let corner = |aside: f64| {
                [
                    end[0] + s * HEAD_PX * d[0] - aside * d[1],
                    end[1] + s * HEAD_PX * d[1] + aside * d[0],
                ]
            };
            let (p, q) = (corner(2.8), corner(-2.8));
            heads.push_str(&format!(
                "M{:.1} {:.1}L{:.1} {:.1}L{:.1} {:.1}Z",
                end[0], end[1], p[0], p[1], q[0], q[1]
            ));
        }
        // From the outline's outermost points out to the dimension line.
        let ticks = if k == 0 {
            let line = a[1] - 4.0;
            format!(
                "M{left:.1} {:.1}V{line:.1}M{right:.1} {:.1}V{line:.1}",
                reach[0], reach[1]
            )
        } else {
            let line = a[0] + 4.0;
            format!(
                "M{:.1} {top:.1}H{line:.1}M{:.1} {bottom:.1}H{line:.1}",
                reach[2], reach[3]
            )
        };
        out.push_str(&format!(
            "<path d=\"{ticks}\" fill=\"none\" stroke=\"{}\" stroke-width=\"0.8\"/>",
            hex(tone_colour(0.45))
        ));
        out.push_str(&format!(
            "<path d=\"M{:.1} {:.1}L{:.1} {:.1}\" fill=\"none\" stroke=\"{c}\" stroke-width=\"1.1\"/>\
             <path d=\"{heads}\" fill=\"{c}\"/>\
             <text x=\"{:.1}\" y=\"{:.1}\" transform=\"rotate({turn} {:.1} {:.1})\" text-anchor=\"middle\" \
             font-weight=\"{weight}\" fill=\"{c}\" stroke=\"{}\" stroke-width=\"4\" paint-order=\"stroke\">{:.1}</text>",
            a[0],
            a[1],
            b[0],
            b[1],
            at[0],
            at[1],
            at[0],
            at[1],
            hex(PAPER),
            size[k],
            c = hex(colour),
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BAR: [[f64; 2]; 4] = [[0.0, 0.0], [234.5, 0.0], [234.5, 40.0], [0.0, 40.0]];

    fn plan(turn_deg: f64) -> Plan<'static> {
        Plan {
            outline: &BAR,
            plate_mm: [220.0, 220.0],
            edge_margin_mm: 0.0,
            turn_deg,
        }
    }

    #[test]
    fn a_bar_that_is_over_says_its_length_in_bold() {
        let svg = plan_picture(&plan(0.0), "p").expect("it has an outline");
        assert!(svg.contains("font-weight=\"700\" fill=\"#004488\""));
        assert!(svg.contains(">234.5</text>") && svg.contains(">40.0</text>"));
        assert!(!svg.contains("turned"));
        assert_eq!(svg.matches("<svg").count(), svg.matches("</svg>").count());
    }

    #[test]
    fn the_same_bar_turned_is_as_wide_as_geometry_says_and_within_the_plate() {
        // (234.5 + 40) / sqrt 2 = 194.1
        let svg = plan_picture(&plan(45.0), "p").expect("it has an outline");
        assert_eq!(svg.matches(">194.1</text>").count(), 2);
        assert!(!svg.contains("font-weight=\"700\""));
        assert!(svg.contains("turned 45.0"));
    }

    #[test]
    fn an_outline_without_area_or_a_plate_without_size_gives_nothing() {
        let mut p = plan(0.0);
        p.outline = &BAR[..2];
        assert!(plan_picture(&p, "p").is_none());
        let mut p = plan(0.0);
        p.plate_mm = [0.0, 220.0];
        assert!(plan_picture(&p, "p").is_none());
        p.plate_mm = [f64::NAN, 220.0];
        assert!(plan_picture(&p, "p").is_none());
        let far = [[0.0, 0.0], [1e30, 0.0], [0.0, 1e30]];
        let p = Plan {
            outline: &far,
            ..plan(0.0)
        };
        assert!(plan_picture(&p, "p").is_some());
    }
}
