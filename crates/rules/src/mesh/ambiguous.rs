//! `mesh.ambiguous`: a mesh that readers print differently.

use findings::{Level, Place, Rule, Worse};
use measure::ambiguity::{Ambiguity, Doubt, Unmeasured};
use measure::{PartFacts, Soundness};

use super::open_edge;
use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.ambiguous",
        title: "a mesh that readers print differently",
        level: Level::Block,
        worse: Worse::Higher,
        measures: "Every layer at the settings' own height, filled by winding number, by even and odd crossings, and \
                   after making near vertices one. The value is the area in which two readings of a layer differ: \
                   space that is inside out, or what merging changes. Shells that overlap are solid by the \
                   standard's fill rule and no doubt; `mesh.nested-shell` and the notes on overlaps say how much \
                   even and odd would leave empty.",
        why: "One program fills the place, another leaves it empty, and nobody sees it before it is printed.",
        fix: "Mend the place in the modeller: make the cut a proper subtraction, stitch the seam, export again.",
        source: "3MF core specification 1.4, 4.1.1, the positive fill rule; limit: common practice, no source",
        limits: &["ambiguity.toml doubt"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let limit = limits::ambiguity_limits().doubt.value;
    let doubts = [
        (
            inside_out(case.facts),
            "is inside out: one reader fills it, another leaves it empty",
            "make the cut there a proper subtraction, and export again",
        ),
        (
            merging(case.facts),
            "changes when near vertices are merged, as many readers do",
            "stitch the seam there in CAD, and export again",
        ),
    ];
    let worst = doubts
        .into_iter()
        .filter_map(|(doubt, what, fix)| Some((doubt?, what, fix)))
        .reduce(|a, b| if b.0.area_mm2 > a.0.area_mm2 { b } else { a });
    let Some((doubt, what, fix)) = worst else {
        return Vec::new();
    };
    vec![Departure {
        measured: Some(doubt.area_mm2),
        limit: Some(limit),
        unit: "mm2",
        reading: format!(
            "two readings of the layer at {} of height differ by {:.1} mm2, over {limit} mm2",
            mm(doubt.height_mm),
            doubt.area_mm2
        ),
        places: vec![Place::at(doubt.at).measuring(doubt.area_mm2)],
        message: format!("{:.1} mm2 of a layer {what}", doubt.area_mm2),
        fix: fix.into(),
        ..Departure::default()
    }]
}

/// What was measured, where it was.
fn measured(facts: &PartFacts) -> Option<&Ambiguity> {
    facts.ambiguity.as_ref()?.as_ref().ok()
}

/// The layer with more space inside out than readers may differ by. Shells that are turned as a whole, and surfaces
/// with one side only, have rules of their own.
pub(super) fn inside_out(facts: &PartFacts) -> Option<Doubt> {
    let elsewhere = |s: &Soundness| s.inside_out.count > 0 || s.turned.one_sided > 0;
    let doubt = measured(facts)?.inside_out?;
    let over = doubt.area_mm2 > limits::ambiguity_limits().doubt.value;
    (over && !facts.soundness.as_ref().is_some_and(elsewhere)).then_some(doubt)
}

/// The layer that merging changes by more. Holes have a rule of their own.
fn merging(facts: &PartFacts) -> Option<Doubt> {
    let holed = |s: &Soundness| s.openings.rims.iter().any(open_edge::is_hole);
    let doubt = measured(facts)?.merging?;
    let over = doubt.area_mm2 > limits::ambiguity_limits().doubt.value;
    (over && !facts.soundness.as_ref().is_some_and(holed)).then_some(doubt)
}

/// Whether the layers were looked at and all readings of them agree.
pub(super) fn as_drawn(facts: &PartFacts) -> bool {
    measured(facts).is_some() && inside_out(facts).is_none() && merging(facts).is_none()
}

/// What even and odd would leave empty, to be hung on a reading; nothing where that is little.
pub(super) fn left_empty(facts: &PartFacts) -> String {
    let overlap = measured(facts).and_then(|a| a.overlap);
    match overlap.filter(|o| o.area_mm2 > limits::ambiguity_limits().doubt.value) {
        Some(o) => format!(
            "; even and odd would leave {:.0} mm2 of a layer empty",
            o.area_mm2
        ),
        None => String::new(),
    }
}

/// Why the layers were not compared; `None` where they were, or where nothing was measured on the part at all.
pub(crate) fn unmeasured(facts: &PartFacts) -> Option<&'static str> {
    Some(match facts.ambiguity.as_ref()?.as_ref().err()? {
        Unmeasured::TooManyLayers => "the part has more layers than are looked at",
        Unmeasured::NoGrid => "no grid of pixels covers the part",
        Unmeasured::Crowded => "too many vertices lie too close together to be merged",
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;
    use measure::Beside;

    fn found(doubt: impl Fn(Doubt) -> Ambiguity, area_mm2: f64) -> Vec<Departure> {
        let mut facts = sample::facts(0.0);
        facts[0].ambiguity = Some(Ok(doubt(Doubt {
            area_mm2,
            layer: 7,
            height_mm: 1.5,
            at: [1.0, 2.0, 3.0],
        })));
        sample::found(
            "mesh.ambiguous",
            &sample::kit(""),
            &facts,
            &Beside::default(),
        )
    }

    #[test]
    fn more_than_a_dot_inside_out_blocks_and_an_overlap_does_not() {
        let inside_out = |d| Ambiguity {
            inside_out: Some(d),
            ..Ambiguity::default()
        };
        let got = found(inside_out, 12.0);
        assert_eq!(got.len(), 1);
        assert!(
            got[0]
                .message
                .starts_with("12.0 mm2 of a layer is inside out")
        );
        assert!(found(inside_out, 0.9).is_empty());
        let overlap = |d| Ambiguity {
            overlap: Some(d),
            ..Ambiguity::default()
        };
        assert!(found(overlap, 100.0).is_empty());
        let merging = |d| Ambiguity {
            merging: Some(d),
            ..Ambiguity::default()
        };
        assert_eq!(found(merging, 1.5).len(), 1);
    }
}
