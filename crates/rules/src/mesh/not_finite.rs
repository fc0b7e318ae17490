//! `mesh.not-finite`: triangles with coordinates that are no finite numbers.

use findings::{Level, Rule, Worse};
use measure::Loading;
use mesh::decode::Oddity;

use super::loaded::loading;
use crate::words::count as counted;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.not-finite",
        title: "coordinates that are no finite numbers",
        level: Level::Block,
        worse: Worse::Higher,
        measures: "Triangles with a coordinate that is not a number, infinite, or beyond the range of 32-bit \
                   numbers. They are left out of every other measure.",
        why: "Every program guesses differently what such a triangle was: a hole, a spike, or no part at all.",
        fix: "Mend the model where the exporter failed, then export again.",
        source: "IEEE 754 (finite numbers)",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    loading(case).and_then(departure).into_iter().collect()
}

fn departure(loading: &Loading) -> Option<Departure> {
    let (first_triangle, count) = loading.oddities.iter().find_map(|o| match o {
        Oddity::NotFinite {
            first_triangle,
            count,
        } => Some((*first_triangle, *count)),
        _ => None,
    })?;
    let words = counted(count as u64, "triangle", "triangles");
    Some(Departure {
        measured: Some(count as f64),
        limit: Some(0.0),
        unit: "triangles",
        reading: format!(
            "{words}, the first is number {} of the file",
            first_triangle + 1
        ),
        message: format!("{words} with numbers that are not finite, left out"),
        fix: "rebuild the surface at that triangle in CAD and export again".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::loaded::tests::read_with;
    use super::*;

    #[test]
    fn it_counts_them_and_names_the_first() {
        let oddity = Oddity::NotFinite {
            first_triangle: 6,
            count: 2,
        };
        let got = departure(&read_with(vec![oddity])).expect("a departure");
        assert_eq!(got.measured, Some(2.0));
        assert!(got.reading.contains("number 7 of the file"));
        assert!(departure(&read_with(Vec::new())).is_none());
    }
}
