//! From facts to the one verdict: every rule is asked, then levels and waivers are applied.

use std::collections::BTreeMap;

use findings::{Finding, Level, PartRef, Verdict, Waived, Worse};
use kit::{End, Kit, LevelOverride, Waiver};

use crate::registry::{Judge, RULES};
use crate::{Case, Departure, Entry, PartCase};

/// Judges a kit by every rule. The result is the only source of every output.
pub fn judge(case: &Case) -> Verdict {
    let mut findings: Vec<Finding> = Vec::new();
    let folded = crate::mesh::prints_as_drawn::folded(case);
    for entry in RULES {
        for departure in departures(case, entry) {
            if folded.holds(entry, &departure) {
                continue;
            }
            findings.extend(weigh(case, entry, departure));
        }
    }
    if let Some(against) = case.against {
        crate::reprint::mark(&mut findings, against);
    }
    order(case.kit, &mut findings);
    name(&mut findings);
    let promises = case.kit.promises.iter().map(|p| p.id.clone());
    Verdict::of(promises, findings, crate::unmeasured::list(case))
}

/// What one rule finds on a kit, before levels and waivers; each departure of a part names it.
pub(crate) fn departures(case: &Case, entry: &Entry) -> Vec<Departure> {
    let judge = match entry.judge {
        Judge::Kit(judge) => return judge(case),
        Judge::Part(judge) => judge,
    };
    let mut found = Vec::new();
    for (part, facts) in case.kit.parts.iter().zip(case.parts) {
        for mut departure in judge(&PartCase { case, part, facts }) {
            if departure.parts.is_empty() {
                departure.parts.push(part.id.clone());
            }
            found.push(departure);
        }
    }
    found
}

/// What a departure weighs here: as its part says, else the kit, else the facts, else the rule.
pub(crate) fn level_at(case: &Case, entry: &Entry, departure: &Departure) -> Level {
    let set_by_part = departure
        .parts
        .iter()
        .filter_map(|id| case.kit.part(id).and_then(|p| level_of(&p.levels, entry)))
        .max();
    set_by_part
        .or_else(|| level_of(&case.kit.levels, entry))
        .or(departure.level)
        .unwrap_or(entry.rule.level)
}

/// Applies the levels of kit and part, and the waivers; `None` where the rule is off.
fn weigh(case: &Case, entry: &Entry, departure: Departure) -> Option<Finding> {
    let kit = case.kit;
    let rule = &entry.rule;
    let parts: Vec<PartRef> = departure
        .parts
        .iter()
        .map(|id| PartRef {
            id: id.clone(),
            rev: kit.part(id).map_or(1, |p| p.rev),
        })
        .collect();
    let level = level_at(case, entry, &departure);
    if level == Level::Off {
        return None;
    }
    let places_total = departure.places_total.max(departure.places.len());
    let waived = waiver(case, entry, &departure).map(|w| Waived {
        reason: w.reason.clone(),
        until: until(w),
        tell_builders: w.tell_builders,
    });
    Some(Finding {
        id: String::new(),
        rule: rule.id.to_string(),
        level,
        parts,
        promises: departure.promises,
        measured: departure.measured,
        limit: departure.limit,
        unit: departure.unit.to_string(),
        reading: departure.reading,
        places: departure.places,
        places_total,
        since: None,
        message: departure.message,
        fix: departure.fix,
        waived,
    })
}

/// The waiver that covers a departure on the day of the check.
pub(crate) fn waiver<'a>(
    case: &Case<'a>,
    entry: &Entry,
    departure: &Departure,
) -> Option<&'a Waiver> {
    let places_total = departure.places_total.max(departure.places.len());
    if !crate::waiver::can_be(&entry.rule) {
        return None;
    }
    case.kit.waivers.iter().find(|w| {
        !w.has_ended(&case.kit.revision, case.as_of) && covers(w, entry, departure, places_total)
    })
}

fn level_of(set: &[LevelOverride], entry: &Entry) -> Option<Level> {
    set.iter()
        .find(|o| entry.is_named(&o.rule))
        .map(|o| o.level)
}

/// When a waiver ends, in words.
pub fn until(waiver: &Waiver) -> String {
    match &waiver.until {
        End::Revision(revision) => format!("until revision {revision}"),
        End::Date(date) => format!("until {date}"),
    }
}

/// Whether a waiver covers a departure: the same rule and part, no worse than its floor, no more places.
pub(crate) fn covers(
    waiver: &Waiver,
    entry: &Entry,
    departure: &Departure,
    places_total: usize,
) -> bool {
    let rule = &entry.rule;
    if !entry.is_named(&waiver.rule) {
        return false;
    }
    if waiver
        .part
        .as_ref()
        .is_some_and(|part| !departure.parts.contains(part))
    {
        return false;
    }
    if waiver.places.is_some_and(|n| places_total > n as usize) {
        return false;
    }
    match (waiver.not_worse_than, departure.measured, rule.worse) {
        (Some(floor), Some(measured), Worse::Lower) => measured >= floor,
        (Some(floor), Some(measured), Worse::Higher) => measured <= floor,
        _ => true,
    }
}

/// Blocking findings first, then warnings, then notes; within a level by part in the manifest's order, then rule.
fn order(kit: &Kit, findings: &mut [Finding]) {
    let place_of = |f: &Finding| {
        f.parts
            .first()
            .and_then(|p| kit.parts.iter().position(|q| q.id == p.id))
            .unwrap_or(usize::MAX)
    };
    findings.sort_by_key(|f| {
        (
            f.waived.is_some(),
            std::cmp::Reverse(f.level),
            place_of(f),
            f.rule.clone(),
        )
    });
}

/// Names every finding within the report: the part's id (or `kit`) and a running number.
fn name(findings: &mut [Finding]) {
    let mut next: BTreeMap<String, usize> = BTreeMap::new();
    for finding in findings {
        let owner = finding
            .parts
            .first()
            .map_or_else(|| "kit".to_string(), |p| p.id.clone());
        let number = next.entry(owner.clone()).or_default();
        *number += 1;
        finding.id = format!("{owner}-{number}");
    }
}
