//! The difference as JSON, for programs.

use std::collections::BTreeMap;

use revisions::{Dimension, Found, Meets, PartChange, RoundChange};
use rules::Against;
use rules::reprint::smallest;
use serde::Serialize;

use super::facts;
use super::totals::{self, Totals, totals};
use crate::input::{Checked, VERSION};
use crate::json::JsonFault;
use crate::number::{measure, point};

/// The format's number; it grows when a field changes its meaning or goes.
const FORMAT: u32 = 1;

#[derive(Serialize)]
struct Diff<'a> {
    format: u32,
    tool: Tool,
    kit: Head<'a>,
    base: Base<'a>,
    as_of: &'a str,
    changes: Vec<Change<'a>>,
    mixed: Vec<MixedOut<'a>>,
    smallest_step: &'static str,
    smallest_revision: String,
    totals: Vec<Total>,
    not_compared: [&'static str; 1],
}

#[derive(Serialize)]
struct Tool {
    name: &'static str,
    version: &'static str,
}

#[derive(Serialize)]
struct Head<'a> {
    id: &'a str,
    title: &'a str,
    revision: String,
}

#[derive(Serialize)]
struct Base<'a> {
    from: &'a str,
    revision: String,
}

#[derive(Serialize)]
struct Change<'a> {
    part: &'a str,
    was: Option<&'a str>,
    found_by: Option<&'static str>,
    rev: [Option<u32>; 2],
    count: [Option<u32>; 2],
    class: &'static str,
    unbuilt: &'static str,
    reason: &'a str,
    text: Option<&'a str>,
    overrides: Option<Overrides<'a>>,
    bonded_to: Option<&'a str>,
    identical: Option<bool>,
    moved_only: Option<bool>,
    max_mm: Option<f64>,
    rms_mm: Option<f64>,
    base_to_present_mm: Option<f64>,
    present_to_base_mm: Option<f64>,
    regions: Vec<RegionOut>,
    regions_total: usize,
    volume_delta_mm3: Option<f64>,
    tell_apart: Option<TellApart>,
    only_rounds: Option<Vec<RoundOut>>,
    /// Values that can be told apart, base and present.
    measured: BTreeMap<&'static str, [Option<f64>; 2]>,
    /// Names of those that cannot.
    measured_alike: Vec<&'static str>,
    meets: Vec<Met<'a>>,
    unmeasured: Option<&'a str>,
}

#[derive(Serialize)]
struct Overrides<'a> {
    class: &'static str,
    reason: &'a str,
}

#[derive(Serialize)]
struct RegionOut {
    at: [f64; 3],
    size_mm: [f64; 3],
    depth_mm: Option<f64>,
    area_mm2: Option<f64>,
}

#[derive(Serialize)]
struct TellApart {
    dimension: &'static str,
    outside: bool,
    at: [f64; 3],
    along: [f64; 3],
    base_mm: Option<f64>,
    present_mm: Option<f64>,
}

#[derive(Serialize)]
struct RoundOut {
    hollow: bool,
    rim: bool,
    count: usize,
    base_mm: Option<f64>,
    present_mm: Option<f64>,
}

#[derive(Serialize)]
struct Met<'a> {
    neighbour: &'a str,
    fit: Option<&'a str>,
    hole: Option<&'a str>,
    moved_mm: Option<f64>,
    at: [f64; 3],
}

#[derive(Serialize)]
struct MixedOut<'a> {
    part: &'a str,
    neighbour: &'a str,
    goes: bool,
    moved_mm: Option<f64>,
}

#[derive(Serialize)]
struct Total {
    name: String,
    value: String,
    delta: String,
}

/// The difference as JSON, ending with a line feed.
///
/// # Errors
/// [`JsonFault`]: a fault of kitproof.
pub fn diff_json(checked: &Checked, against: &Against) -> Result<String, JsonFault> {
    let kit = checked.kit;
    let [now, was]: [Totals; 2] = [
        totals(kit, checked.facts),
        totals(&against.kit, &against.facts),
    ];
    let diff = Diff {
        format: FORMAT,
        tool: Tool {
            name: "kitproof",
            version: VERSION,
        },
        kit: Head {
            id: &kit.id,
            title: &kit.title,
            revision: kit.revision.to_string(),
        },
        base: Base {
            from: &against.from,
            revision: against.kit.revision.to_string(),
        },
        as_of: checked.as_of,
        changes: changes(checked, against),
        mixed: against
            .table
            .mixed
            .iter()
            .map(|m| MixedOut {
                part: &m.part,
                neighbour: &m.neighbour,
                goes: m.goes,
                moved_mm: measure(m.moved_mm),
            })
            .collect(),
        smallest_step: against.table.step.word(),
        smallest_revision: smallest(&against.kit.revision, against.table.step).to_string(),
        totals: totals::rows(&now, Some(&was))
            .into_iter()
            .map(|[name, value, delta]| Total { name, value, delta })
            .collect(),
        not_compared: ["fits between old and new parts"],
    };
    Ok(serde_json::to_string_pretty(&diff)? + "\n")
}

