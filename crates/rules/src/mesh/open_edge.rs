//! `mesh.open-edge`: a hole in the surface.

use findings::{Level, Rule, Worse};
use measure::soundness::{Rim, Soundness};

use super::sound;
use crate::words::{count, mm};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.open-edge",
        title: "a hole in the surface",
        level: Level::Block,
        worse: Worse::Higher,
        measures: "Edges with one facet only, after the exact weld, joined to rims. A rim is a hole where merging \
                   near vertices does not close it and the opening is wider than a slit: from points on the rim to \
                   the nearest rim edge that runs the other way. The value is the edges of all holes.",
        why: "Where the surface has a hole, inside and outside are not told apart: layers come out with lost or \
              filled areas, each program in its own way. Cracks that merging closes and slits (T-junctions) print \
              as drawn and are not counted here. A flat sheet beside closed bodies is simply lost, so it warns only.",
        fix: "Close the hole in the modeller (cap it, or stitch the faces beside it) and export again.",
        source: "3MF core specification 1.4, 4.1: every edge is shared by exactly two triangles",
        limits: &["soundness.toml slit", "soundness.toml merge-share"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

/// Whether a rim is a hole: not closed by merging, and wider than a slit.
pub(super) fn is_hole(rim: &Rim) -> bool {
    let slit = limits::soundness_limits().slit.value;
    !rim.closes_on_merge && rim.gap_mm.is_none_or(|gap| gap > slit)
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let flat = limits::soundness_limits().sheet_flatness.value;
    let holes: Vec<&Rim> = facts.openings.rims.iter().filter(|r| is_hole(r)).collect();
    let edges: usize = holes.iter().map(|r| r.edges).sum();
    let widest = holes.first()?;
    let length: f64 = holes.iter().map(|r| r.length_mm).sum();
    // Beside closed bodies, sheets are lost and nothing else; a mesh of sheets alone prints nothing.
    let sheets_only = facts.solids > 0 && holes.iter().all(|r| r.sheet >= flat);
    let n = count(holes.len() as u64, "hole", "holes");
    let what = if sheets_only {
        format!(
            "has {} without thickness",
            count(holes.len() as u64, "loose sheet", "loose sheets")
        )
    } else {
        format!("has {n} in its surface")
    };
    Some(Departure {
        level: sheets_only.then_some(Level::Warn),
        measured: Some(edges as f64),
        limit: Some(0.0),
        unit: "edges",
        reading: format!(
            "{} in {n}, {} of rim; a solid has none",
            count(edges as u64, "open edge", "open edges"),
            mm(length)
        ),
        places: holes
            .iter()
            .take(limits::soundness_limits().most_places.value as usize)
            .map(|r| sound::rim(r))
            .collect(),
        places_total: holes.len(),
        message: what,
        fix: if sheets_only {
            "delete the sheets, or give them a thickness, and export again".into()
        } else {
            format!(
                "cap or stitch the {} and export again; the first spans {}",
                if holes.len() == 1 { "hole" } else { "holes" },
                mm(widest.extent_mm)
            )
        },
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;

    #[test]
    fn a_missing_facet_blocks_and_a_crack_or_a_t_junction_does_not() {
        let hole = departures(&facts(&block()[1..], &[])).expect("a hole");
        assert_eq!((hole.measured, hole.level), (Some(3.0), None));
        let mut crack = block();
        crack[0][0][0] += 2e-5;
        assert!(departures(&facts(&crack, &[])).is_none());
        let mut junction = block();
        let [p, q, r] = junction.remove(0);
        let m = [0, 1, 2].map(|k| 0.5 * (p[k] + q[k]));
        junction.extend([[p, m, r], [m, q, r]]);
        assert!(departures(&facts(&junction, &[])).is_none());
    }

    #[test]
    fn an_opening_of_a_tenth_of_a_millimetre_is_a_hole() {
        let mut b = block();
        b[0][0][0] += 0.1;
        assert!(departures(&facts(&b, &[])).is_some());
    }

    #[test]
    fn a_lone_sheet_beside_a_block_warns_and_a_sheet_alone_blocks() {
        let sheet = [[30.0, 0.0, 0.0], [35.0, 0.0, 0.0], [30.0, 5.0, 0.0]];
        let mut b = block();
        b.push(sheet);
        let beside = departures(&facts(&b, &[])).expect("a sheet");
        assert_eq!(beside.level, Some(Level::Warn));
        let alone = departures(&facts(&[sheet], &[])).expect("nothing solid");
        assert_eq!(alone.level, None);
    }
}
