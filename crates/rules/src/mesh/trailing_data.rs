//! `mesh.trailing-data`: content of a mesh file after the place where many readers stop.

use findings::{Level, Rule, Worse};
use measure::Loading;
use mesh::decode::Oddity;

use super::loaded::loading;
use crate::words::{count, thousands};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.trailing-data",
        title: "content after the place where many readers stop",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Bytes after the last triangle of the mesh file, words of a PLY beyond its header, and the solids \
                   of an ASCII STL after the first; the solids are read and joined here.",
        why: "Programs disagree on such a file: one prints all of it, another only its first body.",
        fix: "Export one body per file, or all bodies as one solid.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    loading(case).map(departures).unwrap_or_default()
}

fn departures(loading: &Loading) -> Vec<Departure> {
    let one = |measured: u64, unit, words: String, fix: &str| Departure {
        measured: Some(measured as f64),
        limit: Some(0.0),
        unit,
        reading: words.clone(),
        message: words,
        fix: fix.into(),
        ..Departure::default()
    };
    let of = |oddity: &Oddity| match oddity {
        Oddity::TrailingBytes { count } => Some(one(
            *count,
            "bytes",
            format!(
                "{} bytes after the last triangle, not read",
                thousands(*count)
            ),
            "export the mesh again, unless you know what they are",
        )),
        Oddity::FurtherSolids { count: solids } => Some(one(
            *solids as u64,
            "solids",
            format!(
                "{} after the first, which other programs may drop",
                count(*solids as u64, "solid", "solids")
            ),
            "export all bodies as one solid, or each as a part of its own",
        )),
        Oddity::SurplusWords { rows } => Some(one(
            *rows as u64,
            "lines",
            format!(
                "{} with more words than the header names, passed over",
                count(*rows as u64, "line", "lines")
            ),
            "export the mesh again: its header does not describe it",
        )),
        _ => None,
    };
    loading.oddities.iter().filter_map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::super::loaded::tests::read_with;
    use super::*;

    #[test]
    fn bytes_and_solids_are_told() {
        let got = departures(&read_with(vec![
            Oddity::TrailingBytes { count: 1234 },
            Oddity::FurtherSolids { count: 1 },
        ]));
        assert_eq!(got.len(), 2);
        assert!(got[0].message.starts_with("1,234 bytes"));
        assert!(got[1].message.starts_with("1 solid after"));
        assert!(departures(&read_with(Vec::new())).is_empty());
    }
}
