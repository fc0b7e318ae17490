//! How firmly a part stands while it grows.

pub mod slender;
pub mod tips;

use kit::{Promise, Supports};
use measure::print::{PrintFacts, Unmeasured};
use measure::{PartFacts, resting::Resting};

use crate::PartCase;

/// A part's layers as a promise prints them.
pub(crate) struct Printed<'a> {
    /// The promise.
    pub promise: &'a Promise,
    /// The facts of one height.
    pub facts: &'a PrintFacts,
    /// Whether supports may hold it.
    pub supports: bool,
}

/// A part's layers on every promise that admits it, at every height of each.
pub(crate) fn printed<'a>(case: &PartCase<'a>) -> Vec<Printed<'a>> {
    let kit = case.case.kit;
    let settings = kit.settings_of(case.part);
    kit.promises_for(case.part)
        .into_iter()
        .flat_map(|promise| {
            let supports = kit.supports_for(case.part, promise) != Supports::None;
            crate::print::on(case.facts, settings, promise)
                .into_iter()
                .map(move |facts| Printed {
                    promise,
                    facts,
                    supports,
                })
        })
        .collect()
}

/// The promises hit, each once, in the manifest's order.
pub(crate) fn promises(hits: &[&Printed]) -> Vec<String> {
    let mut ids: Vec<String> = Vec::new();
    for hit in hits {
        if ids.last() != Some(&hit.promise.id) {
            ids.push(hit.promise.id.clone());
        }
    }
    ids
}

/// A way to lie, as a sentence's end: "lay it down, up = "+x": 8.0 mm tall on 640 mm2".
pub(crate) fn lying(lying: Option<&Resting>) -> Option<String> {
    let lying = lying?;
    let [x, y, z] = lying.up;
    let axes = ["+x", "+y", "+z", "-x", "-y", "-z"];
    let named = [x, y, z, -x, -y, -z].iter().position(|&c| c == 1.0);
    let up = named.map_or_else(
        || format!("[{x}, {y}, {z}]"),
        |k| format!("\"{}\"", axes[k]),
    );
    Some(format!(
        "lay it down with up = {up} ({:.0} mm tall on {:.0} mm2)",
        lying.height_mm, lying.contact_mm2
    ))
}

/// Why nothing is known of how a part stands; `None` where it is known, or where its layers were not measured at all.
pub(crate) fn unmeasured(facts: &PartFacts) -> Option<&'static str> {
    let print: &Result<Vec<PrintFacts>, Unmeasured> = facts.print.as_ref()?;
    let none = print
        .as_ref()
        .ok()?
        .iter()
        .any(|p| p.stability.tip.is_none());
    none.then_some("its first layer has no closed outline")
}
