//! What layers leave on show faces along their outlines: where a brim was torn off, and where loops have to start.
//!
//! A loop of a layer starts and ends somewhere, and the place shows as a seam. A corner hides it, and so does a side
//! that is not on show; a smooth loop that is on show all round has neither. A brim is torn off the outer outline of
//! the first layer; where a chamfer keeps that outline back from the face above, the burr stays out of sight.
//! It must not know limits: lengths and angles to look for come in.

use layers::outline::{Outline, Side};
use layers::{Contour, Layer, Posed, Slicer, Stack};
use mesh::tree::Tree;
use mesh::vector::Vec3;
use mesh::{Edges, Mesh};
use serde::{Deserialize, Serialize};

use crate::print::first_layer::walk_rim;
use crate::size::Rotation;

/// What is asked of a part's outlines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asks {
    /// Height of a layer, mm.
    pub layer_mm: f64,
    /// Gaps of a layer's outline up to this width are closed, mm.
    pub crack_mm: f64,
    /// Layers, at most: a higher part is not looked at.
    pub most_layers: usize,
    /// Layers looked at for loops, at most, spread over all.
    pub looked_at: usize,
    /// Whether a brim is printed.
    pub brim: bool,
    /// The height at which the outline is compared with the first layer's, mm.
    pub relief_height_mm: f64,
    /// A foot is relieved where its outline lies further in than the outline there by at least this, mm.
    pub relief_mm: f64,
    /// Whether its layers are loops that start and end.
    pub loops: bool,
    /// A loop that turns by so much within `within_mm` has a corner, degrees.
    pub corner_deg: f64,
    /// The length within which a corner turns, mm.
    pub within_mm: f64,
    /// Shorter loops are left out, mm.
    pub least_loop_mm: f64,
    /// So much of a loop out of sight is enough to start there, mm.
    pub hidden_mm: f64,
}

/// What a brim leaves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BrimScar {
    /// A place on it, in the mesh's own frame.
    pub at: Vec3,
    /// The outward normal there.
    pub outward: Vec3,
    /// Length of outer outline on show that no chamfer keeps back, mm.
    pub length_mm: f64,
    /// Length of all outer outline, mm.
    pub rim_mm: f64,
}

/// Layers whose loops have no hidden place to start.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LoopStart {
    /// A place on one of them at half height, in the mesh's own frame.
    pub at: Vec3,
    /// The outward normal there.
    pub outward: Vec3,
    /// Where they begin, mm above the plate.
    pub from_mm: f64,
    /// Where they end, mm above the plate.
    pub to_mm: f64,
    /// Length of such a loop at half height, mm.
    pub around_mm: f64,
}

impl LoopStart {
    /// Their height, mm.
    pub fn height_mm(&self) -> f64 {
        self.to_mm - self.from_mm
    }
}

/// A part with what of it is on show.
#[derive(Clone, Copy)]
pub struct Shown<'a> {
    /// The mesh.
    pub mesh: &'a Mesh,
    /// Its edges.
    pub edges: &'a Edges,
    /// Its tree.
    pub tree: &'a Tree,
    /// The step of each facet on show, below 0 for the others.
    pub steps: &'a [f32],
}

impl Shown<'_> {
    /// The facet at a place of the surface, and whether it is on show.
    fn facet(&self, at: Vec3) -> Option<(usize, bool)> {
        let t = self.tree.closest(at, ON_IT_MM, |_| true)?.triangle as usize;
        Some((t, self.steps.get(t).is_some_and(|s| *s >= 0.0)))
    }

    fn outward(&self, facet: usize) -> Vec3 {
        self.mesh.normal(facet).unwrap_or([0.0, 0.0, 1.0])
    }
}

/// A point of a layer lies on the surface within this, mm; further off a crack was closed there.
const ON_IT_MM: f64 = 0.1;
/// Steps along a first layer's outline, mm.
const RIM_STEP_MM: f64 = 0.5;
/// Steps along a loop, at least, mm, and how many there are at most.
const LOOP_STEP_MM: f64 = 0.5;
const LOOP_STEPS: f64 = 96.0;

