//! `reference.unreadable`: a reference whose mesh cannot be had.

use findings::{Level, Rule, Worse};

use crate::{Case, Departure, Entry, Judge};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "reference.unreadable",
        title: "a reference that cannot be read",
        level: Level::Warn,
        worse: Worse::Unmeasured,
        measures: "Whether the mesh of every [[reference]] can be read. It may be open: it is not printed.",
        why: "What is fitted to a bought piece cannot be measured against it; the printed parts themselves are \
              proven without it.",
        fix: "Put the file where the manifest says it is, or take the reference out of the manifest.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

fn judge(case: &Case) -> Vec<Departure> {
    let line = |id: &str| {
        let of = case.kit.references.iter().find(|r| r.id == id);
        of.map_or_else(String::new, |r| {
            format!(" ({} line {})", case.kit.file, r.line)
        })
    };
    case.beside
        .bad_references
        .iter()
        .map(|bad| Departure {
            reading: format!("{}: {}{}", bad.path, bad.why, line(&bad.id)),
            message: format!("the reference {} cannot be read", bad.id),
            fix: format!(
                "put {} there as a whole mesh, or take the reference out",
                bad.path
            ),
            ..Departure::default()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use measure::{Beside, Unavailable};

    use crate::sample::{facts, found, kit};

    #[test]
    fn a_reference_that_cannot_be_read_is_named_with_its_line() {
        let kit = kit("[[reference]]\nid = \"motor\"\nmesh = \"motor.stl\"\n");
        let beside = Beside {
            bad_references: vec![Unavailable {
                id: "motor".into(),
                path: "motor.stl".into(),
                why: "it is a folder".into(),
            }],
            ..Beside::default()
        };
        let bad = found("reference.unreadable", &kit, &facts(0.0), &beside);
        assert_eq!(bad.len(), 1);
        assert_eq!(
            bad[0].reading,
            "motor.stl: it is a folder (kit.toml line 23)"
        );
        assert!(
            found(
                "reference.unreadable",
                &kit,
                &facts(0.0),
                &Beside::default()
            )
            .is_empty()
        );
    }
}
