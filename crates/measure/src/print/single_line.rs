//! A part printed as one closed line a layer: whether every layer is one loop, and lies on the loop below.
//!
//! The part may be drawn solid (the line follows its outline) or as a wall one line wide (its two rings are one
//! line). Layers of the floor are printed like any other part's and are not looked at.
//! It must not know limits: what counts as one line wide and as a step comes in.

use layers::outline::{Outline, Seen, Segment, Side};
use layers::{Contour, Layer, Piece, Stack, pieces};
use mesh::vector::Vec3;
use serde::{Deserialize, Serialize};

use super::Height;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asks {
    /// Height of the floor, mm.
    pub floor_mm: f64,
    /// A wall no wider on average is one line, line widths.
    pub wall_beads: f64,
    /// A piece longer than so many times its width is a strip, and a strip one line wide is no loop.
    pub strip: f64,
    /// Steps to the loop below are counted beyond this, line widths.
    pub step_beads: f64,
}

/// What is known of a part printed in one line.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct SingleLine {
    /// Layers above the floor.
    pub layers: usize,
    /// Layers that are not one closed loop.
    pub broken: usize,
    /// The lowest of them with most lines.
    pub lines: Option<Lines>,
    /// Layers with a piece over nothing.
    pub in_air: usize,
    /// The lowest such piece.
    pub start: Option<Start>,
    /// Layers that step further than asked beside the loop below.
    pub steps: usize,
    /// The greatest step.
    pub step: Option<Step>,
}

/// A layer of another number of lines than one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lines {
    /// Closed loops it takes.
    pub loops: usize,
    /// Lines with two ends.
    pub strips: usize,
    /// Height of the layer's cut above the plate, mm.
    pub height_mm: f64,
    /// A place on one of them, in the mesh's own frame.
    pub at: Vec3,
}

/// A piece over nothing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Start {
    /// Height of the layer's cut above the plate, mm.
    pub height_mm: f64,
    /// A place on it, in the mesh's own frame.
    pub at: Vec3,
}

/// A loop beside the loop below.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// How far, mm.
    pub step_mm: f64,
    /// Height of the layer's cut above the plate, mm.
    pub height_mm: f64,
    /// Where, in the mesh's own frame.
    pub at: Vec3,
}

/// Layers a chunk.
const CHUNK: usize = 32;

/// What one layer says.
#[derive(Default)]
struct Looked {
    counted: bool,
    lines: Option<Lines>,
    start: Option<Start>,
    step: Option<Step>,
}

/// Measures a part on its layers.
pub fn measure(stack: &Stack, height: &Height, asks: &Asks) -> SingleLine {
    let each = stack.runs(CHUNK, 1, |own, run| {
        let mut below: Option<Layer> = None;
        let mut out = Vec::new();
        for layer in run {
            if own.contains(&layer.index) {
                out.push(look(stack, &layer, below.as_ref(), height.bead_mm, asks));
            }
            below = Some(layer);
        }
        out
    });
    let step_mm = asks.step_beads * height.bead_mm;
    let mut found = SingleLine::default();
    for seen in each.into_iter().flatten() {
        found.layers += usize::from(seen.counted);
        if let Some(lines) = seen.lines {
            found.broken += 1;
            let many = |l: &Lines| l.loops + l.strips;
            if found.lines.is_none_or(|l| many(&lines) > many(&l)) {
                found.lines = Some(lines);
            }
        }
        found.in_air += usize::from(seen.start.is_some());
        found.start = found.start.or(seen.start);
        if let Some(step) = seen.step {
            found.steps += usize::from(step.step_mm > step_mm);
            if found.step.is_none_or(|s| step.step_mm > s.step_mm) {
                found.step = Some(step);
            }
        }
    }
    found
}

