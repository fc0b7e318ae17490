//! The faces of a part that are seen, and how layers show on them.
//!
//! A layer's step on a face is t |n_z|, t the layer's height and n the normal in the print pose (Dolenc and Makela
//! 1994, "Slicing procedures for layered manufacturing techniques", Computer-Aided Design 26(2)); an exactly flat
//! face has none. The roughness of a sawtooth of that depth is a quarter of it.
//!
//! It must not know limits; which faces count is said by the caller.

pub mod facets;
pub mod joint;
pub mod outlines;
mod regions;
mod sampling;
mod scene;
mod visible;

use mesh::vector::{Vec3, dot};
use mesh::{Edges, Mesh};
use serde::{Deserialize, Serialize};

use crate::size::Rotation;

pub use facets::Faceted;
pub use joint::JointLine;
pub use outlines::{BrimScar, LoopStart};
pub use regions::Region;
pub use sampling::{Sample, samples};
pub use scene::{Copy, Scene};
pub use visible::seen;

/// A direction that faces look along, with the half angle of the cone about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cone {
    /// One long, in the mesh's own frame.
    pub toward: Vec3,
    /// Half angle, degrees.
    pub half_deg: f64,
}

/// How it was decided which faces are on show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Basis {
    /// Those that see outside in the assembled kit.
    Assembled,
    /// Those that see outside on the part alone: it has no place in the kit. Faces that meet others count too.
    Alone,
    /// Those that look along declared directions.
    Declared,
    /// Every face.
    Every,
    /// None.
    Nothing,
}

/// Which faces are on show.
#[derive(Debug, Clone, Copy)]
pub enum Which<'a> {
    /// Those that see outside in a scene, on any of the copies named; `assembled` where it is the whole kit.
    Seen {
        /// The scene.
        scene: &'a Scene<'a>,
        /// The part's copies.
        copies: &'a [usize],
        /// Whether the scene is the assembled kit.
        assembled: bool,
    },
    /// Those whose normals lie in a cone.
    Along(&'a [Cone]),
    /// Every face.
    Every,
    /// None.
    Nothing,
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asks {
    /// Height of a layer, mm.
    pub layer_mm: f64,
    /// Places looked at, about.
    pub places: usize,
    /// Rays from each.
    pub rays: usize,
    /// A place is seen when at least this share of its rays gets out.
    pub least_share: f64,
    /// Steps over this are coarse, mm.
    pub coarse_mm: f64,
    /// Steps over this are to be sanded, mm.
    pub sand_mm: f64,
    /// Facets that turn by less than this are meant as one curve, degrees.
    pub smooth_deg: f64,
    /// The sag of a facet that counts, mm.
    pub sag_mm: f64,
}

/// The faces on show, and what is seen on them. Places in the mesh's own frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShowFacts {
    /// How they were chosen.
    pub basis: Basis,
    /// Height of the layers, mm.
    pub layer_mm: f64,
    /// Their area, mm2.
    pub area_mm2: f64,
    /// The highest step, mm.
    pub step_mm_worst: f64,
    /// The step that 95 % of the area stay under, mm.
    pub step_mm_p95: f64,
    /// Area with steps that are to be sanded, mm2.
    pub sanding_mm2: f64,
    /// The step that 95 % of that area stay under, mm; 0 where there is none.
    pub sanding_step_mm: f64,
    /// Stretches of coarse steps, the one with most step and area first; the first of many.
    pub coarse: Vec<Region>,
    /// Curves drawn with facets that can be seen.
    pub faceted: Vec<Faceted>,
    /// Where a brim is torn off a show face; filled in once the part's layers were looked at.
    pub brim: Option<BrimScar>,
    /// Layers whose loops have no hidden place to start, the highest stretch first; filled in likewise.
    pub starts: Vec<LoopStart>,
    /// Where it meets parts that it is glued to on show faces; filled in once all parts were looked at.
    pub joints: Vec<JointLine>,
    /// The places on show.
    pub places: Vec<Sample>,
    /// The step of each facet in mm, for those on show; below 0 for the others.
    pub steps: Vec<f32>,
}

impl ShowFacts {
    /// Roughness Ra of the step that 95 % of the area stay under, micrometres: a quarter of a sawtooth's depth.
    pub fn ra_um_p95(&self) -> f64 {
        roughness_um(self.step_mm_p95)
    }
}

/// Micrometres in a millimetre.
pub const UM_PER_MM: f64 = 1000.0;
/// Square millimetres in a square centimetre.
pub const MM2_PER_CM2: f64 = 100.0;

