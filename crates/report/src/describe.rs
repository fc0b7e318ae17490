//! Parts and promises in a few words each: the rows of the report's tables.

use kit::{Kit, Machine, Part, Promise};
use measure::PartFacts;
use measure::orientation::Orientations;
use serde::Serialize;

use crate::input::Checked;

/// One row of a part's table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Row {
    /// What.
    pub name: &'static str,
    /// The value with its unit.
    pub value: String,
}

/// What a reader wants to know of a part at a glance.
pub fn part_rows(kit: &Kit, part: &Part, facts: &PartFacts) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut row = |name, value: Option<String>| {
        rows.push(Row {
            name,
            value: value.unwrap_or_else(|| "not measured".into()),
        });
    };
    let material = match &part.color {
        Some(color) => format!("{}, {color}", part.material),
        None => part.material.clone(),
    };
    row("material", Some(material));
    row("settings", Some(settings(kit, part)));
    row(
        "size, printed",
        facts.size.as_ref().map(|s| {
            format!(
                "{:.1} x {:.1} x {:.1} mm",
                s.pose_mm[0], s.pose_mm[1], s.pose_mm[2]
            )
        }),
    );
    row(
        "volume",
        facts.volume_mm3().map(|v| format!("{:.2} cm3", v / 1000.0)),
    );
    row(
        "least wall",
        facts.min_wall_mm().map(|w| format!("{w:.2} mm")),
    );
    row("mesh", mesh(facts));
    row("on the plate", Some(plates(kit, facts)));
    if let Some(found) = &facts.orientations {
        row("other ways to lay it", Some(other_ways(found)));
    }
    rows
}

/// The best of the other ways, in a sentence.
fn other_ways(found: &Orientations) -> String {
    let offered = rules::orientation::offered(found);
    let Some(best) = offered.first() else {
        return format!("none of {} tried gains anything", found.tried);
    };
    let better = if rules::orientation::dominates(best, &found.intended) {
        "better"
    } else {
        "none plainly better"
    };
    format!(
        "{better} of {} tried; {}: {}",
        found.tried,
        rules::orientation::up_line(best),
        rules::orientation::compared(best, &found.intended)
    )
}

/// How a part lies on the promises' plates; a sentence where it fits all as it stands.
fn plates(kit: &Kit, facts: &PartFacts) -> String {
    let on: Vec<(&str, Option<f64>)> = facts
        .on_plates
        .iter()
        .map(|p| (p.promise.as_str(), rules::size::turn_deg(&p.plate)))
        .collect();
    if on.is_empty() {
        return "not measured".into();
    }
    if on.len() == kit.promises.len() && on.iter().all(|(_, turn)| *turn == Some(0.0)) {
        return "fits on every promise".into();
    }
    let words: Vec<String> = on
        .iter()
        .map(|(promise, turn)| match turn {
            Some(0.0) => format!("{promise}: fits"),
            Some(turn) => format!("{promise}: fits turned by {turn:.1} degrees"),
            None => format!("{promise}: does not fit"),
        })
        .collect();
    words.join("; ")
}

fn settings(kit: &Kit, part: &Part) -> String {
    let s = kit.settings_of(part);
    format!("{}: layer {} mm, bead {} mm", s.id, s.layer_mm, s.bead_mm)
}

fn mesh(facts: &PartFacts) -> Option<String> {
    let triangles = facts.triangles()?;
    let mut words = vec![format!("{} triangles", rules::words::thousands(triangles))];
    if let Some(shells) = facts.shells()
        && shells != 1
    {
        words.push(format!("{shells} shells"));
    }
    match (facts.watertight(), facts.closes_on_merge()) {
        (Some(true), _) => words.push("closed".into()),
        (Some(false), Some(true)) => words.push("closes on merging".into()),
        (Some(false), _) => words.push("open".into()),
        _ => {}
    }
    Some(words.join(", "))
}

/// One row of the promises' table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PromiseRow {
    /// The promise's id.
    pub id: String,
    /// READY or BLOCKED.
    pub verdict: &'static str,
    /// Plate and height.
    pub plate: String,
    /// Nozzle or pixel.
    pub nozzle: String,
    /// Layer heights.
    pub layers: String,
    /// Admitted materials.
    pub materials: String,
    /// Supports.
    pub supports: &'static str,
}

/// A promise in words.
pub fn promise_row(checked: &Checked, promise: &Promise) -> PromiseRow {
    let ready = checked
        .verdict
        .promises
        .iter()
        .any(|p| p.id == promise.id && p.ready);
    let [x, y, z] = promise.plate_mm;
    let (nozzle, layers) = match promise.machine {
        Machine::Filament {
            nozzle_mm,
            layers_mm,
        } => (
            format!("{nozzle_mm} mm"),
            format!("{} to {}", layers_mm[0], layers_mm[1]),
        ),
        Machine::Vat {
            pixel_mm,
            least_wall_mm,
        } => (
            format!("vat, pixel {pixel_mm} mm"),
            format!("least wall {least_wall_mm}"),
        ),
    };
    PromiseRow {
        id: promise.id.clone(),
        verdict: if ready { "READY" } else { "BLOCKED" },
        plate: format!("{x} x {y} x {z}"),
        nozzle,
        layers,
        materials: if promise.materials.is_empty() {
            "all".into()
        } else {
            promise.materials.join(", ")
        },
        supports: promise.supports.word(),
    }
}
