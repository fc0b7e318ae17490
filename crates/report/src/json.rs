//! `report.json`, format 1: lengths mm, places in the mesh's own frame as exported. Every number leaves
//! rounded; what was not measured is `null` and stands in `not_measured`.

mod orientations;
mod print;
mod show;

use std::collections::BTreeMap;

use findings::{Finding, NotMeasured, PartRef, Since, Waived};
use kit::{Kit, Part};
use measure::PartFacts;
use measure::orientation::Orientations;
use serde::Serialize;
use thiserror::Error;

use crate::input::{Checked, Extent, VERSION};
use crate::number::{measure, point};

/// The format's number; it grows when a field changes its meaning or goes.
const FORMAT: u32 = 1;

/// The report could not be written as JSON: a fault of kitproof.
#[derive(Debug, Error)]
#[error("the report could not be written as JSON: {0}")]
pub struct JsonFault(#[from] serde_json::Error);

#[derive(Serialize)]
struct Report<'a> {
    format: u32,
    tool: Tool,
    kit: KitHead<'a>,
    rule_set: &'a str,
    as_of: &'a str,
    extent: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    extent_note: Option<&'a str>,
    verdict: &'static str,
    promises: Vec<PromiseOut<'a>>,
    parts: Vec<PartOut<'a>>,
    findings: Vec<FindingOut<'a>>,
    not_measured: &'a [NotMeasured],
}

#[derive(Serialize)]
struct Tool {
    name: &'static str,
    version: &'static str,
}

#[derive(Serialize)]
struct KitHead<'a> {
    id: &'a str,
    title: &'a str,
    revision: String,
    license: &'a str,
}

#[derive(Serialize)]
struct PromiseOut<'a> {
    id: &'a str,
    verdict: &'static str,
}

#[derive(Serialize)]
struct PartOut<'a> {
    id: &'a str,
    rev: u32,
    count: u32,
    spare: u32,
    mesh: Option<&'a str>,
    mirror_of: Option<&'a str>,
    units: Option<String>,
    material: &'a str,
    settings: &'a str,
    size_mm: Option<[f64; 3]>,
    print_size_mm: Option<[f64; 3]>,
    volume_mm3: Option<f64>,
    area_mm2: Option<f64>,
    centroid_mm: Option<[f64; 3]>,
    triangles: Option<u64>,
    shells: Option<u64>,
    watertight: Option<bool>,
    closes_on_merge: Option<bool>,
    min_wall_mm: Option<f64>,
    open_edges: Option<u64>,
    nonmanifold_edges: Option<u64>,
    self_intersections: Option<u64>,
    fits: BTreeMap<&'a str, Fit>,
    print: Option<Vec<print::PrintOut>>,
    show: Option<show::ShowOut>,
    orientations: Option<Vec<orientations::WayOut>>,
}

#[derive(Serialize)]
struct Fit {
    fits: bool,
    turn_deg: Option<f64>,
    slack_mm: [Option<f64>; 3],
}

#[derive(Serialize)]
struct FindingOut<'a> {
    id: &'a str,
    rule: &'a str,
    level: &'static str,
    parts: &'a [PartRef],
    promises: &'a [String],
    measured: Option<f64>,
    limit: Option<f64>,
    unit: &'a str,
    reading: &'a str,
    places: Vec<PlaceOut<'a>>,
    places_total: usize,
    since: Option<&'a Since>,
    message: &'a str,
    fix: &'a str,
    waived: Option<&'a Waived>,
}

#[derive(Serialize)]
struct PlaceOut<'a> {
    at: [f64; 3],
    measured: Option<f64>,
    #[serde(skip_serializing_if = "str::is_empty")]
    note: &'a str,
}

/// The report as JSON, ending with a line feed.
///
/// # Errors
/// [`JsonFault`]: a fault of kitproof.
pub fn json(checked: &Checked) -> Result<String, JsonFault> {
    let kit = checked.kit;
    let verdict = checked.verdict;
    let report = Report {
        format: FORMAT,
        tool: Tool {
            name: "kitproof",
            version: VERSION,
        },
        kit: KitHead {
            id: &kit.id,
            title: &kit.title,
            revision: kit.revision.to_string(),
            license: &kit.license,
        },
        rule_set: &kit.rule_set,
        as_of: checked.as_of,
        extent: match checked.extent {
            Extent::Whole => "whole",
            Extent::New(_) => "new",
            Extent::Partial(_) => "partial",
            Extent::Incomplete(_) => "incomplete",
        },
        extent_note: checked.extent.words(),
        verdict: verdict.word(),
        promises: verdict
            .promises
            .iter()
            .map(|p| PromiseOut {
                id: &p.id,
                verdict: if p.ready { "READY" } else { "BLOCKED" },
            })
            .collect(),
        parts: checked
            .facts
            .iter()
            .filter_map(|facts| kit.part(&facts.id).map(|part| part_out(kit, part, facts)))
            .collect(),
        findings: verdict.findings.iter().map(finding_out).collect(),
        not_measured: &verdict.not_measured,
    };
    Ok(serde_json::to_string_pretty(&report)? + "\n")
}