fn changes<'a>(checked: &Checked, against: &'a Against) -> Vec<Change<'a>> {
    let rows = &against.table.rows;
    rows.iter()
        .map(|row| {
            let pair = &against.compared.pairs[row.pair];
            let change = pair.change.as_ref();
            let number = |of: fn(&PartChange) -> f64| change.map(of).and_then(measure);
            Change {
                part: &row.part,
                was: row.was.as_deref(),
                found_by: row.was.as_ref().map(|_| match pair.found {
                    Found::Id => "id",
                    Found::Was => "was",
                    Found::Shape => "shape",
                }),
                rev: row.revs,
                count: row.counts,
                class: row.class.word(),
                unbuilt: row.unbuilt.word(),
                reason: &row.reason,
                text: row.text.as_deref(),
                overrides: row.overridden.as_ref().map(|o| Overrides {
                    class: o.computed.word(),
                    reason: &o.reason,
                }),
                bonded_to: row.bonded_to.as_deref(),
                identical: change.map(|c| c.identical),
                moved_only: change.map(|c| c.moved_only),
                max_mm: number(|c| c.max_mm),
                rms_mm: number(|c| c.rms_mm),
                base_to_present_mm: number(|c| c.base_to_present_mm),
                present_to_base_mm: number(|c| c.present_to_base_mm),
                regions: regions(change),
                regions_total: change.map_or(0, |c| c.regions_total),
                volume_delta_mm3: number(|c| c.volume_delta_mm3),
                tell_apart: change.and_then(tell_apart),
                only_rounds: change.and_then(|c| c.only_rounds.as_ref()).map(|rounds| {
                    let out = |r: &RoundChange| RoundOut {
                        hollow: r.hollow,
                        rim: r.rim,
                        count: r.count,
                        base_mm: measure(r.base_mm),
                        present_mm: measure(r.present_mm),
                    };
                    rounds.iter().map(out).collect()
                }),
                measured_alike: facts::values(row, checked, against)
                    .iter()
                    .filter(|v| !v.changed())
                    .map(|v| v.measure.key)
                    .collect(),
                measured: facts::values(row, checked, against)
                    .iter()
                    .filter(|v| v.changed())
                    .map(|v| {
                        (
                            v.measure.key,
                            [v.base, v.present].map(|v| v.and_then(measure)),
                        )
                    })
                    .collect(),
                meets: pair
                    .near
                    .iter()
                    .map(|near| Met {
                        neighbour: &near.neighbour,
                        fit: match &near.meets {
                            Meets::Fit(id) | Meets::FitWithoutPose(id) => Some(id),
                            _ => None,
                        },
                        hole: match &near.meets {
                            Meets::Hole(takes) => Some(takes),
                            _ => None,
                        },
                        moved_mm: measure(near.moved_mm),
                        at: point(near.at),
                    })
                    .collect(),
                unmeasured: pair.unmeasured.as_deref(),
            }
        })
        .collect()
}

fn regions(change: Option<&PartChange>) -> Vec<RegionOut> {
    let regions = change.into_iter().flat_map(|c| &c.regions);
    regions
        .map(|r| RegionOut {
            at: point(r.at),
            size_mm: point(r.size_mm),
            depth_mm: measure(r.depth_mm),
            area_mm2: measure(r.area_mm2),
        })
        .collect()
}

fn tell_apart(change: &PartChange) -> Option<TellApart> {
    change.bench.as_ref().map(|caliper| TellApart {
        dimension: match caliper.dimension {
            Dimension::Flats => "flats",
            Dimension::Diameter => "diameter",
            Dimension::Length => "length",
        },
        outside: caliper.outside,
        at: point(caliper.at),
        along: point(caliper.along),
        base_mm: measure(caliper.base_mm),
        present_mm: measure(caliper.present_mm),
    })
}
