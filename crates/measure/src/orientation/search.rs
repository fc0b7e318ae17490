//! The search: candidates, thinned out, measured by columns, refined, and the best measured on the part itself.

use mesh::tree::Tree;
use mesh::vector::{dot, sub};
use mesh::{Edges, Mesh};

use super::candidates::{Candidate, Origin, SAME, around, candidates};
use super::columns::{Footing, Grid, Lean, Room, footing};
use super::exact::{Part, way};
use super::normal_image::{Flats, NormalImage};
use super::proxy::proxy;
use super::slender::{least_section_mm2, slender};
use super::surface::{Shown, Surface};
use super::{Asks, Orientations, Way};
use crate::soundness::Mass;

/// Directions a piece of work.
const CHUNK: usize = 16;
/// Columns of a ranking, at most and at least.
const COLUMNS: [usize; 2] = [1 << 16, 1 << 10];
/// So many of the best are refined, each turned by these angles in turn, degrees.
const REFINED: usize = 6;
const TURNS_DEG: [f64; 3] = [6.0, 3.0, 1.5];
/// Two poses whose figures differ by less than this share are one: the sides of a cube.
const ALIKE: f64 = 0.02;
/// Figures below this are nothing, in mm, mm2, mm3 or degrees.
const LEAST: f64 = 0.1;

/// A direction with what it costs by columns.
struct Ranked {
    candidate: Candidate,
    footing: Footing,
    step_mm: f64,
    section_mm2: Option<f64>,
    cost: f64,
}

/// Tries directions for a part. `mass` is its own: without a volume above 0 there is nothing to lay. `None` there,
/// and where its own layers cannot be measured.
pub fn search(
    mesh: &Mesh,
    tree: &Tree,
    edges: &Edges,
    mass: &Mass,
    asks: &Asks,
) -> Option<Orientations> {
    if !(mass.volume_mm3.is_finite() && mass.volume_mm3 > 0.0) {
        return None;
    }
    let surface = Surface::of(mesh, &asks.shown)?;
    let flats = Flats::of(&surface);
    let image = NormalImage::of(&surface, &flats);
    let stand_in = proxy(&surface, &flats, &image, asks.triangles);
    let light = stand_in.as_ref().unwrap_or(&surface);
    let centroid = sub(mass.centroid_mm, surface.centre);
    let stretches = slender(mesh, tree, &surface, asks.slender);
    let lean = Lean {
        sine: libm::sin(
            (asks.overhang.allowed_deg + asks.overhang.slack_deg)
                .min(90.0)
                .to_radians(),
        ),
        first_layer_mm: asks.layer_mm,
    };
    let grid = Grid {
        column_mm: asks.column_mm,
        most: COLUMNS[0],
        least: COLUMNS[1],
    };
    let all = candidates(&surface, &flats, centroid, asks.intended, asks.uniform);
    let tried = all.len();
    let rank = |candidate: &Candidate, room: &mut Room| {
        let footing = footing(light, candidate.up, centroid, lean, grid, room);
        let step_mm = image.step_mm(candidate.up, asks.layer_mm);
        Ranked {
            candidate: *candidate,
            cost: cost(&footing, step_mm, image.shown_mm2(), asks),
            footing,
            step_mm,
            section_mm2: least_section_mm2(&stretches, candidate.up),
        }
    };
    let rank_all = |list: &[Candidate]| -> Vec<Ranked> {
        parallel::chunks(list.len(), CHUNK, |range| {
            let mut room = Room::default();
            list[range]
                .iter()
                .map(|c| rank(c, &mut room))
                .collect::<Vec<_>>()
        })
        .into_iter()
        .flatten()
        .collect()
    };
    let mut ranked = rank_all(&thinned(all, &image, lean.sine, asks));
    sort(&mut ranked);
    for turn_deg in TURNS_DEG {
        let beside: Vec<Candidate> = ranked
            .iter()
            .filter(|r| stands(&r.footing, asks))
            .take(REFINED)
            .flat_map(|r| around(r.candidate.up, turn_deg))
            .filter(|up| !ranked.iter().any(|r| dot(r.candidate.up, *up) > SAME))
            .map(|up| Candidate {
                up,
                origin: Origin::Refined,
            })
            .collect();
        ranked.extend(rank_all(&beside));
        sort(&mut ranked);
    }
    let intended = ranked
        .iter()
        .find(|r| r.candidate.origin == Origin::Intended)?
        .candidate;
    let chosen = chosen(&ranked, asks);
    let part = Part {
        mesh,
        edges,
        surface: &surface,
        image: &image,
        slender: &stretches,
        centroid,
        lean,
        grid,
    };
    let intended = way(&part, &intended, asks)?;
    let mut others: Vec<Way> = Vec::new();
    for found in parallel::map(&chosen, |_, c| way(&part, c, asks)) {
        let Some(found) = found else { continue };
        let mut known = std::iter::once(&intended).chain(&others);
        let gains = found.fits && !intended.fits || found.terms().gains_on(&intended.terms());
        if gains && !known.any(|w| alike(w, &found)) {
            others.push(found);
        }
    }
    let beaten: Vec<bool> = others
        .iter()
        .map(|w| {
            let beats = |by: &Way| by.fits >= w.fits && by.terms().beats(&w.terms());
            others.iter().any(beats)
        })
        .collect();
    let mut beaten = beaten.into_iter();
    others.retain(|_| !beaten.next().unwrap_or(false));
    others.sort_by(|a, b| worth(a, asks).total_cmp(&worth(b, asks)));
    Some(Orientations {
        intended,
        others,
        tried,
    })
}

