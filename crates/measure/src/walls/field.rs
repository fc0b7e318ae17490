//! Thickness over the whole surface: a coarse pass over every facet, a fine one where it is thin and changes.

use mesh::Mesh;
use mesh::vector::{Vec3, distance, dot, scale, sub, unit};
use serde::{Deserialize, Serialize};

use super::ball::{Ball, Ground, NEARLY_PARALLEL, Side, ball_from, ray_at};
use super::buried::{is_covered, is_open};
use super::probe::is_broad;
use super::sampling::{Lattice, Sample, samples};

/// Thickness read at one point.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Place on the surface, mm.
    pub at: Vec3,
    /// The facet it lies on.
    pub triangle: u32,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Unit vector from `at` to the opposite wall: the direction in which it is thin.
    pub across: Vec3,
    /// Centre of the ball between the walls.
    pub centre: Vec3,
    /// Where the ball touches the opposite wall.
    pub contact: Vec3,
    /// The facet there.
    pub opposite: u32,
    /// Change of thickness along the surface, mm per mm.
    pub rate: f64,
    /// Area it stands for, mm2.
    pub area_mm2: f64,
    /// Distance to its neighbours on the facet, at most, mm.
    pub spacing_mm: f64,
}

impl Reading {
    pub(super) fn new(
        at: Vec3,
        triangle: u32,
        normal: Vec3,
        ball: &Ball,
        area_mm2: f64,
        spacing_mm: f64,
    ) -> Reading {
        Reading {
            at,
            triangle,
            thickness_mm: ball.diameter_mm,
            across: unit(sub(ball.contact, at)).unwrap_or(scale(normal, -1.0)),
            centre: ball.centre,
            contact: ball.contact,
            opposite: ball.opposite,
            rate: ball.rate,
            area_mm2,
            spacing_mm,
        }
    }
}

/// How a field is taken.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plan {
    pub side: Side,
    /// Spacing of the coarse pass, mm.
    pub coarse_mm: f64,
    /// Spacing of the fine pass, mm.
    pub fine_mm: f64,
    /// Readings up to this are kept, mm.
    pub keep_mm: f64,
    /// Rays are followed this far, mm, so that the least thickness beyond `keep_mm` is found too.
    pub ray_mm: f64,
    /// At most this many fine readings.
    pub most_fine: usize,
    /// The least thickness is looked for where it changes by less than this, mm per mm.
    pub steepest: f64,
}

/// The field of one side.
pub(super) struct Field {
    /// Every reading up to `keep_mm`, coarse ones in the order of facets, fine ones after them.
    pub kept: Vec<Reading>,
    /// The least reading up to `ray_mm` of each chunk of samples: of walls that are no edges of wedges and
    /// lie inside no other body.
    pub least: Vec<Reading>,
}

/// Facets within a degree of parallel.
const PARALLEL: f64 = -0.9998;
/// A wedge up to 60 degrees reads at most half as much again along a ray as its ball.
const RAY_OVER_BALL: f64 = 1.6;
/// Below this rate two plain walls are parallel: what lies between two samples is what they read.
const PARALLEL_RATE: f64 = 0.02;
/// Samples of one chunk. The split decides which balls are skipped, so it depends on nothing else.
const CHUNK: usize = 512;

/// Reads every sample of the part.
pub(super) fn field(ground: &Ground, plan: &Plan) -> Field {
    let coarse = samples(ground.mesh, plan.coarse_mm);
    let mut field = read(ground, plan, &coarse, plan.coarse_mm);
    let fine = fine_samples(ground, plan, &field.kept);
    if !fine.samples.is_empty() {
        let more = read(ground, plan, &fine.samples, fine.spacing_mm);
        // The fine readings of a facet stand for the area of the coarse ones they replace.
        field.kept.retain(|r| !fine.replaces(r));
        field.kept.extend(more.kept);
        field.least.extend(more.least);
    }
    field
}

