//! `mirror.differs`: a mirrored part whose own mesh is not the mirror image it is said to be.

use findings::{Level, Place, Rule, Worse};
use measure::mirror::Likeness;

use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mirror.differs",
        title: "a part's own mesh is not the mirror image it is said to be",
        level: Level::Block,
        worse: Worse::Higher,
        measures: "The greatest distance between the part's own mesh and the mirror image of the part named \
                   under mirror-of, both ways, from every vertex and from points spread over the area. The \
                   image may be moved, not turned.",
        why: "One of the two files is older than the other, or wrong: builders print a left and a right that \
              do not match.",
        fix: "Export both from the same state of the model, or leave the mesh out and let it be made from the \
              other part.",
        source: "Aspert, Santa-Cruz, Ebrahimi, ICME 2002 (two-sided surface distance); limit: common \
                 practice, no source",
        limits: &["kit.toml same-surface"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    match (&case.facts.mirror, &case.part.mirror) {
        (Some(likeness), Some(mirror)) => differs(likeness, &mirror.of).into_iter().collect(),
        _ => Vec::new(),
    }
}

fn differs(likeness: &Likeness, of: &str) -> Option<Departure> {
    let limit = limits::kit().same_surface.value;
    // What is not a number is no likeness either.
    if likeness.greatest_mm <= limit {
        return None;
    }
    let [own, image] = likeness.volume_mm3;
    Some(Departure {
        measured: Some(likeness.greatest_mm),
        limit: Some(limit),
        unit: "mm",
        reading: format!(
            "{} apart, at most {}; volume {own:.1} mm3 against {image:.1} mm3",
            mm(likeness.greatest_mm),
            mm(limit)
        ),
        places: vec![Place::at(likeness.at).measuring(likeness.greatest_mm)],
        message: format!("this mesh is not the mirror image of {of}"),
        fix: format!(
            "export this part and {of} from the same state of the model, check the mirror axis, or leave out \
             this part's mesh"
        ),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn likeness(greatest_mm: f64) -> Likeness {
        Likeness {
            shift_mm: [0.0; 3],
            volume_mm3: [100.0, 101.5],
            size_mm: [[1.0; 3]; 2],
            greatest_mm,
            at: [1.0, 2.0, 3.0],
        }
    }

    #[test]
    fn the_limit_itself_is_alike() {
        let limit = limits::kit().same_surface.value;
        assert!(differs(&likeness(0.0), "left").is_none());
        assert!(differs(&likeness(limit), "left").is_none());
        let found = differs(&likeness(limit + limit), "left").expect("apart");
        assert_eq!(
            found.reading,
            "0.04 mm apart, at most 0.02 mm; volume 100.0 mm3 against 101.5 mm3"
        );
        assert!(differs(&likeness(f64::NAN), "left").is_some());
    }
}
