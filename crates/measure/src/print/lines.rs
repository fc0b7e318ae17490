//! Where a part's layers are narrower than a line needs, and where their gaps are: regions of single layers, followed
//! from layer to layer into places.
//!
//! Widths are decided exactly, on the outline of each layer ([`layers::width`]), so no pixel has a say. What lies
//! within other bodies is no outline: where narrow stretches are met, the layer's contours are united first. Layers
//! that are the same, point by point, are decided once.
//!
//! The surface measure of walls asks back here: does any layer show something narrow near that place ([`Look`])?
//! It must not know what a nozzle can lay.

mod followed;
mod narrowed;

use layers::narrow::Region;
use layers::outline::Side;
use layers::width::Stretch;
use layers::{Layer, Stack};
use mesh::vector::{Vec3, add, scale, sub};
use serde::{Deserialize, Serialize};

pub use layers::narrow::Ask;

use followed::{Followed, follow, join};
use narrowed::Narrowed;

/// Everything that is asked of a part's lines.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Asks {
    /// Of the material.
    pub widths: Vec<Ask>,
    /// Of the gaps.
    pub gaps: Vec<Ask>,
    /// Places that another measure found.
    pub looks: Vec<Look>,
    /// What is lost, thin and fused with a line of each width that it is printed with.
    pub lines: Vec<Line>,
}

/// What is asked with one width of line: each is among the widths and gaps asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Width of the line, mm.
    pub bead_mm: f64,
    /// Material narrower than this is lost.
    pub lost: Ask,
    /// Material narrower than this is thin.
    pub thin: Ask,
    /// Gaps narrower than this fuse.
    pub fused: Ask,
}

/// A ball in the mesh's own frame, and whether a layer shows something narrow in it, however short or tapered.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Look {
    /// Its middle, mm, in the mesh's own frame.
    pub at_mm: Vec3,
    /// Its radius, mm.
    pub reach_mm: f64,
    /// Narrower than this, mm.
    pub below_mm: f64,
    /// Whether gaps are meant, not material.
    pub gap: bool,
}

/// What was measured on a part's lines.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Lines {
    /// Narrow material, for each ask.
    pub widths: Vec<Places>,
    /// Narrow gaps, for each ask.
    pub gaps: Vec<Places>,
    /// What is lost, thin and fused with the line it is printed with; `None` where that was not asked.
    pub areas: Option<Areas>,
    /// The places looked at, and whether any layer shows something narrow there, or does not close.
    pub seen: Vec<(Look, bool)>,
}

/// Areas of all layers together, with one width of line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Areas {
    /// Where no line fits, mm2.
    pub lost_mm2: f64,
    /// Where one line fits and not two, mm2.
    pub thin_mm2: f64,
    /// Gaps that fuse, mm2.
    pub fused_mm2: f64,
}

impl Lines {
    /// The narrow material that was asked for so; `None` where it was not.
    pub fn widths(&self, ask: &Ask) -> Option<&Places> {
        self.widths.iter().find(|p| p.ask == *ask)
    }

    /// The narrow gaps that were asked for so; `None` where they were not.
    pub fn gaps(&self, ask: &Ask) -> Option<&Places> {
        self.gaps.iter().find(|p| p.ask == *ask)
    }

    /// Whether a layer shows something narrow at a place looked at; `None` where nobody looked.
    pub fn seen(&self, look: &Look) -> Option<bool> {
        self.seen.iter().find(|(l, _)| l == look).map(|s| s.1)
    }
}

/// The places of one ask.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Places {
    /// What was asked.
    pub ask: Ask,
    /// Narrow area of all layers together, mm2.
    pub area_mm2: f64,
    /// The places, narrowest first; at most [`MOST_PLACES`].
    pub list: Vec<Place>,
    /// How many there are in all.
    pub total: usize,
}

/// A narrow place: regions that lie on each other in successive layers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Place {
    /// Its narrowest point, between the sides, mm, in the mesh's own frame.
    pub at_mm: Vec3,
    /// Unit vector across it there, in the mesh's own frame.
    pub across: Vec3,
    /// Width there, mm.
    pub width_mm: f64,
    /// Narrow area of its layers together, mm2.
    pub area_mm2: f64,
    /// The greatest length of its layers, mm.
    pub length_mm: f64,
    /// Diagonal of the box around it in the layers' plane, mm.
    pub extent_mm: f64,
    /// Its first layer.
    pub first: usize,
    /// Its last layer.
    pub last: usize,
    /// From the lowest to the highest of it, mm.
    pub height_mm: f64,
}

impl Place {
    /// The two points opposite each other, on the layer's outline, mm.
    pub fn sides(&self) -> [Vec3; 2] {
        let half = scale(self.across, 0.5 * self.width_mm);
        [add(self.at_mm, half), sub(self.at_mm, half)]
    }

