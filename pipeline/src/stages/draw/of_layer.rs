//! The layer in which a finding lies, over the layer below it.

use std::cell::OnceCell;

use findings::{Finding, Place};
use layers::{Contour, Posed, Slicer, Stack};
use measure::PartFacts;
use measure::print::PrintFacts;
use mesh::vector::Vec3;
use mesh::{Edges, Mesh};
use picture::{Strip, strip_picture};
use report::Figure;

use crate::stages::model::Made;

/// The rules whose places lie in a layer.
const RULES: [&str; 9] = [
    "overhang.unsupported",
    "overhang.steep",
    "bridge.long",
    "island.in-air",
    "support.trapped",
    "first-layer.small",
    "first-layer.spread",
    "string.risk",
    "single-line.broken",
];
/// A place this much of a layer under a border between two lies in the upper one: rounding.
const ROUNDING: f64 = 0.05;
/// The way from what holds a place is drawn where it is as long as what was measured, but for this share and one
/// line's width: around a corner it is not.
const ALIKE: f64 = 0.1;

/// A part that can be cut; it is posed with the first cut.
pub struct Cuts<'a> {
    posed: OnceCell<Posed<'a>>,
    mesh: &'a Mesh,
    edges: &'a Edges,
    turn: [[f64; 3]; 3],
}

impl<'a> Cuts<'a> {
    /// A part with its turn to the print pose.
    pub fn of(made: &'a Made, turn: [[f64; 3]; 3]) -> Cuts<'a> {
        Cuts {
            posed: OnceCell::new(),
            mesh: &made.mesh,
            edges: &made.edges,
            turn,
        }
    }

    fn posed(&self) -> &Posed<'a> {
        self.posed.get_or_init(|| Posed::new(self.mesh, &self.turn))
    }
}

/// Whether a finding is shown in its layer.
fn lies_in_a_layer(finding: &Finding) -> bool {
    RULES.contains(&finding.rule.as_str())
}

/// The picture of a finding's worst place; `None` where no layer is to be shown.
pub fn figure(facts: &PartFacts, cuts: &Cuts, finding: &Finding) -> Option<Figure> {
    let place = finding
        .places
        .first()
        .filter(|_| lies_in_a_layer(finding))?;
    let print = found_at(facts, place)?;
    let posed = cuts.posed();
    let slicer = Slicer::new(posed, cuts.edges);
    let stack = slicer
        .stack(print.height.layer_mm)
        .closing(rules::print::crack_mm());
    let at = posed.to_pose(place.at);
    let k = index(&stack, at[2])?;
    let layer = stack.layer(k);
    let below = k.checked_sub(1).map(|under| stack.layer(under));
    let flat = |p: Vec3| {
        let [x, y, _] = posed.to_pose(p);
        [x, y]
    };
    let bridge = print.overhang.bridges.iter().find(|b| b.at == place.at);
    let ends = match bridge.filter(|_| finding.rule == "bridge.long") {
        Some(bridge) => Some(bridge.ends.map(flat)),
        None => place
            .measured
            .filter(|_| finding.rule == "overhang.unsupported")
            .zip(below.as_ref())
            .and_then(|(reach_mm, below)| {
                let from = nearest(&below.contours, [at[0], at[1]])?;
                let far = apart(from, [at[0], at[1]]);
                let alike = (far - reach_mm).abs() <= ALIKE * reach_mm + print.height.bead_mm;
                alike.then_some([from, [at[0], at[1]]])
            }),
    };
    let label = place.measured.map(|m| match finding.unit.as_str() {
        // Over many layers, of which one is drawn.
        "mm" if finding.rule == "overhang.steep" => format!("reaches {m:.2} mm"),
        "mm" => format!("{m:.2} mm"),
        "mm3" => format!("{m:.0} mm3"),
        unit => format!("{m:.1} {unit}"),
    });
    // What a slit or a small piece is about is its width or its border, not its length.
    let reaches = finding.rule.starts_with("overhang.");
    let strip = Strip {
        layer: &layer,
        below: below.as_ref(),
        at: [at[0], at[1]],
        ends,
        label: label.as_deref().unwrap_or(""),
        reach_mm: if reaches { place.reach_mm } else { 0.0 },
    };
    let drawn = strip_picture(&strip, &format!("{}-layer", finding.id))?;
    Some(Figure {
        svg: drawn.svg,
        caption: format!("From above: {}", drawn.words),
    })
}

/// The facts a place comes from; those at the settings' own height where they do not say.
fn found_at<'a>(facts: &'a PartFacts, place: &Place) -> Option<&'a PrintFacts> {
    let all = facts.print.as_ref()?.as_ref().ok()?;
    let measured = |m: f64| place.measured == Some(m);
    let here = |p: &&PrintFacts| {
        let hangs = &p.overhang;
        let overhang = |o: &measure::print::overhang::Overhang| {
            o.at == place.at && (measured(o.air_mm) || measured(o.steep_mm))
        };
        hangs.places.iter().any(overhang)
            || hangs
                .bridges
                .iter()
                .any(|b| b.at == place.at && measured(b.span_mm))
            || hangs.islands.iter().any(|i| i.at == place.at)
            || hangs
                .support
                .trapped
                .iter()
                .any(|t| t.at == place.at && measured(t.volume_mm3))
    };
    all.iter().find(here).or(all.first())
}

/// The layer at a height; the upper one of two at their border.
fn index(stack: &Stack, z_mm: f64) -> Option<usize> {
    let last = stack.count().checked_sub(1)?;
    let k = (z_mm / stack.layer_mm() + ROUNDING).floor();
    k.is_finite().then(|| (k.max(0.0) as usize).min(last))
}

/// The point of closed contours nearest to a point.
fn nearest(contours: &[Contour], p: [f64; 2]) -> Option<[f64; 2]> {
    let rings = contours.iter().filter(|c| c.closed);
    rings
        .flat_map(|c| {
            let n = c.points.len();
            (0..n).map(move |i| foot(c.points[i], c.points[(i + 1) % n], p))
        })
        .min_by(|a, b| apart(*a, p).total_cmp(&apart(*b, p)))
}

/// The point of a segment nearest to a point.
fn foot(a: [f64; 2], b: [f64; 2], p: [f64; 2]) -> [f64; 2] {
    let d = [b[0] - a[0], b[1] - a[1]];
    let long = d[0] * d[0] + d[1] * d[1];
    let t = if long > 0.0 {
        (((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / long).clamp(0.0, 1.0)
    } else {
        0.0
    };
    [a[0] + t * d[0], a[1] + t * d[1]]
}

fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    let [x, y] = [a[0] - b[0], a[1] - b[1]];
    (x * x + y * y).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_point_of_a_square() {
        let square = Contour {
            points: vec![[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]],
            closed: true,
        };
        assert_eq!(
            nearest(std::slice::from_ref(&square), [15.0, 4.0]),
            Some([10.0, 4.0])
        );
        assert_eq!(nearest(&[square], [-3.0, -4.0]), Some([0.0, 0.0]));
        assert_eq!(nearest(&[], [0.0; 2]), None);
    }
}