fn read(ground: &Ground, plan: &Plan, samples: &[Sample], spacing: f64) -> Field {
    let chunks = parallel::chunks(samples.len(), CHUNK, |range| {
        let mut kept = Vec::new();
        let mut least: Option<Reading> = None;
        for sample in &samples[range] {
            let triangle = sample.triangle;
            let Some((ray, facet)) =
                ray_at(ground, plan.side, sample.at, triangle, plan.ray_mm, |_| {
                    false
                })
            else {
                continue;
            };
            let best = least.map_or(f64::INFINITY, |l| l.thickness_mm);
            if ray > RAY_OVER_BALL * best.max(plan.keep_mm) {
                continue;
            }
            let Some(ball) = ball_from(ground, plan.side, sample.at, triangle, ray, facet) else {
                continue;
            };
            if ball.diameter_mm > plan.keep_mm && ball.diameter_mm >= best {
                continue;
            }
            let reading = Reading::new(
                sample.at,
                triangle,
                ground.normals[triangle as usize],
                &ball,
                f64::from(sample.area),
                spacing.min(facet_reach(ground.mesh, triangle)),
            );
            if ball.diameter_mm < best
                && ball.rate < plan.steepest
                && is_open(ground.tree, plan.side, &reading)
                && is_broad(ground.tree, plan.side, &reading, plan.fine_mm)
            {
                least = Some(reading);
            }
            if ball.diameter_mm <= plan.keep_mm {
                kept.push(reading);
            }
        }
        (kept, least)
    });
    let mut field = Field {
        kept: Vec::new(),
        least: Vec::new(),
    };
    for (kept, least) in chunks {
        field.kept.extend(kept);
        field.least.extend(least);
    }
    field
}

/// Samples of a part without thin walls are looked at in batches of this many, those of the shortest rays
/// first, and in so many batches at most.
const BATCH: usize = 128;
/// See [`BATCH`].
const BATCHES: usize = 32;

/// Readings of a part that has no wall up to `plan.ray_mm`, the thinnest of its nearly parallel walls among
/// them: batches of samples until none can be thinner.
pub(super) fn thick(
    ground: &Ground,
    plan: &Plan,
    longest_mm: f64,
    counts: impl Fn(&Reading) -> bool + Sync,
) -> Vec<Reading> {
    let samples = samples(ground.mesh, plan.coarse_mm);
    let nearly_parallel = |a: u32, b: u32| {
        dot(ground.normals[a as usize], ground.normals[b as usize]) <= NEARLY_PARALLEL
    };
    let chunks = parallel::chunks(samples.len(), CHUNK, |range| {
        let mut rays = Vec::new();
        for i in range {
            let Sample { at, triangle, .. } = samples[i];
            let hit = ray_at(ground, plan.side, at, triangle, longest_mm, |_| false);
            rays.extend(
                hit.filter(|&(_, facet)| nearly_parallel(facet, triangle))
                    .map(|(ray, _)| (ray, i)),
            );
        }
        rays
    });
    let mut rays: Vec<(f64, usize)> = chunks.concat();
    rays.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut found: Vec<Reading> = Vec::new();
    let mut best = f64::INFINITY;
    for batch in rays.chunks(BATCH).take(BATCHES) {
        if batch[0].0 >= best {
            break;
        }
        let readings = parallel::map(batch, |_, &(_, i)| {
            thick_at(ground, plan, longest_mm, &samples[i]).filter(|r| counts(r))
        });
        found.extend(readings.into_iter().flatten());
        best = found
            .iter()
            .map(|r| r.thickness_mm)
            .fold(f64::INFINITY, f64::min);
    }
    found
}