#[derive(Serialize)]
struct WaysOut<'a> {
    part: &'a str,
    tried: usize,
    orientations: Vec<orientations::WayOut>,
}

/// What `orient` says of a part, as JSON with the keys of `report.json`, ending with a line feed.
///
/// # Errors
/// [`JsonFault`]: a fault of kitproof.
pub fn orientations_json(part: &Part, found: &Orientations) -> Result<String, JsonFault> {
    let ways = WaysOut {
        part: &part.id,
        tried: found.tried,
        orientations: orientations::rows(found),
    };
    Ok(serde_json::to_string_pretty(&ways)? + "\n")
}

fn part_out<'a>(kit: &'a Kit, part: &'a Part, facts: &'a PartFacts) -> PartOut<'a> {
    let source = kit.source_of(part).0;
    let mesh = part.mesh.as_ref().or(source.mesh.as_ref());
    PartOut {
        id: &part.id,
        rev: part.rev,
        count: part.count,
        spare: part.spare,
        mesh: mesh.map(|m| m.path.as_str()),
        mirror_of: part.mirror.as_ref().map(|m| m.of.as_str()),
        units: units(facts),
        material: &part.material,
        settings: &part.settings,
        size_mm: facts.size.as_ref().map(|s| point(s.mesh_mm)),
        print_size_mm: facts.size.as_ref().map(|s| point(s.pose_mm)),
        volume_mm3: facts.volume_mm3().and_then(measure),
        area_mm2: facts
            .soundness
            .as_ref()
            .and_then(|s| measure(s.mass.area_mm2)),
        centroid_mm: facts.soundness.as_ref().map(|s| point(s.mass.centroid_mm)),
        triangles: facts.triangles(),
        shells: facts.shells(),
        watertight: facts.watertight(),
        closes_on_merge: facts.closes_on_merge(),
        min_wall_mm: facts.min_wall_mm().and_then(measure),
        open_edges: facts.open_edges(),
        nonmanifold_edges: facts.crowded_edges(),
        self_intersections: facts.self_intersections(),
        fits: facts
            .on_plates
            .iter()
            .map(|p| {
                let turn = rules::size::turn_deg(&p.plate);
                let slack = rules::size::placed(&p.plate).slack_mm;
                let fit = Fit {
                    fits: turn.is_some(),
                    turn_deg: turn.and_then(measure),
                    slack_mm: [slack[0], slack[1], p.plate.height_slack_mm].map(measure),
                };
                (p.promise.as_str(), fit)
            })
            .collect(),
        print: print::rows(facts),
        show: facts.show.as_ref().map(show::show),
        orientations: facts.orientations.as_ref().map(orientations::rows),
    }
}

/// The unit a mesh was read in.
fn units(facts: &PartFacts) -> Option<String> {
    let unit_mm = facts.loading.as_ref()?.as_ref().ok()?.unit_mm;
    let named = kit::Unit::ALL
        .into_iter()
        .find(|u| u.millimetres() == unit_mm)
        .map(|u| u.word().to_string());
    Some(named.unwrap_or_else(|| format!("{unit_mm} mm")))
}

fn finding_out(f: &Finding) -> FindingOut<'_> {
    FindingOut {
        id: &f.id,
        rule: &f.rule,
        level: f.level.word(),
        parts: &f.parts,
        promises: &f.promises,
        measured: f.measured.and_then(measure),
        limit: f.limit.and_then(measure),
        unit: &f.unit,
        reading: &f.reading,
        places: f
            .places
            .iter()
            .map(|p| PlaceOut {
                at: point(p.at),
                measured: p.measured.and_then(measure),
                note: &p.note,
            })
            .collect(),
        places_total: f.places_total,
        since: f.since.as_ref(),
        message: &f.message,
        fix: &f.fix,
        waived: f.waived.as_ref(),
    }
}