    /// How far it reaches from any of its points, at most, mm.
    pub fn reach_mm(&self) -> f64 {
        libm::hypot(self.extent_mm, self.height_mm)
    }
}

/// Places kept of an ask; of more, the narrowest.
pub const MOST_PLACES: usize = 100;
/// Layers a piece of work.
const CHUNK: usize = 32;

/// Measures a part on its own layers; `bead_mm` is the width of the line it is printed with.
pub fn measure(stack: &Stack, bead_mm: f64, asks: &Asks) -> Lines {
    let looks = Looks::new(stack, &asks.looks);
    let runs = stack.runs(CHUNK, 0, |_, run| {
        let mut of_run = OfRun::new(asks);
        let mut narrowed = Narrowed::default();
        for layer in run {
            narrowed.take(&layer, asks);
            of_run.add(&layer, &narrowed, &looks);
        }
        of_run
    });
    let mut widths: Vec<Vec<Followed>> = vec![Vec::new(); asks.widths.len()];
    let mut gaps: Vec<Vec<Followed>> = vec![Vec::new(); asks.gaps.len()];
    let mut found = vec![false; looks.list.len()];
    for run in runs {
        for (all, own) in widths.iter_mut().zip(run.widths) {
            all.push(own);
        }
        for (all, own) in gaps.iter_mut().zip(run.gaps) {
            all.push(own);
        }
        for (all, own) in found.iter_mut().zip(run.found) {
            *all |= own;
        }
    }
    let places = |asks: &[Ask], all: Vec<Vec<Followed>>| {
        let each = asks.iter().zip(all);
        each.map(|(ask, runs)| join(stack, ask, runs)).collect()
    };
    let mut lines = Lines {
        widths: places(&asks.widths, widths),
        gaps: places(&asks.gaps, gaps),
        areas: None,
        seen: asks.looks.iter().copied().zip(found).collect(),
    };
    let line = asks.lines.iter().find(|l| l.bead_mm == bead_mm);
    lines.areas = line.and_then(|line| areas(&lines, line));
    lines
}

fn areas(lines: &Lines, line: &Line) -> Option<Areas> {
    let lost_mm2 = lines.widths(&line.lost)?.area_mm2;
    Some(Areas {
        lost_mm2,
        thin_mm2: lines.widths(&line.thin)?.area_mm2 - lost_mm2,
        fused_mm2: lines.gaps(&line.fused)?.area_mm2,
    })
}

/// What a run of layers gave.
struct OfRun {
    widths: Vec<Followed>,
    gaps: Vec<Followed>,
    found: Vec<bool>,
}

impl OfRun {
    fn new(asks: &Asks) -> OfRun {
        OfRun {
            widths: vec![Followed::default(); asks.widths.len()],
            gaps: vec![Followed::default(); asks.gaps.len()],
            found: vec![false; asks.looks.len()],
        }
    }

    fn add(&mut self, layer: &Layer, narrowed: &Narrowed, looks: &Looks) {
        let each = |followed: &mut [Followed], regions: &[Vec<Region>]| {
            for (followed, regions) in followed.iter_mut().zip(regions) {
                follow(followed, layer, regions);
            }
        };
        each(&mut self.widths, &narrowed.widths);
        each(&mut self.gaps, &narrowed.gaps);
        // A layer that does not close shows nothing for certain.
        let open = layer.open() > 0;
        for (found, look) in self.found.iter_mut().zip(&looks.list) {
            let side = if look.gap { Side::Gap } else { Side::Material };
            *found = *found
                || look.reaches(layer.z_mm, looks.layer_mm)
                    && (open || look.sees(narrowed.stretches(side)));
        }
    }
}

/// The places looked at, in the pose.
struct Looks {
    list: Vec<Look>,
    layer_mm: f64,
}

impl Looks {
    fn new(stack: &Stack, looks: &[Look]) -> Looks {
        let posed = looks.iter().map(|look| Look {
            at_mm: stack.posed().to_pose(look.at_mm),
            ..*look
        });
        Looks {
            list: posed.collect(),
            layer_mm: stack.layer_mm(),
        }
    }
}

impl Look {
    /// Whether a layer cut at `z` stands for a part of the ball: half a layer above and below its cut.
    fn reaches(&self, z: f64, layer_mm: f64) -> bool {
        (z - self.at_mm[2]).abs() <= self.reach_mm + 0.5 * layer_mm
    }

    /// Whether a layer shows something narrow within reach; in the pose.
    fn sees(&self, stretches: &[Stretch]) -> bool {
        let reach = self.reach_mm + 0.5 * self.below_mm;
        stretches.iter().any(|s| {
            let [dx, dy] = [0, 1].map(|k| s.middle_mm[k] - self.at_mm[k]);
            s.opposed && s.least_mm < self.below_mm && dx * dx + dy * dy <= reach * reach
        })
    }
}

#[cfg(test)]
mod tests;
