//! One part at two revisions, compared.

use mesh::Mesh;
use mesh::tree::Tree;
use serde::{Deserialize, Serialize};

use crate::align;
use crate::caliper::{self, Caliper, RoundChange};
use crate::deviation::{Way, one_way};
use crate::identity::Fingerprint;
use crate::regions::{MovedAt, Region, regions};
use crate::rigid::Rigid;

/// A part: its mesh, renumbered by [`Tree::build`], and its tree.
#[derive(Debug, Clone, Copy)]
pub struct Body<'a> {
    /// Triangles in the order of the tree.
    pub mesh: &'a Mesh,
    /// The tree over them.
    pub tree: &'a Tree,
}

/// What is asked of a comparison.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asks {
    /// Surfaces no farther apart than this are the same, mm; above nought.
    pub same_mm: f64,
    /// Facets larger than this are sampled between their corners, mm; above nought.
    pub sample_mm: f64,
    /// Moved places closer than about this belong to one region, mm; at least `sample_mm`.
    pub region_gap_mm: f64,
    /// Regions listed, at most.
    pub regions_at_most: usize,
    /// A difference that a caliper shows, mm.
    pub caliper_least_mm: f64,
}

/// What changed between two revisions of a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PartChange {
    /// The same triangles to the bit, in any order.
    pub identical: bool,
    /// Lays the base onto the present.
    pub onto: Rigid,
    /// `onto` is more than nothing: the part lies elsewhere in its file.
    pub moved: bool,
    /// It lies elsewhere in its file and is else the same.
    pub moved_only: bool,
    /// Greatest distance of the surfaces, both ways, mm, after it was laid on.
    pub max_mm: f64,
    /// Root of the mean squared distance over both surfaces, mm.
    pub rms_mm: f64,
    /// Greatest distance of the base from the present, mm.
    pub base_to_present_mm: f64,
    /// Greatest distance of the present from the base, mm.
    pub present_to_base_mm: f64,
    /// Regions of change, deepest first; at most as many as asked for.
    pub regions: Vec<Region>,
    /// All of them.
    pub regions_total: usize,
    /// Where either surface moved, all over the part, the deepest first; one place a cell of the regions' gap.
    pub moved_at: Vec<MovedAt>,
    /// Volume of the present less that of the base, mm3.
    pub volume_delta_mm3: f64,
    /// How to tell old from new on the bench.
    pub bench: Option<Caliper>,
    /// The round faces that have another diameter, where nothing else changed.
    pub only_rounds: Option<Vec<RoundChange>>,
}

impl PartChange {
    /// Nothing changed and nothing moved.
    pub fn none() -> PartChange {
        PartChange {
            identical: true,
            onto: Rigid::IDENTITY,
            moved: false,
            moved_only: false,
            max_mm: 0.0,
            rms_mm: 0.0,
            base_to_present_mm: 0.0,
            present_to_base_mm: 0.0,
            regions: Vec::new(),
            regions_total: 0,
            moved_at: Vec::new(),
            volume_delta_mm3: 0.0,
            bench: None,
            only_rounds: None,
        }
    }
}

/// Compares a part with its base. Where one of them has no surface, every distance is the other's diagonal and no
/// region is listed.
pub fn compare(base: Body<'_>, present: Body<'_>, asks: &Asks) -> PartChange {
    if Fingerprint::of(base.mesh) == Fingerprint::of(present.mesh) {
        return PartChange::none();
    }
    let mut change = PartChange {
        identical: false,
        ..PartChange::none()
    };
    if base.mesh.triangles.is_empty() || present.mesh.triangles.is_empty() {
        let diagonal = |body: Body<'_>| body.mesh.bounds().map_or(0.0, |b| b.diagonal());
        let far = diagonal(base).max(diagonal(present));
        (change.max_mm, change.rms_mm) = (far, far);
        (change.base_to_present_mm, change.present_to_base_mm) = (far, far);
        return change;
    }
    let ends = align::Ends::new(base, present, asks.same_mm);
    let volumes = ends.volumes();
    change.volume_delta_mm3 = volumes[1] - volumes[0];
    let (onto, ways) = laid(base, present, &ends, asks);
    change.onto = onto;
    change.moved = !onto.is_identity();
    let [there, back] = ways;
    change.base_to_present_mm = there.max;
    change.present_to_base_mm = back.max;
    change.max_mm = there.max.max(back.max);
    let area = there.area + back.area;
    if area > 0.0 {
        change.rms_mm = ((there.squared + back.squared) / area).sqrt();
    }
    let same = change.max_mm <= asks.same_mm;
    change.moved_only = change.moved && same;
    if same {
        return change;
    }
    let gap = asks.region_gap_mm.max(there.step).max(back.step);
    let mut moved = there.moved;
    moved.extend(back.moved);
    let all = regions(moved, base, present, &onto, gap, asks);
    let whole = all.found.len() == all.total;
    let bench = caliper::bench(base, present, &onto, &all.found, whole, asks);
    (change.bench, change.only_rounds) = (bench.most, bench.only_rounds);
    change.regions = all.found.into_iter().map(|f| f.region).collect();
    change.regions_total = all.total;
    change.moved_at = all.places;
    change
}

/// The base laid onto the present, and the distances that are left.
fn laid(
    base: Body<'_>,
    present: Body<'_>,
    ends: &align::Ends<'_>,
    asks: &Asks,
) -> (Rigid, [Way; 2]) {
    let both = |onto: &Rigid| deviation(base, present, onto, asks);
    let mut still = None;
    // Looked at in full only where the samples do not tell already that something moved.
    if ends.near_all_over(&Rigid::IDENTITY) {
        let ways = both(&Rigid::IDENTITY);
        if ways.iter().all(|w| w.max <= asks.same_mm) {
            return (Rigid::IDENTITY, ways);
        }
        still = Some(ways);
    }
    let onto = ends.lay();
    match still {
        Some(ways) if onto.is_identity() => (onto, ways),
        _ => (onto, both(&onto)),
    }
}

/// Base to present, and present to base.
fn deviation(base: Body<'_>, present: Body<'_>, onto: &Rigid, asks: &Asks) -> [Way; 2] {
    let (same, sample) = (asks.same_mm, asks.sample_mm);
    let stay = Rigid::IDENTITY;
    [
        one_way(base, present, onto, onto, true, same, sample),
        one_way(present, base, &onto.inverse(), &stay, false, same, sample),
    ]
}
