//! How a thin place runs: from the middle of the wall, along the wall, in every direction, how far it stays
//! thin and whether it ends in the open or in something thicker.

use mesh::tree::{NONE, Tree};
use mesh::vector::{Vec3, add, scale};

use super::ball::Side;
use super::field::Reading;
use super::refine::tangents;

/// How one direction ends.
#[derive(Debug, Clone, Copy, PartialEq)]
enum End {
    /// At the end of the medium, after this many mm: a rim, or the bottom of a slit.
    Rim(f64),
    /// Where the medium is wider than asked, after this many mm.
    Wide(f64),
    /// Thin as far as one looked.
    On(f64),
}

impl End {
    fn length(self) -> f64 {
        match self {
            End::Rim(s) | End::Wide(s) | End::On(s) => s,
        }
    }
}

/// What the directions say together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Run {
    /// Longest line through the place along which it stays thin, mm, up to twice the span.
    pub longest_mm: f64,
    /// Shortest such line of those that do not end at a rim both ways, mm; infinite where all do.
    pub shortest_mm: f64,
    /// Shortest line with a rim at one end and something wide at the other: the height of what stands
    /// proud, or the depth of a slit.
    pub proud_mm: Option<f64>,
}

/// How closely a place is followed.
#[derive(Debug, Clone, Copy)]
pub(super) struct March {
    /// Lines over half a turn: with twelve one is measured at most 0.9 % too long.
    pub lines: usize,
    /// Each direction is followed this far, mm.
    pub span_mm: f64,
    /// Distance of the points looked at, mm.
    pub step_mm: f64,
}

/// Whether a reading belongs to more than a splinter: whether it stays about as thin over at least
/// `least_mm`, or has no rim nearby at all.
pub(super) fn is_broad(tree: &Tree, side: Side, reading: &Reading, least_mm: f64) -> bool {
    let march = March {
        lines: 6,
        span_mm: 2.0 * least_mm,
        step_mm: 0.5 * least_mm,
    };
    let wide = 1.5 * reading.thickness_mm + 0.05 * least_mm;
    let run = run(tree, side, reading, wide, &march);
    run.shortest_mm >= least_mm
}

/// Marches from the centre of a reading; from the thickness `limit_mm` on it is wide.
pub(super) fn run(tree: &Tree, side: Side, reading: &Reading, limit_mm: f64, march: &March) -> Run {
    let (u, v) = tangents(reading.across);
    let mut found = Run {
        longest_mm: 0.0,
        shortest_mm: f64::INFINITY,
        proud_mm: None,
    };
    for k in 0..march.lines {
        let angle = std::f64::consts::PI * k as f64 / march.lines as f64;
        let way = add(scale(u, libm::cos(angle)), scale(v, libm::sin(angle)));
        let one = end(tree, side, reading, way, limit_mm, march);
        let back = scale(way, -1.0);
        let other = end(tree, side, reading, back, limit_mm, march);
        let total = one.length() + other.length();
        found.longest_mm = found.longest_mm.max(total);
        if !matches!((one, other), (End::Rim(_), End::Rim(_))) {
            found.shortest_mm = found.shortest_mm.min(total);
        }
        if matches!(
            (one, other),
            (End::Rim(_), End::Wide(_)) | (End::Wide(_), End::Rim(_))
        ) {
            found.proud_mm = Some(found.proud_mm.map_or(total, |p| p.min(total)));
        }
    }
    found
}

fn end(tree: &Tree, side: Side, reading: &Reading, way: Vec3, limit_mm: f64, march: &March) -> End {
    let March {
        span_mm, step_mm, ..
    } = *march;
    let way = way.map(|x| x + 0.0);
    // From air the bottom of a slit is met from its outer side, from inside a rim from its inner side.
    let outer = side == Side::Outside;
    let rim = tree
        .first_hit(reading.centre, way, span_mm, NONE)
        .filter(|hit| hit.outer == outer);
    let stop = rim.map_or(span_mm, |hit| hit.t);
    let mut gone = step_mm;
    while gone < stop {
        let at = add(reading.centre, scale(way, gone));
        if width(tree, at, reading.across, limit_mm) > limit_mm {
            return End::Wide(border(gone - step_mm, gone, |s| {
                width(
                    tree,
                    add(reading.centre, scale(way, s)),
                    reading.across,
                    limit_mm,
                ) > limit_mm
            }));
        }
        gone += step_mm;
    }
    match rim {
        Some(hit) => End::Rim(hit.t),
        None => End::On(span_mm),
    }
}

/// Halvings of a step when the border of a thin place is looked for.
const HALVINGS: usize = 4;

/// Where, between two marches, it gets wide.
fn border(mut thin: f64, mut wide: f64, is_wide: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(thin, wide);
        if is_wide(middle) {
            wide = middle;
        } else {
            thin = middle;
        }
    }
    wide
}

/// Width of the medium through a point, both ways; infinite beyond twice the limit.
fn width(tree: &Tree, at: Vec3, across: Vec3, limit_mm: f64) -> f64 {
    let one = |way: Vec3| {
        tree.first_hit(at, way.map(|x| x + 0.0), 2.0 * limit_mm, NONE)
            .map_or(f64::INFINITY, |hit| hit.t)
    };
    one(across) + one(scale(across, -1.0))
}