fn look(stack: &Stack, layer: &Layer, below: Option<&Layer>, bead_mm: f64, asks: &Asks) -> Looked {
    let mut seen = Looked::default();
    if layer.z_mm < asks.floor_mm {
        return seen;
    }
    seen.counted = true;
    let z = layer.z_mm;
    let place = |p: [f64; 2]| stack.posed().to_mesh([p[0], p[1], z]);
    let found = pieces(layer);
    let (mut loops, mut strips) = (0, 0);
    for piece in &found {
        match lines(piece, bead_mm, asks) {
            0 => strips += 1,
            n => loops += n,
        }
    }
    if (loops, strips) != (1, 0)
        && let Some(last) = found.last()
    {
        seen.lines = Some(Lines {
            loops,
            strips,
            height_mm: z,
            at: place(last.outer.points[0]),
        });
    }
    let Some(below) = below else {
        return seen;
    };
    let under = pieces(below);
    let in_air = found.iter().find(|p| !under.iter().any(|u| u.meets(p)));
    seen.start = in_air.map(|p| Start {
        height_mm: z,
        at: place(p.outer.points[0]),
    });
    if below.z_mm >= asks.floor_mm && seen.start.is_none() && !under.is_empty() {
        let outers: Vec<Contour> = under.iter().map(|p| p.outer.clone()).collect();
        let down = Outline::new(&outers, Side::Material, bead_mm);
        let worst = found
            .iter()
            .filter_map(|p| farthest(p.outer, &down, bead_mm, asks.step_beads * bead_mm))
            .reduce(|a, b| if b.0 > a.0 { b } else { a });
        seen.step = worst.map(|(step_mm, at)| Step {
            step_mm,
            height_mm: z,
            at: place(at),
        });
    }
    seen
}

/// How many closed lines a piece takes; 0 for a strip one line wide, which has two ends.
fn lines(piece: &Piece, bead_mm: f64, asks: &Asks) -> usize {
    let length: f64 = piece.rings().map(perimeter).sum();
    let area: f64 = piece.rings().map(Contour::area_mm2).sum();
    let width = 2.0 * area / length;
    let one_line = width <= asks.wall_beads * bead_mm;
    match piece.holes.len() {
        0 if one_line && 0.5 * length > asks.strip * width => 0,
        0 => 1,
        1 if one_line => 1,
        holes => 1 + holes,
    }
}

fn perimeter(c: &Contour) -> f64 {
    let Some(&last) = c.points.last() else {
        return 0.0;
    };
    let mut from = last;
    let mut sum = 0.0;
    for &to in &c.points {
        sum += libm::hypot(to[0] - from[0], to[1] - from[1]);
        from = to;
    }
    sum
}

/// The point of a ring that is farthest from the loops below, and how far it is. Distances up to `exact` may be
/// given as those of the nearest segments at hand.
fn farthest(ring: &Contour, below: &Outline, step: f64, exact: f64) -> Option<(f64, [f64; 2])> {
    let (mut seen, mut near) = (Seen::default(), Vec::new());
    let own = Outline::new(std::slice::from_ref(ring), Side::Material, step);
    let mut worst: Option<(f64, [f64; 2])> = None;
    for s in &own.segments {
        let parts = (s.length / step).ceil().max(1.0);
        let long = s.length / parts;
        for part in 0..parts as usize {
            let at = s.at(part as f64 * long);
            let Some(probe) = Segment::new(at, s.at((part as f64 + 0.25) * long)) else {
                continue;
            };
            below.near(&probe, exact, &mut seen, &mut near);
            let least = |list: &mut dyn Iterator<Item = &Segment>| {
                list.map(|other| distance(at, other))
                    .fold(f64::INFINITY, f64::min)
            };
            let mut apart = least(&mut near.iter().map(|&k| &below.segments[k as usize]));
            if apart > exact {
                apart = least(&mut below.segments.iter());
            }
            if worst.is_none_or(|w| apart > w.0) {
                worst = Some((apart, at));
            }
        }
    }
    worst.filter(|w| w.0.is_finite())
}

/// From a point to a segment, mm.
fn distance(p: [f64; 2], s: &Segment) -> f64 {
    let far = [p[0] - s.start[0], p[1] - s.start[1]];
    let t = (far[0] * s.along[0] + far[1] * s.along[1]).clamp(0.0, s.length);
    let foot = s.at(t);
    libm::hypot(p[0] - foot[0], p[1] - foot[1])
}

