//! `promise.none`: a part that no promise admits.

use findings::{Level, Rule, Worse};
use kit::{Material, Promise};

use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "promise.none",
        title: "a part that no promise admits",
        level: Level::Block,
        worse: Worse::Unmeasured,
        measures: "Whether one promise at least prints as the part's material is printed (filament or vat) and \
                   admits that material.",
        why: "The part is proven on no machine, so nothing is promised to whoever has to print it.",
        fix: "Add the part's material to a promise, print the part in an admitted one, or promise a machine \
              for it.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let kit = case.case.kit;
    if !kit.promises_for(case.part).is_empty() {
        return Vec::new();
    }
    let material = kit.material_of(case.part);
    let admitted: Vec<String> = kit.promises.iter().map(|p| admits(p, material)).collect();
    vec![Departure {
        reading: format!("material {}; {}", material.id, admitted.join(", ")),
        message: format!(
            "no promise admits {}, which this part is printed in",
            material.id
        ),
        fix: format!(
            "add \"{}\" to a promise's materials, or give the part a material that one admits",
            material.id
        ),
        ..Departure::default()
    }]
}

/// Why a promise does not admit a material, in a few words.
fn admits(promise: &Promise, material: &Material) -> String {
    let process = promise.process();
    if process != material.process || promise.materials.is_empty() {
        format!("{} is {}", promise.id, process.word())
    } else {
        format!("{} admits {}", promise.id, promise.materials.join(" "))
    }
}

#[cfg(test)]
mod tests {
    use measure::Beside;

    use crate::sample::{facts, found, kit};

    #[test]
    fn a_material_that_no_promise_lists_or_prints_is_found() {
        let facts = facts(0.0);
        let none = |more: &str| found("promise.none", &kit(more), &facts, &Beside::default());
        assert!(none("").is_empty());
        let third = "[[part]]\nid = \"third\"\nmesh = \"third.stl\"\nmaterial = ";
        let mut three = crate::sample::facts(0.0);
        three.push(measure::PartFacts::of("third"));
        for (material, reading) in [
            ("abs", "material abs; common admits pla"),
            ("resin", "material resin; common is filament"),
        ] {
            let kit = kit(&format!("{third}\"{material}\"\n"));
            let found = found("promise.none", &kit, &three, &Beside::default());
            assert_eq!(found.len(), 1);
            assert_eq!(
                (found[0].parts.as_slice(), found[0].reading.as_str()),
                (&["third".to_string()][..], reading)
            );
        }
    }
}
