//! Measures of the solid and of what is seen of it.

use findings::Worse;
use measure::PartFacts;

use super::Measure;

/// Sorted by name.
pub(super) const MEASURES: &[Measure] = &[
    Measure {
        key: "crossings",
        title: "pairs of facets that cross",
        unit: "",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().count.value,
        take: |facts| facts.self_intersections().map(|n| n as f64),
        at: |facts| {
            let crossings = facts.crossings.as_ref()?;
            let all = crossings.inside_out.iter().chain(&crossings.overlaps);
            all.chain(&crossings.between).next().map(|p| p.at_mm)
        },
    },
    Measure {
        key: "crowded-edges",
        title: "edges with more than two facets",
        unit: "",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().count.value,
        take: |facts| facts.crowded_edges().map(|n| n as f64),
        at: nowhere,
    },
    Measure {
        key: "min-wall",
        title: "least wall",
        unit: "mm",
        worse: Worse::Lower,
        alone: true,
        resolution: || limits::signoff().wall.value,
        take: PartFacts::min_wall_mm,
        at: |facts| facts.walls.as_ref()?.least.as_ref().map(|r| r.at),
    },
    Measure {
        key: "open-edges",
        title: "edges with one facet",
        unit: "",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().count.value,
        take: |facts| facts.open_edges().map(|n| n as f64),
        at: nowhere,
    },
    Measure {
        key: "shells",
        title: "shells",
        unit: "",
        worse: Worse::Unmeasured,
        alone: true,
        resolution: || limits::signoff().count.value,
        take: |facts| facts.shells().map(|n| n as f64),
        at: nowhere,
    },
    Measure {
        key: "show-step",
        title: "step that 95 % of the show faces stay under",
        unit: "mm",
        worse: Worse::Higher,
        alone: false,
        resolution: || limits::signoff().step.value,
        take: |facts| facts.show.as_ref().map(|s| s.step_mm_p95),
        at: nowhere,
    },
    Measure {
        key: "size-x",
        title: "size along the mesh's x",
        unit: "mm",
        worse: Worse::Unmeasured,
        alone: true,
        resolution: || limits::signoff().size.value,
        take: |facts| size(facts, |[x, _, _]| x),
        at: nowhere,
    },
    Measure {
        key: "size-y",
        title: "size along the mesh's y",
        unit: "mm",
        worse: Worse::Unmeasured,
        alone: true,
        resolution: || limits::signoff().size.value,
        take: |facts| size(facts, |[_, y, _]| y),
        at: nowhere,
    },
    Measure {
        key: "size-z",
        title: "size along the mesh's z",
        unit: "mm",
        worse: Worse::Unmeasured,
        alone: true,
        resolution: || limits::signoff().size.value,
        take: |facts| size(facts, |[_, _, z]| z),
        at: nowhere,
    },
    Measure {
        key: "volume",
        title: "volume",
        unit: "mm3",
        worse: Worse::Unmeasured,
        alone: true,
        resolution: || limits::signoff().volume.value,
        take: PartFacts::volume_mm3,
        at: nowhere,
    },
];

fn size(facts: &PartFacts, pick: fn([f64; 3]) -> f64) -> Option<f64> {
    facts.size.as_ref().map(|s| pick(s.mesh_mm))
}

fn nowhere(_: &PartFacts) -> Option<[f64; 3]> {
    None
}