#[cfg(test)]
mod tests {
    use super::*;
    use layers::{Posed, Slicer};
    use mesh::Edges;
    use mesh::shapes::{Soup, cuboid, reversed, welded};

    fn of(soup: &Soup) -> SingleLine {
        let mesh = welded(soup);
        let edges = Edges::build(&mesh);
        let posed = Posed::new(&mesh, &[[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);
        let height = Height {
            layer_mm: 0.2,
            bead_mm: 0.42,
        };
        let asks = Asks {
            floor_mm: 0.8,
            wall_beads: 1.5,
            strip: 10.0,
            step_beads: 0.5,
        };
        let stack = Slicer::new(&posed, &edges).stack(0.2);
        measure(&stack, &height, &asks)
    }

    /// A frustum that leans outward by `lean` mm over its 20 mm.
    fn vase(lean: f32) -> Soup {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        for p in soup.iter_mut().flatten().filter(|p| p[2] > 0.0) {
            for x in &mut p[..2] {
                *x += if *x == 0.0 { -lean } else { lean };
            }
        }
        soup
    }

    #[test]
    fn a_vase_is_one_loop_a_layer_and_steps_by_its_lean() {
        let s = of(&vase(10.0));
        assert_eq!((s.layers, s.broken, s.in_air, s.steps), (96, 0, 0, 0));
        // 10 mm in 20 mm: 0.1 mm a layer of 0.2 mm, along both axes at a corner.
        let step = s.step.expect("a step").step_mm;
        assert!((step - 0.02f64.sqrt()).abs() < 1e-5, "{step}");
    }

    #[test]
    fn a_vase_that_leans_too_far_steps_beside_the_loop_below() {
        // 25 mm in 20 mm: 0.25 mm a layer, over half a line of 0.42 mm.
        let s = of(&vase(25.0));
        assert_eq!((s.broken, s.steps), (0, 95));
    }

    #[test]
    fn a_wall_of_one_line_is_one_loop_and_a_thick_one_is_two() {
        let cup = |wall: f32| {
            let inner = cuboid([wall, wall, 0.8], [20.0 - wall, 20.0 - wall, 20.0]);
            [cuboid([0.0; 3], [20.0; 3]), reversed(&inner)].concat()
        };
        assert_eq!(of(&cup(0.42)).broken, 0);
        let s = of(&cup(2.0));
        assert_eq!(s.broken, s.layers);
        assert_eq!(s.lines.expect("two").loops, 2);
    }

    #[test]
    fn a_sheet_is_no_loop_and_two_towers_are_two() {
        let s = of(&cuboid([0.0; 3], [30.0, 0.42, 10.0]));
        assert_eq!(s.lines.expect("a strip").strips, 1);
        let two = [
            cuboid([0.0; 3], [10.0; 3]),
            cuboid([15.0, 0.0, 0.0], [25.0, 10.0, 10.0]),
        ];
        assert_eq!(of(&two.concat()).lines.expect("two").loops, 2);
    }

    #[test]
    fn what_begins_in_the_air_is_told_and_so_is_a_ledge() {
        let arm = cuboid([30.0, 0.0, 8.0], [40.0, 10.0, 10.0]);
        let s = of(&[cuboid([0.0; 3], [10.0; 3]), arm].concat());
        let start = s.start.expect("a start");
        assert!((start.height_mm - 8.1).abs() < 1e-9 && start.at[0] >= 30.0 - 1e-9);
        let ledge = [
            cuboid([0.0; 3], [20.0, 20.0, 5.0]),
            cuboid([2.0, 2.0, 5.0], [18.0, 18.0, 10.0]),
        ];
        let s = of(&ledge.concat());
        assert_eq!(s.steps, 1);
        assert!((s.step.expect("a step").step_mm - 2.0).abs() < 1e-5);
    }
}