/// Looks along the outlines of a part's layers.
pub fn measure(
    part: &Shown,
    to_pose: &Rotation,
    asks: &Asks,
) -> (Option<BrimScar>, Vec<LoopStart>) {
    let nothing_shows = part.steps.iter().all(|s| *s < 0.0);
    if nothing_shows || !(asks.brim || asks.loops) {
        return (None, Vec::new());
    }
    let posed = Posed::new(part.mesh, to_pose);
    if posed.height_mm / asks.layer_mm > asks.most_layers as f64 {
        return (None, Vec::new());
    }
    let stack = Slicer::new(&posed, part.edges)
        .stack(asks.layer_mm)
        .closing(asks.crack_mm);
    if stack.count() == 0 {
        return (None, Vec::new());
    }
    let brim = asks.brim.then(|| brim(part, &stack, asks)).flatten();
    let starts = if asks.loops {
        loops(part, &stack, asks)
    } else {
        Vec::new()
    };
    (brim, starts)
}

fn brim(part: &Shown, stack: &Stack, asks: &Asks) -> Option<BrimScar> {
    let first = stack.layer(0);
    let above = (asks.relief_height_mm / asks.layer_mm - 0.5)
        .round()
        .max(0.0) as usize;
    let higher = stack.layer(above.min(stack.count() - 1));
    let outer: Vec<Contour> = outer(&first).cloned().collect();
    let outline = Outline::new(&outer, Side::Material, asks.relief_mm);
    let mut rim_mm = 0.0;
    let mut length_mm = 0.0;
    let mut shown: Vec<(Vec3, usize)> = Vec::new();
    walk_rim(
        &outline,
        &higher,
        asks.relief_mm,
        RIM_STEP_MM,
        |[x, y], long, relieved| {
            rim_mm += long;
            let at = stack.posed().to_mesh([x, y, first.z_mm]);
            if let Some((facet, true)) = part.facet(at).filter(|_| !relieved) {
                length_mm += long;
                shown.push((at, facet));
            }
        },
    );
    let &(at, facet) = shown.get(shown.len() / 2)?;
    Some(BrimScar {
        at,
        outward: part.outward(facet),
        length_mm,
        rim_mm,
    })
}

/// The closed contours that go around material.
fn outer(layer: &Layer) -> impl Iterator<Item = &Contour> {
    layer.contours.iter().filter(|c| c.area_mm2() > 0.0)
}

/// Runs of layers with a loop that can start nowhere out of sight.
fn loops(part: &Shown, stack: &Stack, asks: &Asks) -> Vec<LoopStart> {
    let count = stack.count();
    let looked_at = count.min(asks.looked_at.max(1));
    // The layers looked at; the last entry is the end of the last one's share.
    let at: Vec<usize> = (0..=looked_at).map(|i| i * count / looked_at).collect();
    let bare = parallel::map(&at[..looked_at], |_, &k| {
        let layer = stack.layer(k);
        let place = |[x, y]: [f64; 2]| stack.posed().to_mesh([x, y, layer.z_mm]);
        outer(&layer)
            .filter_map(|ring| {
                let around = perimeter(&ring.points);
                let open = around >= asks.least_loop_mm
                    && !cornered(&ring.points, asks.corner_deg.to_radians(), asks.within_mm);
                let facet = open.then(|| all_round(part, &ring.points, around, asks, place))??;
                Some((around, place(ring.points[0]), facet))
            })
            .reduce(|a, b| if b.0 > a.0 { b } else { a })
    });
    let mut found = Vec::new();
    let mut i = 0;
    while i < looked_at {
        let run = bare[i..].iter().take_while(|b| b.is_some()).count();
        if let Some((around_mm, place, facet)) = bare.get(i + run / 2).copied().flatten()
            && run > 0
        {
            found.push(LoopStart {
                at: place,
                outward: part.outward(facet),
                from_mm: at[i] as f64 * asks.layer_mm,
                to_mm: at[i + run] as f64 * asks.layer_mm,
                around_mm,
            });
        }
        i += run.max(1);
    }
    found.sort_by(|a, b| b.height_mm().total_cmp(&a.height_mm()));
    found
}

