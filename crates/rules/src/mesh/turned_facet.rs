//! `mesh.turned-facet`: facets wound against the rest of their shell.

use findings::{Level, Rule, Worse};
use measure::soundness::Soundness;

use super::sound;
use crate::words::{count, mm};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.turned-facet",
        title: "facets wound against their neighbours",
        level: Level::Block,
        worse: Worse::Higher,
        measures: "From facet to facet over shared edges every facet gets a side; those on the side with less area \
                   are turned. A shell that meets itself turned over has one side only. The value is the number of \
                   turned facets.",
        why: "A turned facet swaps inside and outside where it lies: readers that trust the winding lose or \
                   fill area in every layer it spans, and no count of open edges shows it. Harmless are turned \
                   patches smaller than a slit, facets without area, and facets stored twice: the first is a note, \
                   the others have notes of their own.",
        fix: "Unify the normals in the modeller (make facets consistent, outward) and export again.",
        source: "3MF core specification 1.4, 4.1: a shared edge is listed in opposite order in its two triangles",
        limits: &["soundness.toml turned-extent"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let turned = &facts.turned;
    if turned.facets == 0 && turned.one_sided == 0 {
        return None;
    }
    let harmless =
        turned.one_sided == 0 && turned.extent_mm <= limits::soundness_limits().turned_extent.value;
    let n = count(turned.facets as u64, "facet", "facets");
    let message = match (turned.one_sided, harmless) {
        (0, true) => format!("has {n} turned, too small to matter"),
        (0, false) => format!("has {n} wound against the rest"),
        _ => "has a surface with one side only, so that nothing is inside".into(),
    };
    Some(Departure {
        level: harmless.then_some(Level::Note),
        measured: Some(turned.facets as f64),
        limit: Some(0.0),
        unit: "facets",
        reading: format!(
            "{n} of {:.2} mm2 turned, the largest patch {} across",
            turned.area_mm2,
            mm(turned.extent_mm)
        ),
        places: sound::spots(&turned.patches),
        places_total: turned.patches.count,
        message,
        fix: format!(
            "turn {} over (unify normals) and export again",
            if turned.facets == 1 { "it" } else { "them" }
        ),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;

    #[test]
    fn one_flipped_facet_blocks() {
        let mut b = block();
        b[3].reverse();
        let got = departures(&facts(&b, &[])).expect("a flipped facet");
        assert_eq!((got.measured, got.level), (Some(1.0), None));
        assert!(departures(&facts(&block(), &[])).is_none());
    }

    #[test]
    fn a_flipped_speck_is_a_note() {
        // A corner cut into four: the facet nearest the corner, 0.02 mm across, is turned.
        let mut b = block();
        let [p, q, r] = b.remove(0);
        let toward =
            |a: [f32; 3], c: [f32; 3]| [0, 1, 2].map(|k| a[k] + 0.01 * (c[k] - a[k]) / 20.0);
        let (m, n) = (toward(p, q), toward(p, r));
        b.extend([[n, m, p], [m, q, r], [m, r, n]]);
        // The two neighbours over the cut edges get the same points, so that the box stays closed.
        let split = |list: &mut Vec<[[f32; 3]; 3]>, from, to, at| {
            let i = list
                .iter()
                .position(|t| (0..3).any(|k| t[k] == to && t[(k + 1) % 3] == from))
                .expect("the neighbour");
            let t = list.swap_remove(i);
            let k = (0..3)
                .find(|&k| t[k] == to && t[(k + 1) % 3] == from)
                .expect("its side");
            list.extend([
                [t[k], at, t[(k + 2) % 3]],
                [at, t[(k + 1) % 3], t[(k + 2) % 3]],
            ]);
        };
        split(&mut b, p, q, m);
        split(&mut b, r, p, n);
        let got = departures(&facts(&b, &[])).expect("a turned speck");
        assert_eq!((got.measured, got.level), (Some(1.0), Some(Level::Note)));
    }
}