/// The reading at one sample; faces within other bodies are passed by, a sample on one is no wall's.
fn thick_at(ground: &Ground, plan: &Plan, longest_mm: f64, sample: &Sample) -> Option<Reading> {
    let Sample { at, triangle, area } = *sample;
    let outward = ground.normals[triangle as usize];
    if is_covered(ground.tree, at, outward) {
        return None;
    }
    let passes = |p: Vec3| is_covered(ground.tree, p, scale(outward, -1.0));
    let (ray, facet) = ray_at(ground, plan.side, at, triangle, longest_mm, passes)?;
    let spacing = plan.coarse_mm.min(facet_reach(ground.mesh, triangle));
    let reading = |ball: &Ball| {
        let reading = Reading::new(at, triangle, outward, ball, f64::from(area), spacing);
        is_open(ground.tree, plan.side, &reading).then_some(reading)
    };
    ball_from(ground, plan.side, at, triangle, ray, facet)
        .and_then(|ball| reading(&ball))
        .or_else(|| reading(&between(ground, at, outward, ray, facet)?))
}

/// The ball between two parallel faces; the faces of other bodies that the ray passed by do not shrink it.
fn between(ground: &Ground, at: Vec3, outward: Vec3, ray: f64, facet: u32) -> Option<Ball> {
    let parallel = dot(ground.normals[facet as usize], outward) <= PARALLEL;
    parallel.then(|| Ball {
        diameter_mm: ray,
        centre: sub(at, scale(outward, 0.5 * ray)),
        contact: sub(at, scale(outward, ray)),
        opposite: facet,
        rate: 0.0,
    })
}

/// The longest edge of a facet, mm: its one sample speaks for no more than that.
fn facet_reach(mesh: &Mesh, triangle: u32) -> f64 {
    let [a, b, c] = mesh.corners(triangle as usize);
    distance(a, b).max(distance(b, c)).max(distance(c, a))
}

/// The samples of the fine pass.
struct Fine {
    samples: Vec<Sample>,
    spacing_mm: f64,
    /// Facets that the fine pass covers near their flagged readings, ascending.
    facets: Vec<u32>,
}

impl Fine {
    fn replaces(&self, reading: &Reading) -> bool {
        self.facets.binary_search(&reading.triangle).is_ok() && changes(reading)
    }
}

/// Whether thickness may be less nearby than where it was read.
fn changes(reading: &Reading) -> bool {
    reading.rate > PARALLEL_RATE
}

/// Fine samples around every coarse reading that is thin and changes, wider where there would be too many.
fn fine_samples(ground: &Ground, plan: &Plan, kept: &[Reading]) -> Fine {
    let flagged: Vec<&Reading> = kept
        .iter()
        .filter(|r| changes(r) && facet_reach(ground.mesh, r.triangle) > plan.fine_mm)
        .collect();
    let area: f64 = flagged.iter().map(|r| r.area_mm2).sum();
    let wanted = area / (plan.fine_mm * plan.fine_mm) + flagged.len() as f64;
    let spacing_mm = plan.fine_mm * (wanted / plan.most_fine as f64).sqrt().max(1.0);
    if spacing_mm >= plan.coarse_mm {
        return Fine {
            samples: Vec::new(),
            spacing_mm,
            facets: Vec::new(),
        };
    }
    // Readings stand in the order of their facets.
    let groups: Vec<&[&Reading]> = flagged.chunk_by(|a, b| a.triangle == b.triangle).collect();
    let parts = parallel::map(&groups, |_, group| {
        let triangle = group[0].triangle;
        let mut out = Vec::new();
        if let Some(lattice) = Lattice::new(&ground.mesh.corners(triangle as usize), spacing_mm) {
            lattice.each(|at, area| {
                let near = |r: &&Reading| {
                    let off = sub(at, r.at);
                    dot(off, off) <= plan.coarse_mm * plan.coarse_mm
                };
                if group.iter().any(near) {
                    out.push(Sample {
                        at,
                        area: area as f32,
                        triangle,
                    });
                }
            });
        }
        out
    });
    Fine {
        samples: parts.concat(),
        spacing_mm,
        facets: groups.iter().map(|g| g[0].triangle).collect(),
    }
}
