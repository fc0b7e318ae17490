//! From readings to places: what is thinner than asked, gathered by cause, refined, and followed along the wall.

use mesh::vector::{Vec3, add, scale};
use serde::{Deserialize, Serialize};

use super::ask::Ask;
use super::ball::{Ground, Side};
use super::buried::is_open;
use super::cluster::{clusters, extent};
use super::feather::Apexes;
use super::field::Reading;
use super::probe::{March, Run, run};
use super::refine::refine;

/// One place that is thinner than asked.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Place {
    /// The worst point, on the surface, mm.
    pub at: Vec3,
    /// The point on the opposite wall, mm.
    pub opposite: Vec3,
    /// Outward unit normal at the worst point.
    pub outward: Vec3,
    /// Unit vector along which it is thin.
    pub across: Vec3,
    /// Thickness at the worst point, mm.
    pub thickness_mm: f64,
    /// Thickness asked for in that direction, mm.
    pub asked_mm: f64,
    /// Change of thickness at the worst point, mm per mm.
    pub rate: f64,
    /// Area of the place, one side of the wall, mm2.
    pub area_mm2: f64,
    /// Diagonal of the box around the place, mm.
    pub extent_mm: f64,
    /// Longest straight line through the worst point along which it stays thinner than asked, mm; lines are
    /// followed over the span asked for, both ways.
    pub longest_mm: f64,
    /// How narrow the place is, mm: the shortest such line of those that do not end at a rim both ways, at the
    /// broadest of the points looked at; infinite where all do.
    pub shortest_mm: f64,
    /// Height of what stands proud of something thicker (depth of a slit in something solid), mm: the
    /// shortest line with a rim at one end and something wide at the other. `None` where there is none.
    pub proud_mm: Option<f64>,
}

impl Place {
    /// Half way between the two walls at the worst point, mm.
    pub fn middle(&self) -> Vec3 {
        scale(add(self.at, self.opposite), 0.5)
    }

    /// How far the place reaches around its worst point, about, mm.
    pub fn reach_mm(&self) -> f64 {
        0.5 * self.extent_mm
    }
}

/// Places gathered for one [`Ask`], worst first.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Places {
    /// The places, least share of the thickness asked for first; at most [`MOST_PLACES`].
    pub list: Vec<Place>,
    /// How many places there are in all.
    pub total: usize,
}

/// Places that are refined and followed; of more, the worst.
pub const MOST_PLACES: usize = 100;
/// Points of a place from which its run is followed, besides the worst.
const MORE_PROBES: usize = 3;
/// Lines along which a place is followed.
const LINES: usize = 12;
/// Steps over the span when a place is followed.
const STEPS: f64 = 20.0;

/// How deep one looks, and what does not count.
pub(super) struct Look<'a> {
    pub ground: &'a Ground<'a>,
    pub side: Side,
    pub span_mm: f64,
    /// Feather edges; `None` for gaps.
    pub apexes: Option<&'a Apexes>,
}

fn counts(ask: &Ask, r: &Reading) -> bool {
    r.rate < ask.steepest && r.thickness_mm >= ask.from_mm
}

/// The readings that any of the asks may name: thinner than asked, borders of the part, no feather edges.
pub(super) fn candidates(look: &Look, readings: &[Reading], asks: &[Ask]) -> Vec<Reading> {
    let normals = look.ground.normals;
    let chunks = parallel::chunks(readings.len(), 512, |range| {
        readings[range]
            .iter()
            .filter(|r| {
                asks.iter()
                    .any(|ask| counts(ask, r) && r.thickness_mm < ask.thickness_mm(r.across))
                    && is_open(look.ground.tree, look.side, r)
                    && !look
                        .apexes
                        .is_some_and(|a| a.holds(r, normals[r.triangle as usize]))
            })
            .copied()
            .collect::<Vec<_>>()
    });
    chunks.concat()
}

/// The places among some candidates that are thinner than asked.
pub(super) fn places(look: &Look, readings: &[Reading], ask: &Ask) -> Places {
    let share = |r: &Reading| r.thickness_mm / ask.thickness_mm(r.across);
    let counts = |r: &Reading| counts(ask, r);
    let normals = look.ground.normals;
    let thin: Vec<Reading> = readings
        .iter()
        .filter(|r| counts(r) && share(r) < 1.0)
        .copied()
        .collect();
    let mut groups: Vec<(f64, u32, Vec<u32>)> = clusters(&thin, normals)
        .into_iter()
        .map(|group| {
            let worst = least_by(&group, |i| share(&thin[i as usize]));
            (share(&thin[worst as usize]), worst, group)
        })
        .collect();
    groups.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let total = groups.len();
    groups.truncate(MOST_PLACES);
    let mut list = parallel::map(&groups, |_, (_, worst, group)| {
        let worst = refine(
            look.ground,
            look.side,
            &thin[*worst as usize],
            ask.most_mm() * 1.5,
            share,
            |r| {
                counts(r)
                    && is_open(look.ground.tree, look.side, r)
                    && !look
                        .apexes
                        .is_some_and(|a| a.holds(r, normals[r.triangle as usize]))
            },
        );
        place(look, &thin, group, &worst, ask)
    });
    list.sort_by(|a, b| (a.thickness_mm / a.asked_mm).total_cmp(&(b.thickness_mm / b.asked_mm)));
    Places { list, total }
}

fn least_by(group: &[u32], value: impl Fn(u32) -> f64) -> u32 {
    let mut best = group[0];
    for &i in group {
        if value(i) < value(best) {
            best = i;
        }
    }
    best
}

fn place(look: &Look, readings: &[Reading], group: &[u32], worst: &Reading, ask: &Ask) -> Place {
    let follow = |r: &Reading| {
        run(
            look.ground.tree,
            look.side,
            r,
            ask.thickness_mm(r.across),
            &March {
                lines: LINES,
                span_mm: look.span_mm,
                step_mm: look.span_mm / STEPS,
            },
        )
    };
    let at_worst = follow(worst);
    let step = group.len().div_ceil(MORE_PROBES);
    let others: Vec<Run> = group
        .iter()
        .skip(step / 2)
        .step_by(step)
        .map(|&i| follow(&readings[i as usize]))
        .collect();
    let area: f64 = group.iter().map(|&i| readings[i as usize].area_mm2).sum();
    Place {
        at: worst.at,
        opposite: worst.contact,
        outward: look.ground.normals[worst.triangle as usize],
        across: worst.across,
        thickness_mm: worst.thickness_mm,
        asked_mm: ask.thickness_mm(worst.across),
        rate: worst.rate,
        // Both walls of a wall were read.
        area_mm2: 0.5 * area,
        extent_mm: extent(readings, group),
        longest_mm: others
            .iter()
            .map(|r| r.longest_mm)
            .fold(at_worst.longest_mm, f64::max),
        shortest_mm: others
            .iter()
            .map(|r| r.shortest_mm)
            .fold(at_worst.shortest_mm, f64::max),
        proud_mm: proud(&at_worst, &others),
    }
}

/// A place stands proud when most of its points do; its height is the greatest of theirs.
fn proud(worst: &Run, others: &[Run]) -> Option<f64> {
    let all = || std::iter::once(worst).chain(others);
    let standing = all().filter(|r| r.proud_mm.is_some()).count();
    if 2 * standing <= all().count() {
        return None;
    }
    all().filter_map(|r| r.proud_mm).reduce(f64::max)
}
