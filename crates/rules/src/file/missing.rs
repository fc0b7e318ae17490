//! `file.missing`: a file of the release that cannot be had.

use findings::{Level, Rule, Worse};

use crate::{Case, Departure, Entry, Judge};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "file.missing",
        title: "a file of the release that is not there",
        level: Level::Block,
        worse: Worse::Unmeasured,
        measures: "Whether every [[file]] of the manifest is a file in the kit's folder that can be read.",
        why: "The release would go out without what its manifest promises: a licence, a decal sheet, a mask.",
        fix: "Put the file where the manifest says it is, or take its entry out.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

fn judge(case: &Case) -> Vec<Departure> {
    let line = |path: &str| {
        let of = case.kit.files.iter().find(|f| f.path == path);
        of.map_or_else(String::new, |f| {
            format!(" ({} line {})", case.kit.file, f.line)
        })
    };
    case.beside
        .bad_files
        .iter()
        .map(|bad| Departure {
            reading: format!("{}: {}{}", bad.path, bad.why, line(&bad.path)),
            message: format!("the release lists {}, which cannot be had", bad.path),
            fix: format!(
                "put {} into the kit's folder, or take its [[file]] entry out",
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
    fn each_file_that_cannot_be_had_is_named_with_its_line() {
        let kit = kit("[[file]]\npath = \"guide.md\"\n[[file]]\npath = \"LICENSE\"\n");
        let beside = Beside {
            bad_files: vec![Unavailable {
                id: "LICENSE".into(),
                path: "LICENSE".into(),
                why: "there is no such file".into(),
            }],
            ..Beside::default()
        };
        let missing = found("file.missing", &kit, &facts(0.0), &beside);
        assert_eq!(missing.len(), 1);
        assert_eq!(
            missing[0].reading,
            "LICENSE: there is no such file (kit.toml line 25)"
        );
        assert!(found("file.missing", &kit, &facts(0.0), &Beside::default()).is_empty());
    }
}
