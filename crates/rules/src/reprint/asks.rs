//! What the comparison is asked for, from the tables.

use kit::Hole;

/// What two surfaces are asked.
pub fn surface_asks() -> revisions::Asks {
    let limits = limits::revisions();
    revisions::Asks {
        same_mm: limits.same.value,
        sample_mm: limits.sample.value,
        region_gap_mm: limits.region_gap.value,
        regions_at_most: limits.regions.value as usize,
        caliper_least_mm: limits.caliper_least.value,
    }
}

/// By what share the volumes, areas and radii of two shapes may differ for a closer look.
pub fn rename_asks() -> f64 {
    limits::revisions().alike_share.value
}

/// How near a face must be to a neighbour to meet it, mm.
pub fn within_reach_mm() -> f64 {
    limits::revisions().fit_reach.value
}

/// How far from its axis a hole's faces may lie, mm: half of what goes in, and the reach.
pub fn hole_reach_mm(hole: &Hole) -> f64 {
    let limits = limits::revisions();
    let nominal = hole
        .takes
        .as_deref()
        .and_then(|takes| {
            let digits = takes
                .strip_prefix('M')
                .or_else(|| takes.strip_prefix('m'))?;
            let end = digits
                .find(|c: char| !c.is_ascii_digit() && c != '.')
                .unwrap_or(digits.len());
            digits[..end].parse::<f64>().ok()
        })
        .unwrap_or(limits.hole.value);
    f64::midpoint(0.0, nominal) + limits.fit_reach.value
}