/// All but those of the uniform set that the normals alone say are dear.
fn thinned(all: Vec<Candidate>, image: &NormalImage, sine: f64, asks: &Asks) -> Vec<Candidate> {
    let (spread, mut kept): (Vec<Candidate>, Vec<Candidate>) =
        all.into_iter().partition(|c| c.origin == Origin::Uniform);
    let mut dear: Vec<(f64, Candidate)> = spread
        .into_iter()
        .map(|c| {
            let step = image.step_mm(c.up, asks.layer_mm) * image.shown_mm2() / 2.0;
            // A mean height of ten layers stands for what the normals do not know.
            let hanging = image.leaning_mm2(c.up, sine) * 10.0 * asks.layer_mm;
            (hanging + asks.steps * step, c)
        })
        .collect();
    dear.sort_by(|a, b| a.0.total_cmp(&b.0));
    kept.extend(dear.into_iter().take(asks.kept).map(|d| d.1));
    kept
}

/// What a direction costs, in mm3 of support: the support, the steps on show faces as volume (half a step's height
/// over their area: a saw's teeth), and height.
fn cost(footing: &Footing, step_mm: f64, shown_mm2: f64, asks: &Asks) -> f64 {
    footing.support_mm3
        + asks.steps * (0.5 * step_mm * shown_mm2 + asks.layer_mm * footing.scar_mm2)
        + asks.height_mm2 * footing.height_mm
}

/// The same of a direction that was measured on the part.
fn worth(way: &Way, asks: &Asks) -> f64 {
    way.needed_mm3()
        + asks.steps * (0.5 * way.step_mm * way.shown_mm2 + asks.layer_mm * way.scars_mm2())
        + asks.height_mm2 * way.height_mm
}

fn sort(ranked: &mut [Ranked]) {
    // Equal ones keep a fixed order: where they come from, then the direction itself.
    ranked.sort_by(|a, b| {
        let way = |r: &Ranked| r.candidate.up;
        a.cost
            .total_cmp(&b.cost)
            .then(a.candidate.origin.cmp(&b.candidate.origin))
            .then_with(|| {
                (0..3)
                    .map(|k| way(b)[k].total_cmp(&way(a)[k]))
                    .find(|o| o.is_ne())
                    .unwrap_or(std::cmp::Ordering::Equal)
            })
    });
}

fn stands(footing: &Footing, asks: &Asks) -> bool {
    footing.tip_deg >= asks.stands_deg && footing.first_layer_mm2 >= asks.footing_mm2
}

