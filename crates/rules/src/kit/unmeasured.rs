//! `kit.unmeasured`: the manifest declares what no stage measures yet.

use findings::{Level, Rule, Worse};

use crate::words::count;
use crate::{Case, Departure, Entry, Judge};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "kit.unmeasured",
        title: "declared, but not measured by this version",
        level: Level::Note,
        worse: Worse::Unmeasured,
        measures: "Which tables and keys of the manifest are known and kept, but have no stage that measures \
                   them in this version.",
        why: "READY says nothing about them: what is not measured is not proven.",
        fix: "Nothing to mend: keep them, and look at these matters by hand before a release.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

fn judge(case: &Case) -> Vec<Departure> {
    let names = &case.kit.declared_unmeasured;
    if names.is_empty() {
        return Vec::new();
    }
    let many = count(names.len() as u64, "declaration is", "declarations are");
    vec![Departure {
        reading: format!("not measured: {}", names.join(", ")),
        message: format!("{many} kept and not measured by this version"),
        fix: "keep them in the manifest, and look at them by hand before a release".into(),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use measure::Beside;

    use crate::sample::{facts, found, kit};

    #[test]
    fn all_that_is_declared_early_folds_into_one_note() {
        let fit = |id: &str| {
            format!("[[fit]]\nid = \"{id}\"\nparts = [\"left\", \"right\"]\nkind = \"snug\"\n")
        };
        let early = format!("[budget]\nmass-g = 20\n{}{}", fit("a"), fit("b"));
        let notes = found(
            "kit.unmeasured",
            &kit(&early),
            &facts(0.0),
            &Beside::default(),
        );
        assert_eq!(notes.len(), 1);
        assert_eq!(notes[0].reading, "not measured: [[fit]], [budget]");
        assert_eq!(
            notes[0].message,
            "2 declarations are kept and not measured by this version"
        );
        assert!(found("kit.unmeasured", &kit(""), &facts(0.0), &Beside::default()).is_empty());
    }
}
