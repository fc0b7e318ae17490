//! What a finding is known by from run to run: its rule, its part and, where rule and part leave it open, its worst
//! place in the part's own frame, rounded. So a re-export, another order of triangles or a new line in the manifest
//! does not make it another one.
//!
//! A rule folds its places on a part into one finding, so the place is seldom needed; and of many equally bad points
//! (a sheet of one thickness, the outline of a brim) chance names one, so it is left out where it is not needed.

use std::collections::BTreeMap;

use findings::{Finding, Place};

/// Places of a finding whose values differ by no more than this share of the worst take its place alike: which
/// of several equal ones stands first is chance.
const ALIKE: f64 = 0.01;

/// A fault that reaches this far around its place fills its cell, mm.
const REACH_MM: f64 = 0.5;

/// A coordinate's cell, one millimetre wide. Cells end at 0.37 of a millimetre: designs end at whole, half,
/// quarter or tenth ones, so the noise of an export seldom carries a place over the border.
fn cell(mm: f64) -> i64 {
    (mm + 0.63).floor() as i64
}

/// The cell of the worst place; of several equally bad ones the least. A fault that reaches further than a cell
/// has no place to know it by: which of its equally bad points is named is chance as well.
fn worst(f: &Finding) -> Option<[i64; 3]> {
    let first = f.places.first()?;
    if first.reach_mm > REACH_MM {
        return None;
    }
    let alike = |p: &&Place| match (p.measured, first.measured) {
        (Some(a), Some(b)) => (a - b).abs() <= ALIKE * b.abs(),
        (None, None) => true,
        _ => false,
    };
    f.places.iter().filter(alike).map(|p| p.at.map(cell)).min()
}

/// Rule and parts of a finding.
fn owned(f: &Finding) -> String {
    let parts: Vec<&str> = f.parts.iter().map(|p| p.id.as_str()).collect();
    let owner = if parts.is_empty() {
        "kit".to_string()
    } else {
        parts.join("+")
    };
    format!("{}/{owner}", f.rule)
}

/// A fingerprint for each finding, in their order; those that would share one are numbered.
pub fn all(findings: &[Finding]) -> Vec<String> {
    let mut alike: BTreeMap<String, usize> = BTreeMap::new();
    for f in findings {
        *alike.entry(owned(f)).or_default() += 1;
    }
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    findings
        .iter()
        .map(|f| {
            let mut print = owned(f);
            if alike[&print] > 1
                && let Some([x, y, z]) = worst(f)
            {
                print += &format!("/{x},{y},{z}");
            }
            let times = seen.entry(print.clone()).or_default();
            *times += 1;
            if *times > 1 {
                print += &format!("/{times}");
            }
            print
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ci::trial::finding;
    use findings::Level;

    /// The fingerprint of a finding beside another one of its rule and part.
    fn beside(f: &Finding) -> String {
        let mut other = f.clone();
        other.places = vec![Place::at([500.0; 3])];
        all(&[f.clone(), other]).remove(0)
    }

    #[test]
    fn a_place_that_moves_by_the_noise_of_an_export_is_the_same() {
        let mut f = finding("wall.lost", Level::Block, "left");
        for base in [0.0, 10.0, 10.5, -3.25, 7.1, 99.9] {
            f.places = vec![Place::at([base, base, base])];
            let before = beside(&f);
            // Spacing of f32 at 200 mm is 1.5e-5 mm; text formats keep at least 4 decimals.
            for noise in [1e-4, -1e-4, 1.5e-5] {
                f.places = vec![Place::at([base + noise, base - noise, base])];
                assert_eq!(beside(&f), before, "{base} {noise}");
            }
            f.places = vec![Place::at([base + 2.0, base, base])];
            assert_ne!(beside(&f), before);
        }
    }

    #[test]
    fn the_order_of_equally_bad_places_does_not_count() {
        let mut f = finding("wall.lost", Level::Block, "left");
        let a = Place::at([1.0, 2.0, 3.0]).measuring(0.301);
        let b = Place::at([9.0, 2.0, 3.0]).measuring(0.3);
        let far = Place::at([-5.0, 0.0, 0.0]).measuring(0.39);
        f.places = vec![a.clone(), b.clone(), far.clone()];
        let one = beside(&f);
        f.places = vec![b, far, a];
        assert_eq!(beside(&f), one);
        assert_eq!(one, "wall.lost/left/1,2,3");
    }

    #[test]
    fn the_only_one_of_a_rule_on_a_part_needs_no_place_and_two_alike_are_numbered() {
        let f = finding("wall.lost", Level::Block, "left");
        let mut other = finding("wall.lost", Level::Block, "right");
        assert_eq!(
            all(&[f.clone(), other.clone()]),
            ["wall.lost/left", "wall.lost/right"]
        );
        other = finding("kit.unmeasured", Level::Note, "");
        other.places.clear();
        let alike = [other.clone(), other];
        assert_eq!(all(&alike), ["kit.unmeasured/kit", "kit.unmeasured/kit/2"]);
    }
}
