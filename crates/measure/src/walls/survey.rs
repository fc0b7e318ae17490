//! One part, all its walls and gaps.

use mesh::Mesh;
use mesh::tree::Tree;
use mesh::vector::{Vec3, cross, dot, sub};
use serde::{Deserialize, Serialize};

use super::ask::{Ask, Asks};
use super::ball::{Ground, Side, normals};
use super::buried::is_open;
use super::cones::cones;
use super::feather::{Apexes, Feather, chains, edges};
use super::field::{Plan, Reading, field, thick};
use super::places::{Look, Places, candidates, places};
use super::probe::is_broad;
use super::refine::refine;
use super::sampling::count;

/// Why walls were not measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Unmeasured {
    /// The part is longer than asked for, mm.
    TooLong(f64),
    /// No facet has an area.
    NoSurface,
    /// The surface encloses no positive volume: inside and outside cannot be told apart.
    NoInside,
}

/// What was measured on the walls of a part.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Walls {
    /// Why nothing was measured; everything else is empty then.
    pub unmeasured: Option<Unmeasured>,
    /// The thinnest place of all walls, feather edges apart; `None` where no wall stands opposite another.
    pub least: Option<Reading>,
    /// What was asked, as it was asked.
    pub wall_asks: Vec<Ask>,
    /// The places of each ask of the walls.
    pub walls: Vec<Places>,
    /// What was asked of the gaps.
    pub gap_asks: Vec<Ask>,
    /// The places of each ask of the gaps.
    pub gaps: Vec<Places>,
    /// Runs of feather edges.
    pub feathers: Vec<Feather>,
}

impl Walls {
    /// The places where walls are thinner than asked; `None` where that was not asked or not measured.
    pub fn walls(&self, ask: &Ask) -> Option<&Places> {
        find(&self.wall_asks, &self.walls, ask)
    }

    /// The places where gaps are narrower than asked; `None` where that was not asked or not measured.
    pub fn gaps(&self, ask: &Ask) -> Option<&Places> {
        find(&self.gap_asks, &self.gaps, ask)
    }
}

fn find<'a>(asks: &[Ask], places: &'a [Places], ask: &Ask) -> Option<&'a Places> {
    asks.iter()
        .position(|a| a == ask)
        .and_then(|i| places.get(i))
}

/// Samples are at most this far apart along a facet, mm.
const COARSE_MM: f64 = 2.0;
/// The field is kept and looked at finely up to this share above what is asked.
const NEAR: f64 = 1.5;
/// Rays are followed at least this far, mm, and again up to the part's length where nothing is found.
const RAY_MM: f64 = 3.0;
/// Samples of the coarse pass at most, besides one a facet; of a larger surface they are wider apart.
const MOST_COARSE: usize = 4_000_000;
/// Readings of the fine pass at most.
const MOST_FINE: usize = 400_000;

/// Measures the walls of one part. `tree` was built over `mesh`.
///
/// Bounded: at most one sample a facet and four million besides, half a million in the fine pass, a
/// hundred places an ask.
pub fn measure(mesh: &Mesh, tree: &Tree, asks: &Asks) -> Walls {
    let normals = normals(mesh);
    if let Some(why) = unmeasured(mesh, &normals, asks) {
        return Walls {
            unmeasured: Some(why),
            ..Walls::default()
        };
    }
    let cones = cones(tree, &normals);
    let ground = Ground {
        mesh,
        tree,
        normals: &normals,
        cones: &cones,
    };
    let coarse_mm = coarse_spacing(mesh);
    let edges = edges(&ground, asks.most_bead_mm);
    let apexes = Apexes::new(&edges);
    let plan = |side, asked: &[Ask], ray_mm: f64| {
        let keep_mm = NEAR * asked.iter().map(Ask::most_mm).fold(0.0, f64::max);
        Plan {
            side,
            coarse_mm,
            fine_mm: 0.5 * asks.least_bead_mm,
            keep_mm,
            ray_mm: ray_mm.max(1.3 * keep_mm),
            most_fine: MOST_FINE,
            steepest: asks.steepest,
        }
    };
    let wall_plan = plan(Side::Inside, &asks.walls, RAY_MM);
    let inner = field(&ground, &wall_plan);
    let look = |side, apexes| Look {
        ground: &ground,
        side,
        span_mm: asks.span_mm,
        apexes,
    };
    let inside = look(Side::Inside, Some(&apexes));
    let thin = candidates(&inside, &inner.kept, &asks.walls);
    let walls = asks.walls.iter().map(|a| places(&inside, &thin, a));
    let walls = walls.collect();
    let counts = |r: &Reading| {
        r.rate < asks.steepest
            && !apexes.holds(r, normals[r.triangle as usize])
            && is_open(tree, Side::Inside, r)
            && is_broad(tree, Side::Inside, r, wall_plan.fine_mm)
    };
    let least = least(&ground, &inner.least, counts).or_else(|| {
        let far = thick(&ground, &wall_plan, longest(mesh), counts);
        least(&ground, &far, counts)
    });
    let gaps = if asks.gaps.is_empty() {
        Vec::new()
    } else {
        let outer = field(&ground, &plan(Side::Outside, &asks.gaps, 0.0));
        let outside = look(Side::Outside, None);
        let narrow = candidates(&outside, &outer.kept, &asks.gaps);
        let gaps = asks.gaps.iter().map(|a| places(&outside, &narrow, a));
        gaps.collect()
    };
    Walls {
        unmeasured: None,
        least,
        wall_asks: asks.walls.clone(),
        walls,
        gap_asks: asks.gaps.clone(),
        gaps,
        feathers: chains(&edges),
    }
}

/// The thinnest of some readings that count, refined.
fn least(
    ground: &Ground,
    readings: &[Reading],
    counts: impl Fn(&Reading) -> bool,
) -> Option<Reading> {
    let mut sorted: Vec<&Reading> = readings.iter().collect();
    sorted.sort_by(|a, b| a.thickness_mm.total_cmp(&b.thickness_mm));
    let start = sorted.into_iter().find(|r| counts(r))?;
    let reach = 2.0 * start.thickness_mm;
    let thickness = |r: &Reading| r.thickness_mm;
    Some(refine(
        ground,
        Side::Inside,
        start,
        reach,
        thickness,
        counts,
    ))
}

fn unmeasured(mesh: &Mesh, normals: &[Vec3], asks: &Asks) -> Option<Unmeasured> {
    if normals.iter().all(|n| *n == [0.0; 3]) {
        return Some(Unmeasured::NoSurface);
    }
    let long = longest(mesh);
    if long > asks.longest_mm {
        return Some(Unmeasured::TooLong(long));
    }
    (volume(mesh) <= 0.0).then_some(Unmeasured::NoInside)
}

fn longest(mesh: &Mesh) -> f64 {
    mesh.bounds().map_or(0.0, |b| b.diagonal())
}

/// Signed volume, mm3, about the first vertex.
fn volume(mesh: &Mesh) -> f64 {
    let Some(origin) = mesh.bounds().map(|b| b.centre()) else {
        return 0.0;
    };
    parallel::sum(mesh.triangles.len(), 8192, |range| {
        range
            .map(|t| {
                let [a, b, c] = mesh.corners(t).map(|p| sub(p, origin));
                dot(a, cross(b, c)) / 6.0
            })
            .sum()
    })
}

/// The coarse spacing, wider where the surface would take too many samples.
fn coarse_spacing(mesh: &Mesh) -> f64 {
    let mut spacing = COARSE_MM;
    while count(mesh, spacing) > MOST_COARSE + mesh.triangles.len() {
        spacing *= 1.5;
    }
    spacing
}
