//! Writing SVG: panels with a scale of their own, paths, escaped text.

use crate::section::Contour;

/// Points nearer than this to the last one drawn are left out, pixels.
const LEAST_STEP_PX: f64 = 0.3;
/// Paths are cut this far outside their panel, so that the cut's own edges are never seen, pixels.
const BEYOND_PX: f64 = 24.0;

/// A rectangle of a drawing that shows a plane at its own scale.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Panel {
    /// Corner within the drawing, pixels.
    pub left: f64,
    /// Corner within the drawing, pixels.
    pub top: f64,
    /// Pixels.
    pub width: f64,
    /// Pixels.
    pub height: f64,
    /// The point of the plane in the panel's middle, mm.
    pub middle: [f64; 2],
    /// Scale.
    pub px_per_mm: f64,
}

impl Panel {
    /// Where a point of the plane falls within the panel, pixels from its own corner.
    pub(crate) fn px(&self, p: [f64; 2]) -> [f64; 2] {
        [
            0.5 * self.width + (p[0] - self.middle[0]) * self.px_per_mm,
            0.5 * self.height - (p[1] - self.middle[1]) * self.px_per_mm,
        ]
    }

    /// The panel's own `<svg>` element, which cuts off what lies outside; to be closed by the caller.
    pub(crate) fn open(&self) -> String {
        format!(
            "<svg x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" overflow=\"hidden\">",
            self.left, self.top, self.width, self.height
        )
    }
}

/// A contour as path data; empty where it does not touch the panel.
pub(crate) fn path(contour: &Contour, panel: &Panel) -> String {
    let points: Vec<[f64; 2]> = contour.points.iter().map(|&p| panel.px(p)).collect();
    if !contour.closed {
        return joined(&points, false);
    }
    let size = [panel.width, panel.height];
    let mut polygon = points;
    for (axis, upper) in [(0, false), (0, true), (1, false), (1, true)] {
        polygon = clipped(&polygon, |p| {
            if upper {
                size[axis] + BEYOND_PX - p[axis]
            } else {
                p[axis] + BEYOND_PX
            }
        });
    }
    joined(&polygon, true)
}

/// The part of a polygon on the side where `inside` is not negative.
fn clipped(polygon: &[[f64; 2]], inside: impl Fn(&[f64; 2]) -> f64) -> Vec<[f64; 2]> {
    let mut kept = Vec::with_capacity(polygon.len() + 4);
    for (k, p) in polygon.iter().enumerate() {
        let q = &polygon[(k + 1) % polygon.len()];
        let (a, b) = (inside(p), inside(q));
        if a >= 0.0 {
            kept.push(*p);
        }
        if (a >= 0.0) != (b >= 0.0) {
            let s = a / (a - b);
            kept.push([p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1])]);
        }
    }
    kept
}

fn joined(points: &[[f64; 2]], closed: bool) -> String {
    if points.len() < 2 {
        return String::new();
    }
    let mut out = String::new();
    let mut last: Option<[f64; 2]> = None;
    for (k, p) in points.iter().enumerate() {
        let near = last.is_some_and(|l| libm::hypot(p[0] - l[0], p[1] - l[1]) < LEAST_STEP_PX);
        if near && k + 1 < points.len() {
            continue;
        }
        let letter = if last.is_none() { 'M' } else { 'L' };
        out.push_str(&format!("{letter}{:.1} {:.1}", p[0], p[1]));
        last = Some(*p);
    }
    if closed {
        out.push('Z');
    }
    out
}

/// Text for an element or an attribute.
pub(crate) fn escaped(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_control())
        .map(|c| match c {
            '&' => "&amp;".to_string(),
            '<' => "&lt;".to_string(),
            '>' => "&gt;".to_string(),
            '"' => "&quot;".to_string(),
            '\'' => "&#39;".to_string(),
            c => c.to_string(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const PANEL: Panel = Panel {
        left: 0.0,
        top: 0.0,
        width: 100.0,
        height: 50.0,
        middle: [0.0, 0.0],
        px_per_mm: 10.0,
    };

    fn square(half: f64, at: f64) -> Contour {
        Contour {
            points: vec![[-half, -half], [half, -half], [half, half], [-half, half]]
                .into_iter()
                .map(|p| [p[0] + at, p[1]])
                .collect(),
            closed: true,
        }
    }

    #[test]
    fn a_contour_within_the_panel_is_drawn_whole_and_one_outside_not_at_all() {
        assert_eq!(
            path(&square(1.0, 0.0), &PANEL),
            "M40.0 35.0L60.0 35.0L60.0 15.0L40.0 15.0Z"
        );
        assert_eq!(path(&square(1.0, 90.0), &PANEL), "");
        let large = path(&square(1e9, 0.0), &PANEL);
        assert!(
            large.contains("-24.0") && large.contains("124.0"),
            "{large}"
        );
    }

    #[test]
    fn text_is_escaped() {
        assert_eq!(escaped("a<b>&\"'\u{7}"), "a&lt;b&gt;&amp;&quot;&#39;");
    }
}
