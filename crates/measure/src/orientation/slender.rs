//! Pins, bosses, hooks and posts: slender stretches that break where a layer cuts straight across them.
//!
//! From points spread over the surface a ray goes inward; half-way through, the axis of the stretch is the longest
//! way out at right angles to that ray. It is slender where it is long against both its widths and its section is
//! small. A layer that lies across the axis has just that section to hold on; the more it lies along the axis, the
//! larger its section: A / |a . u|. Proposed here; no paper gives one number for strength across layers.

use mesh::Mesh;
use mesh::tree::Tree;
use mesh::vector::{Vec3, add, cross, dot, scale, wide};

use super::surface::{Surface, frame};

/// A slender stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slender {
    /// Within it, in the mesh's own frame.
    pub at: Vec3,
    /// Along it, one long.
    pub axis: Vec3,
    /// Section across it, mm2.
    pub section_mm2: f64,
    /// Length of the straight line along it, mm.
    pub length_mm: f64,
}

/// What counts as slender.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlenderAsk {
    /// Sections above this hold, mm2.
    pub most_mm2: f64,
    /// Length over the larger width, at least.
    pub least_ratio: f64,
}

/// Points looked at, about.
const POINTS: f64 = 2000.0;
/// Rays around a point, across it: every 15 degrees over a half turn.
const FAN: usize = 12;
/// Widths above this many times the root of the section are no pins.
const WIDEST: f64 = 3.0;
/// Steps of half a width along the axis, each way.
const MARCHED: u32 = 12;
/// A section of up to this many times the least is part of the same stretch.
const ALIKE: f64 = 1.6;
/// Stretches whose axes are within this of each other count as one where their sections are alike, cosine: 5 degrees.
const SAME_AXIS: f64 = 0.996;

/// The slender stretches of a part, weakest first, one of each axis and size.
pub(super) fn slender(
    mesh: &Mesh,
    tree: &Tree,
    surface: &Surface,
    ask: SlenderAsk,
) -> Vec<Slender> {
    let side = ask.most_mm2.sqrt();
    let reach = WIDEST * side;
    let cell = (surface.area_mm2() / POINTS).sqrt().max(0.2 * side);
    let points = spread(surface, cell);
    let found = parallel::chunks(points.len(), 64, |range| {
        points[range]
            .iter()
            .filter_map(|&t| at_facet(mesh, tree, t, reach, ask))
            .collect::<Vec<_>>()
    });
    let mut all: Vec<Slender> = found.concat();
    all.sort_by(|a, b| a.section_mm2.total_cmp(&b.section_mm2));
    let mut kept: Vec<Slender> = Vec::new();
    for s in all {
        // The weakest of an axis speaks for the stronger ones of it.
        if !kept.iter().any(|k| dot(k.axis, s.axis).abs() > SAME_AXIS) {
            kept.push(s);
        }
    }
    kept
}

/// One facet from every cell of space and each of six ways to face.
fn spread(surface: &Surface, cell: f64) -> Vec<u32> {
    let mut keyed: Vec<([i64; 4], f32, u32)> = surface
        .triangles
        .iter()
        .zip(&surface.facets)
        .enumerate()
        .filter(|(_, (_, f))| f.area > 0.0)
        .map(|(t, (corners, f))| {
            let [a, b, c] = corners.map(|v| wide(surface.corners[v as usize]));
            let at = [0, 1, 2].map(|k| ((a[k] + b[k] + c[k]) / (3.0 * cell)).floor() as i64);
            let n = f.normal;
            let major = (0..3).fold(0, |m, k| if n[k].abs() > n[m].abs() { k } else { m });
            let way = 2 * major as i64 + i64::from(n[major] < 0.0);
            ([at[0], at[1], at[2], way], -f.area, t as u32)
        })
        .collect();
    keyed.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    keyed.dedup_by_key(|k| k.0);
    keyed.into_iter().map(|k| k.2).collect()
}

/// A ray whose direction holds no -0.
fn way(d: Vec3) -> Vec3 {
    d.map(|x| x + 0.0)
}