fn sides(points: &[[f64; 2]]) -> impl Iterator<Item = [[f64; 2]; 2]> + '_ {
    (0..points.len()).map(|i| [points[i], points[(i + 1) % points.len()]])
}

fn perimeter(points: &[[f64; 2]]) -> f64 {
    sides(points)
        .map(|[a, b]| libm::hypot(b[0] - a[0], b[1] - a[1]))
        .sum()
}

/// Whether a loop turns by `corner` (radians), either way, within some stretch of `within` mm. Turns are summed with
/// their signs, so that the noise of short sides cancels.
fn cornered(points: &[[f64; 2]], corner: f64, within: f64) -> bool {
    let ways: Vec<([f64; 2], f64)> = sides(points)
        .map(|[a, b]| {
            let d = [b[0] - a[0], b[1] - a[1]];
            (d, libm::hypot(d[0], d[1]))
        })
        .filter(|(_, long)| *long > 0.0)
        .collect();
    let n = ways.len();
    // The turn at the end of each side, and how far along the loop it lies; twice round.
    let mut along = 0.0;
    let turns: Vec<(f64, f64)> = (0..2 * n)
        .map(|i| {
            let ((d, long), (e, _)) = (ways[i % n], ways[(i + 1) % n]);
            along += long;
            let turn = libm::atan2(d[0] * e[1] - d[1] * e[0], d[0] * e[0] + d[1] * e[1]);
            (along, turn)
        })
        .collect();
    let (mut first, mut sum) = (0, 0.0);
    for &(at, turn) in &turns {
        sum += turn;
        while turns[first].0 < at - within {
            sum -= turns[first].1;
            first += 1;
        }
        if sum.abs() >= corner {
            return true;
        }
    }
    false
}

