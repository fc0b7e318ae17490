//! How a builder tells old from new on the bench: the dimension that a caliper can take and that changed most.
//!
//! At the deepest places of the largest regions: the diameter of a hole or a boss, the distance across two parallel
//! flat faces (outside jaws: material between them; inside jaws: a slot), and the length of the whole part. Both
//! revisions are measured at the same place, each on its own faces; what the jaws cannot reach is left out.

mod flats;
mod length;
mod patch;
mod round;
mod rounds;

use mesh::Edges;
use mesh::vector::{Vec3, add, cross, scale, unit};
use serde::{Deserialize, Serialize};

use crate::change::{Asks, Body};
use crate::regions::Found;
use crate::rigid::Rigid;

pub use rounds::{LEAST_MM, RoundChange};

/// Regions looked at, and places in each.
const REGIONS: usize = 12;
const PLACES: usize = 24;

/// Two differences closer than this are equal, and the plainer dimension is named, mm.
const EQUAL: f64 = 0.02;

/// What the jaws are set to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Dimension {
    /// Across two parallel flat faces.
    Flats,
    /// Across a hole or a boss.
    Diameter,
    /// Over the whole part.
    Length,
}

/// One dimension at both revisions.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Caliper {
    /// What it is.
    pub dimension: Dimension,
    /// Outside jaws (material between them) rather than inside jaws.
    pub outside: bool,
    /// Middle of the dimension, in the present part's frame, mm.
    pub at: [f64; 3],
    /// Unit direction from jaw to jaw; of a diameter, the axis.
    pub along: [f64; 3],
    /// At the base, mm.
    pub base_mm: f64,
    /// At the present, mm.
    pub present_mm: f64,
}

impl Caliper {
    /// How much it changed, mm.
    fn change(&self) -> f64 {
        (self.present_mm - self.base_mm).abs()
    }

    /// Among equal changes the least is named.
    fn rank(&self) -> usize {
        match (self.dimension, self.outside) {
            (Dimension::Diameter, false) => 0,
            (Dimension::Diameter, true) => 1,
            (Dimension::Flats, false) => 2,
            (Dimension::Flats, true) => 3,
            (Dimension::Length, _) => 4,
        }
    }
}

/// One revision on the bench.
pub(super) struct Side<'a> {
    pub body: Body<'a>,
    pub edges: Edges,
    /// From its own frame to the present's.
    pub show: Rigid,
    /// And back.
    pub own: Rigid,
}

impl<'a> Side<'a> {
    fn new(body: Body<'a>, show: Rigid) -> Side<'a> {
        Side {
            body,
            edges: Edges::build(body.mesh),
            show,
            own: show.inverse(),
        }
    }

    /// Outward normal of a facet, in the present's frame.
    pub fn normal(&self, triangle: u32) -> Option<Vec3> {
        let own = self.body.mesh.normal(triangle as usize)?;
        Some(self.show.direction(own))
    }

    /// How far a place (present's frame) lies from the surface, mm.
    pub fn distance(&self, at: Vec3) -> f64 {
        let found = self
            .body
            .tree
            .closest(self.own.at(at), f64::INFINITY, |_| true);
        found.map_or(f64::INFINITY, |found| found.distance)
    }

    /// Whether something straight can come to a point (present's frame) from outside, athwart `along` or along it.
    pub fn reached(&self, at: Vec3, along: Vec3) -> bool {
        let e = [0, 1, 2].map(|k| if k == least(along) { 1.0 } else { 0.0 });
        let Some(u) = unit(cross(along, e)) else {
            return false;
        };
        let v = cross(along, u);
        let half = 0.5f64.sqrt();
        let mut ways = vec![along, scale(along, -1.0)];
        for (x, y) in [(1.0, 0.0), (0.0, 1.0), (half, half), (half, -half)] {
            let w = add(scale(u, x), scale(v, y));
            ways.extend([w, scale(w, -1.0)]);
        }
        let start = self.own.at(at);
        ways.into_iter().any(|way| {
            let way = self.own.direction(way);
            self.body
                .tree
                .first_hit(start, way, f64::INFINITY, mesh::tree::NONE)
                .is_none()
        })
    }
}

/// The axis that a direction has least of.
fn least(v: Vec3) -> usize {
    (0..3).fold(0, |l, k| if v[k].abs() < v[l].abs() { k } else { l })
}

/// What the bench shows.
pub(crate) struct Bench {
    /// The dimension that changed most, if a caliper shows it.
    pub most: Option<Caliper>,
    /// The round faces that changed, where nothing else did.
    pub only_rounds: Option<Vec<RoundChange>>,
}

/// Lays both revisions on the bench. `whole`: `found` are all regions.
pub(crate) fn bench(
    base: Body<'_>,
    present: Body<'_>,
    onto: &Rigid,
    found: &[Found],
    whole: bool,
    asks: &Asks,
) -> Bench {
    let (base, present) = parallel::join(
        || Side::new(base, *onto),
        || Side::new(present, Rigid::IDENTITY),
    );
    let mut places = Vec::new();
    for region in found.iter().take(REGIONS) {
        let stride = region.places.len().div_ceil(PLACES).max(1);
        places.extend(region.places.iter().step_by(stride).copied());
    }
    let ways = parallel::map(&places, |_, place| {
        let (own, other) = if place.on_base {
            (&base, &present)
        } else {
            (&present, &base)
        };
        let mut ways: Vec<Caliper> = round::diameter(own, other, place).into_iter().collect();
        if ways.is_empty() {
            ways = flats::across(own, other, place);
        }
        ways
    });
    let mut ways: Vec<Caliper> = ways.into_iter().flatten().collect();
    ways.extend(length::lengths(&base, &present));
    let mut best: Option<Caliper> = None;
    for way in ways {
        if way.change() < asks.caliper_least_mm - 1e-6 {
            continue;
        }
        let better = best.is_none_or(|b| {
            way.change() > b.change() + EQUAL
                || (way.change() > b.change() - EQUAL && way.rank() < b.rank())
        });
        if better {
            best = Some(way);
        }
    }
    Bench {
        most: best,
        only_rounds: if whole {
            rounds::only_rounds(&base, &present, found)
        } else {
            None
        },
    }
}