/// Roughness Ra of a sawtooth, micrometres.
pub fn roughness_um(step_mm: f64) -> f64 {
    UM_PER_MM * step_mm / 4.0
}

/// The step of a layer on a face, mm, by the upright component of its unit normal; 0 where it is exactly flat.
pub fn step_mm(layer_mm: f64, upright: f64) -> f64 {
    let n = upright.abs();
    if n > FLAT { 0.0 } else { layer_mm * n }
}

/// Faces flatter than this hold no step: 0.08 degrees, a step on 140 layers' height.
const FLAT: f64 = 0.999_999;
/// Share of the area that stays under a stated step.
const MOST: f64 = 0.95;

/// Measures the faces on show of a part. `edges` are those of the mesh.
pub fn measure(
    mesh: &Mesh,
    edges: &Edges,
    to_pose: &Rotation,
    which: &Which,
    asks: &Asks,
) -> ShowFacts {
    let all = match which {
        Which::Nothing => Vec::new(),
        _ => samples(mesh, asks.places),
    };
    let on_show = on_show(which, &all, asks);
    let upright = |n: Vec3| dot(to_pose[2], n);
    let steps = facet_steps(mesh, &all, &on_show, |n| step_mm(asks.layer_mm, upright(n)));
    let places: Vec<Sample> = all
        .into_iter()
        .zip(&on_show)
        .filter(|(_, seen)| **seen)
        .map(|(s, _)| s)
        .collect();
    let stepped: Vec<(f64, f64)> = places
        .iter()
        .map(|s| (step_mm(asks.layer_mm, upright(s.normal)), s.area_mm2))
        .collect();
    let sanded: Vec<(f64, f64)> = stepped
        .iter()
        .copied()
        .filter(|(step, _)| *step > asks.sand_mm)
        .collect();
    let coarse = regions::regions(&places, |s| {
        let step = step_mm(asks.layer_mm, upright(s.normal));
        (step > asks.coarse_mm).then_some(step)
    });
    ShowFacts {
        basis: match which {
            Which::Seen {
                assembled: true, ..
            } => Basis::Assembled,
            Which::Seen { .. } => Basis::Alone,
            Which::Along(_) => Basis::Declared,
            Which::Every => Basis::Every,
            Which::Nothing => Basis::Nothing,
        },
        layer_mm: asks.layer_mm,
        area_mm2: stepped.iter().map(|s| s.1).sum(),
        step_mm_worst: stepped.iter().map(|s| s.0).fold(0.0, f64::max),
        step_mm_p95: share_under(stepped, MOST),
        sanding_mm2: sanded.iter().map(|s| s.1).sum(),
        sanding_step_mm: share_under(sanded, MOST),
        coarse,
        faceted: facets::faceted(mesh, edges, &steps, asks.smooth_deg, asks.sag_mm),
        brim: None,
        starts: Vec::new(),
        joints: Vec::new(),
        places,
        steps,
    }
}

fn on_show(which: &Which, all: &[Sample], asks: &Asks) -> Vec<bool> {
    match which {
        Which::Seen { scene, copies, .. } => seen(scene, copies, all, asks.rays, asks.least_share),
        Which::Along(cones) => all
            .iter()
            .map(|s| {
                cones.iter().any(|c| {
                    dot(c.toward, s.normal) >= libm::cos(c.half_deg.to_radians()) - ROUNDING
                })
            })
            .collect(),
        Which::Every => vec![true; all.len()],
        Which::Nothing => vec![false; all.len()],
    }
}

/// Normals of f32 vertices are off by less.
const ROUNDING: f64 = 1e-6;
/// A facet without a place of its own is on show as the nearest place that faces as it does, by this cosine.
const ALIKE: f64 = 0.5;
/// So many places before and after are asked: facets lie in the tree's order, near in space.
const NEAR: usize = 24;

/// The step of every facet on show, below 0 for the others.
fn facet_steps(
    mesh: &Mesh,
    all: &[Sample],
    on_show: &[bool],
    step: impl Fn(Vec3) -> f64 + Sync,
) -> Vec<f32> {
    let mut steps = vec![-1.0f32; mesh.triangles.len()];
    parallel::fill(&mut steps, 1 << 12, |first, out| {
        for (k, out) in out.iter_mut().enumerate() {
            let t = first + k;
            let Some(normal) = mesh.normal(t) else {
                continue;
            };
            let from = all.partition_point(|s| (s.triangle as usize) < t);
            let own = all[from..]
                .iter()
                .take_while(|s| s.triangle as usize == t)
                .count();
            let shown = if own > 0 {
                on_show[from..from + own].iter().any(|seen| *seen)
            } else {
                let at = mesh.triangle_centroid(t);
                let near = from.saturating_sub(NEAR)..(from + NEAR).min(all.len());
                near.filter(|&i| dot(all[i].normal, normal) > ALIKE)
                    .map(|i| (mesh::vector::distance(all[i].at, at), i))
                    .reduce(|a, b| if b.0 < a.0 { b } else { a })
                    .is_some_and(|(_, i)| on_show[i])
            };
            if shown {
                *out = step(normal) as f32;
            }
        }
    });
    steps
}