/// A facet of a loop, where less than `hidden_mm` of it is out of sight.
fn all_round(
    part: &Shown,
    points: &[[f64; 2]],
    around: f64,
    asks: &Asks,
    place: impl Fn([f64; 2]) -> Vec3,
) -> Option<usize> {
    let step = LOOP_STEP_MM.max(around / LOOP_STEPS);
    let (mut hidden, mut some) = (0.0, None);
    // How far the next place lies beyond the start of the present side.
    let mut next = 0.5 * step;
    for [a, b] in sides(points) {
        let long = libm::hypot(b[0] - a[0], b[1] - a[1]);
        while next < long {
            let s = next / long;
            next += step;
            let at = place([a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])]);
            match part.facet(at) {
                Some((facet, true)) => some = some.or(Some(facet)),
                _ => hidden += step,
            }
            if hidden >= asks.hidden_mm {
                return None;
            }
        }
        next -= long;
    }
    some
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{Soup, cuboid, welded};

    const UPRIGHT: Rotation = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn asks() -> Asks {
        Asks {
            layer_mm: 0.2,
            crack_mm: 0.01,
            most_layers: 10_000,
            looked_at: 64,
            brim: true,
            relief_height_mm: 0.5,
            relief_mm: 0.2,
            loops: true,
            corner_deg: 30.0,
            within_mm: 1.0,
            least_loop_mm: 20.0,
            hidden_mm: 2.0,
        }
    }

    /// A surface with every facet on show whose normal is not `hidden`.
    fn of(soup: &Soup, hidden: impl Fn(Vec3) -> bool) -> (Option<BrimScar>, Vec<LoopStart>) {
        let (mesh, tree) = Tree::build(welded(soup));
        let edges = Edges::build(&mesh);
        let steps: Vec<f32> = (0..mesh.triangles.len())
            .map(|t| {
                if mesh.normal(t).is_none_or(&hidden) {
                    -1.0
                } else {
                    0.0
                }
            })
            .collect();
        let part = Shown {
            mesh: &mesh,
            edges: &edges,
            tree: &tree,
            steps: &steps,
        };
        measure(&part, &UPRIGHT, &asks())
    }

    /// An upright prism over a polygon seen whole from the origin.
    fn prism(ring: &[[f64; 2]], height: f32) -> Soup {
        let mut soup = Soup::new();
        for (i, &p) in ring.iter().enumerate() {
            let q = ring[(i + 1) % ring.len()];
            let at = |p: [f64; 2], z: f32| [p[0] as f32, p[1] as f32, z];
            let [a, b, c, d] = [at(p, 0.0), at(q, 0.0), at(q, height), at(p, height)];
            soup.extend([
                [a, b, c],
                [a, c, d],
                [[0.0, 0.0, height], d, c],
                [[0.0; 3], b, a],
            ]);
        }
        soup
    }

    fn drum(sides: usize, radius: f64) -> Vec<[f64; 2]> {
        (0..sides)
            .map(|k| {
                let a = std::f64::consts::TAU * k as f64 / sides as f64;
                [radius * libm::cos(a), radius * libm::sin(a)]
            })
            .collect()
    }

    /// A drum of 96 sides and 20 mm height, radius 10: a loop of 96 x 20 sin(pi / 96) = 62.82 mm (geometry). A back
    /// out of sight, an edge of an octagon, a notch and a pin's small loop each hide the start.
    #[test]
    fn a_smooth_loop_on_show_all_round_has_nowhere_to_start() {
        let (_, starts) = of(&prism(&drum(96, 10.0), 20.0), |_| false);
        assert_eq!(starts.len(), 1);
        assert!(
            (starts[0].from_mm, starts[0].to_mm) == (0.0, 20.0),
            "{starts:?}"
        );
        assert!((starts[0].around_mm - 62.82).abs() < 0.01);
        assert!((starts[0].at[2] - 10.0).abs() < 0.5);
        let back = |n: Vec3| n[1] > 0.9;
        assert!(of(&prism(&drum(96, 10.0), 20.0), back).1.is_empty());
        assert!(of(&prism(&drum(8, 10.0), 20.0), |_| false).1.is_empty());
        let mut notched = drum(96, 10.0);
        notched[24] = [0.0, 9.4];
        assert!(of(&prism(&notched, 20.0), |_| false).1.is_empty());
        assert!(of(&prism(&drum(96, 3.0), 20.0), |_| false).1.is_empty());
    }

    /// A box of 20 x 10: 60 mm of outline, 20 of it in front. A chamfer of 0.4 mm keeps the burr back.
    #[test]
    fn a_brim_scars_the_foot_that_is_on_show() {
        let soup = cuboid([0.0; 3], [20.0, 10.0, 8.0]);
        let scar = of(&soup, |_| false).0.expect("a scar");
        assert!((scar.length_mm - 60.0).abs() < 1e-6 && (scar.rim_mm - 60.0).abs() < 1e-6);
        let front = of(&soup, |n| n[1] > -0.9).0.expect("a scar");
        assert!((front.length_mm - 20.0).abs() < 1e-6, "{front:?}");
        assert!(front.at[1].abs() < 1e-9 && front.outward[1] < -0.9);
        assert!(of(&soup, |n| n[2] < 0.9).0.is_none());
        let mut foot = cuboid([0.4, 0.4, 0.0], [19.6, 9.6, 8.0]);
        for p in foot.iter_mut().flatten() {
            // The box's top is widened, so that its sides lean by 45 degrees up to 0.4 mm and stand above.
            if p[2] > 0.0 {
                p[2] = 0.4;
                p[0] += if p[0] < 10.0 { -0.4 } else { 0.4 };
                p[1] += if p[1] < 5.0 { -0.4 } else { 0.4 };
            }
        }
        foot.extend(cuboid([0.0, 0.0, 0.4], [20.0, 10.0, 8.0]));
        assert!(of(&foot, |_| false).0.is_none());
    }
}
