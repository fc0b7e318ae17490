//! `mesh.unit-doubtful`: a size that betrays a wrong unit.

use findings::{Level, Rule, Worse};
use kit::Unit;
use limits::{loading_limits, units};
use measure::Loading;

use super::loaded::loading;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.unit-doubtful",
        title: "a size that betrays a wrong unit",
        level: Level::Block,
        worse: Worse::Unmeasured,
        measures: "The longest side of the box around the mesh in the declared unit, or in the unit a 3MF \
                   carries. Where it is too small or too large for any printed part, the commonest unit that \
                   makes it a usual size is named.",
        why: "A mesh carries no unit of its own unless it is a 3MF: a part drawn in metres and read in \
              millimetres prints as a crumb, if at all.",
        fix: "Set the part's units in kit.toml to the unit the mesh was drawn in, or export in millimetres.",
        source: "common practice, no source",
        limits: &["loading.toml least-side", "loading.toml greatest-side"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    loading(case).and_then(departure).into_iter().collect()
}

/// Units with their millimetres, the commonest in published meshes first (common practice, no source).
fn by_frequency() -> Vec<(Unit, f64)> {
    let u = units();
    vec![
        (Unit::Mm, u.mm.value),
        (Unit::M, u.m.value),
        (Unit::In, u.inch.value),
        (Unit::Cm, u.cm.value),
        (Unit::Ft, u.foot.value),
        (Unit::Um, u.um.value),
    ]
}

fn departure(loading: &Loading) -> Option<Departure> {
    let limits = loading_limits();
    let filed = loading.largest_side_filed;
    let side = filed * loading.unit_mm;
    let (small, large) = (
        side < limits.least_side.value,
        side > limits.greatest_side.value,
    );
    if !small && !large {
        return None;
    }
    let declared = by_frequency()
        .into_iter()
        .find(|(_, mm)| *mm == loading.unit_mm)
        .map_or("its unit", |(unit, _)| unit.word());
    let likely = by_frequency().into_iter().find(|(_, mm)| {
        *mm != loading.unit_mm
            && (limits.likely_least.value..=limits.likely_greatest.value).contains(&(filed * mm))
    });
    let limit = if small {
        &limits.least_side
    } else {
        &limits.greatest_side
    };
    let reading = format!(
        "longest side {} mm as read in {declared}, {} {} mm is no printed part",
        figure(side),
        if small { "under" } else { "over" },
        figure(limit.value)
    );
    let place = if loading.unit_in_file {
        "export the 3MF in its true unit"
    } else {
        "set units in kit.toml"
    };
    let (message, fix) = match likely {
        Some((unit, mm)) => (
            format!(
                "the mesh is likely in {}: its longest side would be {} mm",
                unit.word(),
                figure(filed * mm)
            ),
            format!("{place} (units = \"{}\"), or export in mm", unit.word()),
        ),
        None => (
            "no usual unit makes the mesh a usual size".to_string(),
            format!("{place}, or scale the model"),
        ),
    };
    Some(Departure {
        measured: Some(side),
        limit: Some(limit.value),
        unit: "mm",
        reading,
        message,
        fix,
        ..Departure::default()
    })
}

/// Three figures that count, however small or large.
fn figure(x: f64) -> String {
    let short = format!("{x:.2e}");
    short.parse::<f64>().map_or(short, |x| format!("{x}"))
}

#[cfg(test)]
mod tests {
    use super::super::loaded::tests::read_with;
    use super::*;

    fn with(side: f64, unit_mm: f64) -> Option<Departure> {
        departure(&Loading {
            unit_mm,
            largest_side_filed: side / unit_mm,
            ..read_with(Vec::new())
        })
    }

    #[test]
    fn usual_sizes_are_believed() {
        for side in [1.0, 4.0, 220.0, 2000.0] {
            assert!(with(side, 1.0).is_none(), "{side}");
        }
    }

    #[test]
    fn metres_read_as_millimetres_are_named() {
        let got = with(0.49, 1.0).expect("a departure");
        assert_eq!(
            got.message,
            "the mesh is likely in m: its longest side would be 490 mm"
        );
        assert!(got.fix.contains("units = \"m\""), "{}", got.fix);
        assert!(
            got.reading.contains("0.49 mm as read in mm"),
            "{}",
            got.reading
        );
    }

    #[test]
    fn millimetres_read_as_metres_or_inches_are_named() {
        let got = with(120_000.0, 1000.0).expect("a departure");
        assert!(
            got.message
                .contains("likely in mm: its longest side would be 120 mm")
        );
        let got = with(220.0 * 25.4, 25.4).expect("a departure");
        assert!(
            got.message
                .contains("likely in mm: its longest side would be 220 mm")
        );
    }

    #[test]
    fn micrometres_read_as_millimetres_are_named() {
        let got = with(50_000.0, 1.0).expect("a departure");
        assert!(
            got.message
                .contains("likely in um: its longest side would be 50 mm")
        );
    }

    #[test]
    fn a_size_of_no_unit_says_so() {
        let got = with(1e-9, 1.0).expect("a departure");
        assert!(got.message.contains("no usual unit"));
    }
}
