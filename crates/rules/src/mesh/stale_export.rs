//! `mesh.stale-export`: the CAD file changed since the sign-off, the mesh did not.

use findings::{Level, Rule, Worse};

use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.stale-export",
        title: "a mesh older than its CAD file",
        level: Level::Warn,
        worse: Worse::Unmeasured,
        measures: "Whether the content of the part's `source` is another than at sign-off while its mesh is the same. \
                   Times of files say nothing in a checkout, so the hashes that signoff.toml recorded are compared; \
                   without a sign-off, or without the CAD file, nothing is.",
        why: "What was designed is not what is printed: the change was not exported.",
        fix: "Export the mesh anew; where the change does not touch this part, run `kitproof accept`.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let signed = case.case.signed;
    let Some((then, now)) = signed.and_then(|s| s.part(&case.part.id)) else {
        return Vec::new();
    };
    let (Some(before), Some(after)) = (&then.source, &now.source) else {
        return Vec::new();
    };
    if before == after || now.mesh.as_ref() != Some(&then.mesh) {
        return Vec::new();
    }
    let source = case.part.source.as_deref().unwrap_or("its CAD file");
    vec![Departure {
        reading: format!("{source} differs from the one at sign-off, the mesh does not"),
        message: "the CAD file changed since the sign-off and the mesh was not exported anew"
            .into(),
        fix: format!(
            "export the mesh from {source}; where the change does not touch it, run `kitproof accept --part {}`",
            case.part.id
        ),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::{Trial, found};

    #[test]
    fn only_a_changed_source_of_an_unchanged_mesh_is_stale() {
        let stale = |source_changed, mesh_changed| {
            let trial = Trial {
                source_changed,
                mesh_changed,
                ..Trial::default()
            };
            found(ENTRY.rule.id, &trial).len()
        };
        assert_eq!(stale(Some(true), false), 1);
        assert_eq!(stale(Some(true), true), 0, "it was exported anew");
        assert_eq!(stale(Some(false), false), 0);
        assert_eq!(stale(None, false), 0, "no CAD file in this checkout");
    }
}