/// The value that a share of the weight stays at or under; 0 for none.
fn share_under(mut values: Vec<(f64, f64)>, share: f64) -> f64 {
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let wanted = share * values.iter().map(|v| v.1).sum::<f64>();
    let mut passed = 0.0;
    for (value, weight) in &values {
        passed += weight;
        if passed >= wanted {
            return *value;
        }
    }
    values.last().map_or(0.0, |v| v.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{cuboid, welded};

    const UPRIGHT: Rotation = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn asks(layer_mm: f64) -> Asks {
        Asks {
            layer_mm,
            places: 2000,
            rays: 32,
            least_share: 0.15,
            coarse_mm: 0.15,
            sand_mm: 0.08,
            smooth_deg: 15.0,
            sag_mm: 0.05,
        }
    }

    /// The cusp t |n_z| and Ra = c / 4 by the angle from horizontal; worked values by geometry, micrometres.
    #[test]
    fn worked_steps() {
        for (t, from_level_deg, cusp_um, ra_um) in [
            (0.2, 5.0, 199.24, 49.81),
            (0.2, 15.0, 193.19, 48.30),
            (0.2, 30.0, 173.21, 43.30),
            (0.2, 45.0, 141.42, 35.36),
            (0.2, 60.0, 100.00, 25.00),
            (0.2, 75.0, 51.76, 12.94),
            (0.2, 90.0, 0.0, 0.0),
            (0.1, 45.0, 70.71, 17.68),
            (0.28, 45.0, 197.99, 49.50),
        ] {
            let step = step_mm(t, libm::cos(f64::to_radians(from_level_deg)));
            assert!(
                (1000.0 * step - cusp_um).abs() < 5e-3,
                "{t} {from_level_deg}"
            );
            assert!(
                (roughness_um(step) - ra_um).abs() < 5e-3,
                "{t} {from_level_deg}"
            );
        }
        assert_eq!(step_mm(0.2, 1.0), 0.0);
        assert_eq!(step_mm(0.2, -1.0), 0.0);
    }

    /// A box turned by 30 degrees about y: two faces 30 degrees from level, two at 60, two upright. By area 4 : 4 : 4
    /// on a cube; the greatest step is 0.2 cos 30 = 0.1732 mm on a third of its area.
    #[test]
    fn a_turned_cube_shows_steps_by_area() {
        let mesh = welded(&cuboid([0.0; 3], [30.0; 3]));
        let edges = Edges::build(&mesh);
        let (s, c) = (0.5, 0.75f64.sqrt());
        let turn = [[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]];
        let got = measure(&mesh, &edges, &turn, &Which::Every, &asks(0.2));
        assert!((got.area_mm2 / 5400.0 - 1.0).abs() < 1e-9);
        assert!((got.step_mm_worst - 0.173_205).abs() < 1e-6);
        assert!((got.step_mm_p95 - 0.173_205).abs() < 1e-6);
        assert!((got.sanding_mm2 / 3600.0 - 1.0).abs() < 1e-9);
        assert_eq!(got.coarse.len(), 2);
        assert!((got.coarse[0].area_mm2 / 900.0 - 1.0).abs() < 0.02);
        assert!(got.faceted.is_empty());
        let flat = measure(&mesh, &edges, &UPRIGHT, &Which::Every, &asks(0.2));
        assert_eq!((flat.step_mm_worst, flat.sanding_mm2), (0.0, 0.0));
    }

    #[test]
    fn declared_directions_choose_faces() {
        let mesh = welded(&cuboid([0.0; 3], [30.0, 20.0, 10.0]));
        let edges = Edges::build(&mesh);
        let front = [Cone {
            toward: [0.0, -1.0, 0.0],
            half_deg: 0.0,
        }];
        let got = measure(&mesh, &edges, &UPRIGHT, &Which::Along(&front), &asks(0.2));
        assert!((got.area_mm2 / 300.0 - 1.0).abs() < 1e-9);
        assert_eq!(got.steps.iter().filter(|s| **s >= 0.0).count(), 2);
        let none = measure(&mesh, &edges, &UPRIGHT, &Which::Nothing, &asks(0.2));
        assert_eq!(none.area_mm2, 0.0);
    }
}
