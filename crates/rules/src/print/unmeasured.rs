//! `print.unmeasured`: layers that could not be measured, which is no pass.

use findings::{Level, Rule, Worse};
use measure::PartFacts;
use measure::print::Unmeasured;

use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "print.unmeasured",
        title: "layers that could not be measured",
        level: Level::Warn,
        worse: Worse::Unmeasured,
        measures: "Whether the part has a layer at every height that is promised, and not by far too many.",
        why: "What was not measured is not proven; it never reads as a pass.",
        fix: "Check the unit of the mesh and how the part lies on the plate.",
        source: "common practice, no source",
        limits: &["layers.toml measure.most-layers"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let Some((why, fix)) = reason(case.facts) else {
        return Vec::new();
    };
    vec![Departure {
        reading: format!("not measured: {why}"),
        message: format!("its layers were not measured: {why}"),
        fix: fix.into(),
        ..Departure::default()
    }]
}

/// Why nothing was measured, and what to do; `None` where it was, or where no mesh was there to be measured.
pub(crate) fn reason(facts: &PartFacts) -> Option<(String, &'static str)> {
    let Some(Err(why)) = facts.print.as_ref() else {
        return None;
    };
    Some(match why {
        Unmeasured::NoLayer(layer_mm) => (
            format!("at {layer_mm} mm a layer it has not one layer"),
            "check the unit of the mesh, or thicken the part to at least two layers",
        ),
        Unmeasured::TooManyLayers(layers, layer_mm) => (
            format!("at {layer_mm} mm a layer it has {layers} layers"),
            "check the unit of the mesh",
        ),
        Unmeasured::NoGrid => (
            "its outline on the plate is too large".into(),
            "check the unit of the mesh",
        ),
    })
}
