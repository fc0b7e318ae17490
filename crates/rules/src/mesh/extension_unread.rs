//! `mesh.extension-unread`: content of a mesh file that is not read here and leaves the shape complete.

use findings::{Level, Rule, Worse};
use measure::Loading;
use mesh::decode::Oddity;

use super::loaded::loading;
use crate::words::count as counted;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.extension-unread",
        title: "content of a mesh file that is not read",
        level: Level::Note,
        worse: Worse::Unmeasured,
        measures: "Extensions of a 3MF beyond the core standard, its objects that are no part of the model \
                   (supports, surfaces), metadata without a listed name, and points, lines or curves.",
        why: "What is not read is not checked: a builder's program may show or print it all the same.",
        fix: "Nothing, where the content is wanted; else export the part without it.",
        source: "3MF Core Specification 1.4.0, clauses 2.3 (extensions), 3.4.1 (metadata), 4 (types of objects)",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    loading(case).and_then(departure).into_iter().collect()
}

/// All of it in one departure: it is one cause, the file's own.
fn departure(loading: &Loading) -> Option<Departure> {
    let unread: Vec<String> = loading.oddities.iter().filter_map(words).collect();
    let (first, rest) = unread.split_first()?;
    let more = match rest.len() {
        0 => String::new(),
        n => format!(" and {}", counted(n as u64, "thing more", "things more")),
    };
    Some(Departure {
        reading: unread.join("; "),
        message: format!("not read: {first}{more}"),
        fix: "nothing, if it is wanted; the shape is complete without it".into(),
        ..Departure::default()
    })
}

fn words(oddity: &Oddity) -> Option<String> {
    Some(match oddity {
        Oddity::ExtensionUnread { namespace } => format!("extension {namespace}"),
        Oddity::NotPrinted { object, kind } => format!("object {object} of type {kind}"),
        Oddity::MetadataUnlisted { name } => format!(
            "metadata {name:?}, a name that the standard does not list (3MF Core 1.4, clause 3.4.1)"
        ),
        Oddity::LinesOrPoints { count } => format!(
            "{} without a surface",
            counted(
                *count as u64,
                "point, line or curve",
                "points, lines or curves"
            )
        ),
        Oddity::TrailingBytes { .. }
        | Oddity::SurplusWords { .. }
        | Oddity::FurtherSolids { .. }
        | Oddity::NotFinite { .. } => {
            return None;
        }
    })
}

#[cfg(test)]
mod tests {
    use super::super::loaded::tests::read_with;
    use super::*;

    #[test]
    fn everything_unread_is_one_note() {
        let got = departure(&read_with(vec![
            Oddity::ExtensionUnread {
                namespace: "urn:colours".into(),
            },
            Oddity::TrailingBytes { count: 1 },
            Oddity::LinesOrPoints { count: 3 },
        ]))
        .expect("a departure");
        assert_eq!(
            got.message,
            "not read: extension urn:colours and 1 thing more"
        );
        assert!(got.reading.contains("3 points, lines or curves"));
        assert!(departure(&read_with(vec![Oddity::TrailingBytes { count: 1 }])).is_none());
    }
}