/// Which are measured on the part: the cheapest of the front (they stand, gain something on the intended one, and
/// nothing beats them in everything), apart from each
/// other; at least one each of least support, of finest steps, of most strength and of least height.
fn chosen(ranked: &[Ranked], asks: &Asks) -> Vec<Candidate> {
    let apart = libm::cos(asks.apart_deg.to_radians());
    let own = ranked
        .iter()
        .find(|r| r.candidate.origin == Origin::Intended);
    // A lean of a few degrees is no other choice, unless it sets a part down that stood on an edge.
    let leans = |r: &Ranked| {
        own.is_some_and(|own| {
            dot(own.candidate.up, r.candidate.up) > apart
                && r.footing.first_layer_mm2 <= own.footing.first_layer_mm2
        })
    };
    let able: Vec<&Ranked> = ranked
        .iter()
        .filter(|r| stands(&r.footing, asks) && !leans(r))
        .filter(|r| own.is_none_or(|own| r.terms().gains_on(&own.terms())))
        .collect();
    let able: Vec<&Ranked> = able
        .iter()
        .copied()
        .filter(|r| !able.iter().any(|other| other.terms().beats(&r.terms())))
        .collect();
    let mut found: Vec<&Ranked> = Vec::new();
    let own = asks.exact.div_ceil(2).max(1);
    offer(&mut found, &able, own, apart);
    for key in [
        (|r: &Ranked| r.footing.support_mm3) as fn(&Ranked) -> f64,
        |r| r.step_mm,
        |r| -r.section_mm2.unwrap_or(0.0),
        |r| r.footing.height_mm,
    ] {
        // A stable sort: of equal ones the cheapest comes first.
        let mut by = able.clone();
        by.sort_by(|a, b| key(a).total_cmp(&key(b)));
        let most = (found.len() + 1).min(asks.exact);
        offer(&mut found, &by, most, apart);
    }
    offer(&mut found, &able, asks.exact, apart);
    found.into_iter().map(|r| r.candidate).collect()
}

/// Takes from a list in its order, up to `most` in all, what is another choice than all that were taken.
fn offer<'a>(found: &mut Vec<&'a Ranked>, list: &[&'a Ranked], most: usize, apart: f64) {
    for &r in list {
        if found.len() >= most {
            break;
        }
        let near = found.iter().any(|f| {
            dot(f.candidate.up, r.candidate.up) > apart || same_figures(&f.footing, &r.footing)
        });
        if !near {
            found.push(r);
        }
    }
}

/// What a direction may gain, each better the smaller, and what it stands on.
struct Terms {
    gains: [f64; 5],
    footing: [f64; 2],
}

impl Ranked {
    fn terms(&self) -> Terms {
        let f = &self.footing;
        Terms {
            gains: [
                f.support_mm3,
                f.scar_mm2,
                self.step_mm,
                f.height_mm,
                -self.section_mm2.unwrap_or(0.0),
            ],
            footing: [-f.first_layer_mm2, -f.tip_deg],
        }
    }
}

impl Way {
    fn terms(&self) -> Terms {
        Terms {
            gains: [
                self.needed_mm3(),
                self.scars_mm2(),
                self.step_mm,
                self.height_mm,
                -self.section_mm2.unwrap_or(0.0),
            ],
            footing: [-self.first_layer_mm2, -self.tip_deg],
        }
    }
}

impl Terms {
    fn less(a: f64, b: f64) -> bool {
        a < b && !close(a, b, LEAST)
    }

    /// Whether it is better than another in something that a designer would turn a part for.
    fn gains_on(&self, other: &Terms) -> bool {
        let mut pairs = self.gains.iter().zip(&other.gains);
        pairs.any(|(a, b)| Terms::less(*a, *b))
    }

    /// Whether it is in some term better than another, and in none worse.
    fn beats(&self, other: &Terms) -> bool {
        let firmer = |a: &Terms, b: &Terms| {
            let mut pairs = a.footing.iter().zip(&b.footing);
            pairs.any(|(a, b)| Terms::less(*a, *b))
        };
        let better = self.gains_on(other) || firmer(self, other);
        better && !other.gains_on(self) && !firmer(other, self)
    }
}

fn close(a: f64, b: f64, least: f64) -> bool {
    (a - b).abs() <= ALIKE * a.abs().max(b.abs()).max(least)
}

/// Whether two poses cost the same by columns: the sides of a symmetrical part.
fn same_figures(a: &Footing, b: &Footing) -> bool {
    close(a.support_mm3, b.support_mm3, 1.0)
        && close(a.height_mm, b.height_mm, 1.0)
        && close(a.first_layer_mm2, b.first_layer_mm2, 1.0)
        && close(a.scar_mm2, b.scar_mm2, 1.0)
}

/// The same, measured on the part.
fn alike(a: &Way, b: &Way) -> bool {
    dot(a.up, b.up) > SAME
        || (close(a.needed_mm3(), b.needed_mm3(), 1.0)
            && a.needs_support == b.needs_support
            && close(a.height_mm, b.height_mm, 1.0)
            && close(a.first_layer_mm2, b.first_layer_mm2, 1.0)
            && close(a.step_mm, b.step_mm, 0.01))
}

impl Shown {
    /// From the step of each facet: below 0 where it is not on show.
    pub fn of_steps(steps: &[f32]) -> Shown {
        Shown::Facets(steps.iter().map(|&s| s >= 0.0).collect())
    }
}