fn at_facet(mesh: &Mesh, tree: &Tree, t: u32, reach: f64, ask: SlenderAsk) -> Option<Slender> {
    let from = mesh.triangle_centroid(t as usize);
    let normal = mesh.normal(t as usize)?;
    let inward = way(scale(normal, -1.0));
    let thick = tree.first_hit(from, inward, reach, t)?.t;
    let middle = add(from, scale(inward, 0.5 * thick));
    let long = reach * ask.least_ratio.max(1.0) * 2.0;
    let out = |d: Vec3| {
        tree.first_hit(middle, way(d), long, u32::MAX)
            .map_or(long, |hit| hit.t)
    };
    let [x, y, _] = frame(normal);
    let around = |k: usize| {
        let angle = std::f64::consts::PI * k as f64 / FAN as f64;
        add(scale(x, libm::cos(angle)), scale(y, libm::sin(angle)))
    };
    let (axis, length_mm) = (0..FAN)
        .map(|k| (around(k), out(around(k)) + out(scale(around(k), -1.0))))
        .fold(([0.0; 3], 0.0), |a, b| if b.1 > a.1 { b } else { a });
    if length_mm < ask.least_ratio * thick {
        return None;
    }
    let across = cross(axis, normal);
    let section = |at: Vec3| {
        // The fan of triangles between the ways out, and the greatest width.
        let ways: Vec<f64> = (0..2 * FAN)
            .map(|k| {
                let angle = std::f64::consts::PI * k as f64 / FAN as f64;
                let d = add(
                    scale(normal, libm::cos(angle)),
                    scale(across, libm::sin(angle)),
                );
                tree.first_hit(at, way(d), long, u32::MAX)
                    .map_or(long, |hit| hit.t)
            })
            .collect();
        let width = (0..FAN)
            .map(|k| ways[k] + ways[k + FAN])
            .fold(0.0, f64::max);
        let wedge = 0.5 * libm::sin(std::f64::consts::PI / FAN as f64);
        let area: f64 = (0..2 * FAN)
            .map(|k| wedge * ways[k] * ways[(k + 1) % (2 * FAN)])
            .sum();
        (area, width)
    };
    let (section_mm2, width) = section(middle);
    if section_mm2 > ask.most_mm2 || length_mm < ask.least_ratio * width {
        return None;
    }
    // A low boss on a thick body has a long way out too: the section must stay as small for long enough.
    let step = 0.5 * width;
    let same = |to: f64| {
        (1..=MARCHED)
            .map(|k| step * f64::from(k))
            .take_while(|&s| {
                s < out(scale(axis, to))
                    && section(add(middle, scale(axis, to * s))).0 < ALIKE * section_mm2
            })
            .last()
            .unwrap_or(0.0)
    };
    let straight = same(1.0) + same(-1.0);
    (straight + step >= ask.least_ratio * width).then_some(Slender {
        at: middle,
        axis,
        section_mm2,
        length_mm: straight.min(length_mm),
    })
}

/// The least section that a layer across `up` has to hold on, mm2; `None` where nothing is slender.
pub fn least_section_mm2(stretches: &[Slender], up: Vec3) -> Option<f64> {
    stretches
        .iter()
        .map(|s| s.section_mm2 / dot(s.axis, up).abs().max(0.1))
        .min_by(f64::total_cmp)
}

#[cfg(test)]
mod tests {
    use super::super::surface::Shown;
    use super::*;
    use mesh::shapes::{Soup, cuboid, welded};

    const ASK: SlenderAsk = SlenderAsk {
        most_mm2: 30.0,
        least_ratio: 2.0,
    };

    fn found(soup: &Soup) -> Vec<Slender> {
        let (mesh, tree) = Tree::build(welded(soup));
        let surface = Surface::of(&mesh, &Shown::All).expect("a surface");
        slender(&mesh, &tree, &surface, ASK)
    }

    /// A post 3 x 4 x 20 on its own: 12 mm2 across z, and a layer at 60 degrees from the axis has twice that
    /// (a plane section of a prism is its right section over the cosine, elementary).
    #[test]
    fn a_post_is_weak_upright_and_less_so_when_it_leans() {
        let got = found(&cuboid([0.0; 3], [3.0, 4.0, 20.0]));
        assert_eq!(got.len(), 1, "{got:?}");
        assert!(got[0].axis[2].abs() > 0.99, "{got:?}");
        // A fan of 24 rays cuts the corners of a rectangle by a few per cent.
        assert!(
            (0.9..1.01).contains(&(got[0].section_mm2 / 12.0)),
            "{got:?}"
        );
        let upright = least_section_mm2(&got, [0.0, 0.0, 1.0]).expect("slender");
        let leaning = least_section_mm2(&got, [0.75f64.sqrt(), 0.0, 0.5]).expect("slender");
        assert!(
            (leaning / upright - 2.0).abs() < 0.02,
            "{leaning} {upright}"
        );
    }

    #[test]
    fn a_cube_a_slab_and_a_low_boss_are_not_slender() {
        assert!(found(&cuboid([0.0; 3], [20.0; 3])).is_empty());
        assert!(found(&cuboid([0.0; 3], [40.0, 40.0, 3.0])).is_empty());
        // 5 x 5 x 1 proud of a block.
        let mut boss = cuboid([0.0; 3], [30.0, 30.0, 20.0]);
        boss.extend(cuboid([10.0, 10.0, 20.0], [15.0, 15.0, 21.0]));
        assert!(found(&boss).is_empty());
    }
}
