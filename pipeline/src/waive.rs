//! `waive`: a written permission to release with a finding, added to kit.toml with its present value as floor.

use findings::Finding;
use kit::{Date, End, Kit, Revision, Waiver};
use rules::signoff::Signed;
use rules::{Entry, Purpose};

use crate::args::WaiveArgs;
use crate::disk;
use crate::outcome::Outcome;
use crate::proof::{self, Proof};
use crate::say::Said;
use crate::set_up::{SetUp, set_up_and};
use crate::stages::read::MANIFEST;
use crate::stages::{judge, read};

/// Adds a waiver to a kit's manifest.
pub fn run(args: &WaiveArgs, said: &mut dyn Said) -> Outcome {
    if args.common.frozen {
        said.fault(
            "waive --frozen: waive writes kit.toml, --frozen forbids it; leave one of them out",
        );
        return Outcome::BadRequest;
    }
    set_up_and(&args.common, said, |set_up, said| {
        match one(args, set_up, said) {
            Ok(()) => Outcome::Ready,
            Err((words, outcome)) => {
                said.fault(&words);
                outcome
            }
        }
    })
}

type Refused = (String, Outcome);

fn refuse(words: String) -> Refused {
    (words, Outcome::BadRequest)
}

fn one(args: &WaiveArgs, set_up: &SetUp, said: &mut dyn Said) -> Result<(), Refused> {
    let entry = rule(&args.rule).map_err(refuse)?;
    if !rules::waiver::can_be(&entry.rule) {
        return Err(refuse(format!(
            "{}: {}; no reason makes that a part to print, so that it cannot be waived",
            entry.rule.id, entry.rule.title
        )));
    }
    kit::is_reason(&args.reason).map_err(|e| refuse(format!("--reason: {e}")))?;
    let opened = read::read(&args.kit).map_err(|e| (e.to_string(), e.outcome()))?;
    if let Some(id) = &args.part {
        part(&opened.kit, id).map_err(refuse)?;
    }
    let until = end(args, &opened.kit).map_err(refuse)?;
    let path = opened.folder.join(MANIFEST);
    let mut waiver = Waiver {
        rule: entry.rule.id.to_string(),
        part: args.part.clone(),
        not_worse_than: None,
        places: None,
        reason: args.reason.trim().to_string(),
        until,
        tell_builders: args.tell_builders,
        line: 0,
    };
    if waiver.has_ended(&opened.kit.revision, set_up.as_of) {
        return Err(refuse(format!(
            "the waiver would have ended already: {}; the kit is at {}, and the day is {}",
            rules::until(&waiver),
            opened.kit.revision,
            set_up.as_of
        )));
    }
    let request = set_up.request();
    let proof = proof::prove(opened, &request).map_err(refuse)?;
    if let Some(stopped) = proof.stopped {
        return Err(("stopped: nothing was written".into(), stopped));
    }
    let open = open_findings(&proof, entry, args.part.as_deref()).map_err(refuse)?;
    waiver.not_worse_than = rules::waiver::floor(
        &entry.rule,
        open.iter().filter_map(|f| f.measured).collect(),
    );
    let places = open.iter().map(|f| f.places_total).max().unwrap_or(0);
    waiver.places = u32::try_from(places).ok().filter(|n| *n > 0);
    let text = written(&proof, &waiver, set_up.as_of)?;
    disk::write(&path, text.as_bytes()).map_err(|e| (e.to_string(), Outcome::Unfinished))?;
    let added = text.get(proof.text.len()..).unwrap_or_default();
    said.data(added.trim_start());
    said.talk(&format!("added to {}: commit it", path.display()));
    for old in covering(&proof.kit, entry, args.part.as_deref()) {
        said.talk(&format!(
            "the waiver of the same on line {} no longer covers it: take that one out",
            old.line
        ));
    }
    Ok(())
}

fn rule(id: &str) -> Result<&'static Entry, String> {
    rules::find(id).ok_or_else(|| {
        let meant = kit::suggest::nearest(id, rules::registry::ids());
        format!(
            "there is no rule {id}; {}",
            meant.map_or(
                "`kitproof list rules` shows every rule".to_string(),
                |word| format!("did you mean {word}?")
            )
        )
    })
}

fn part(kit: &Kit, id: &str) -> Result<(), String> {
    if kit.part(id).is_some() {
        return Ok(());
    }
    let ids = kit.parts.iter().map(|p| p.id.as_str());
    Err(format!(
        "--part {id}: the kit has no such part; {}",
        kit::suggest::nearest(id, ids).map_or(
            "`kitproof list parts --kit DIR` lists them".to_string(),
            |word| format!("did you mean {word}?")
        )
    ))
}

/// When the waiver ends: as asked, else with the kit's next minor revision.
fn end(args: &WaiveArgs, kit: &Kit) -> Result<End, String> {
    if let Some(text) = &args.until {
        let date = Date::parse(text);
        return date.map(End::Date).ok_or_else(|| {
            format!("--until {text}: no day of the calendar; expected a date such as 2027-01-31")
        });
    }
    if let Some(text) = &args.until_revision {
        let revision = Revision::parse(text);
        return revision.map(End::Revision).ok_or_else(|| {
            format!("--until-revision {text}: no revision; expected three numbers, such as 2.0.0")
        });
    }
    let mut next = kit.revision.clone();
    next.minor = next.minor.saturating_add(1);
    next.patch = 0;
    next.pre.clear();
    Ok(End::Revision(next))
}

/// The findings that the waiver is for: at least one, none of them waived.
fn open_findings<'a>(
    proof: &'a Proof,
    entry: &Entry,
    part: Option<&str>,
) -> Result<Vec<&'a Finding>, String> {
    let of_rule: Vec<&Finding> = proof
        .verdict
        .findings
        .iter()
        .filter(|f| entry.is_named(&f.rule))
        .collect();
    let id = entry.rule.id;
    let here: Vec<&Finding> = match part {
        Some(part) => of_rule
            .iter()
            .copied()
            .filter(|f| f.parts.iter().any(|p| p.id == part))
            .collect(),
        None => of_rule
            .iter()
            .copied()
            .filter(|f| f.parts.is_empty())
            .collect(),
    };
    if here.is_empty() {
        let parts: Vec<&str> = of_rule
            .iter()
            .flat_map(|f| f.parts.iter().map(|p| p.id.as_str()))
            .collect();
        let elsewhere = if parts.is_empty() {
            "the kit has no finding of that rule; `kitproof check` lists what it has".to_string()
        } else {
            format!("the rule finds something on {}", parts.join(", "))
        };
        return Err(match part {
            Some(part) => {
                format!("{id} finds nothing on {part}, so there is nothing to permit; {elsewhere}")
            }
            None if parts.is_empty() => {
                format!("{id} finds nothing, so there is nothing to permit; {elsewhere}")
            }
            None => format!("which part? {elsewhere}: name one with --part"),
        });
    }
    let open: Vec<&Finding> = here.into_iter().filter(|f| f.waived.is_none()).collect();
    if open.is_empty() {
        let lines: Vec<String> = covering(&proof.kit, entry, part)
            .map(|w| w.line.to_string())
            .collect();
        return Err(format!(
            "{id}: a waiver covers it already, {MANIFEST} line {}",
            lines.join(", ")
        ));
    }
    Ok(open)
}

/// The waivers of the same rule and part that stand in the manifest.
fn covering<'a>(
    kit: &'a Kit,
    entry: &'a Entry,
    part: Option<&'a str>,
) -> impl Iterator<Item = &'a Waiver> {
    kit.waivers
        .iter()
        .filter(move |w| entry.is_named(&w.rule) && (w.part.is_none() || w.part.as_deref() == part))
}

/// The manifest's text with the waiver at its end, read again and judged again: it must change nothing else, and
/// it must do what it is for.
fn written(proof: &Proof, waiver: &Waiver, as_of: Date) -> Result<String, Refused> {
    let text = kit::with_waiver(&proof.text, waiver);
    let read = kit::read(&text, MANIFEST, &rules::registry::ids());
    let mut again = read.map_err(|faults| {
        refuse(format!(
            "with the waiver {MANIFEST} would not read; nothing was written:\n{}",
            kit::render(&faults, &text, false)
        ))
    })?;
    let signed = proof.signed.as_ref().map(|accepted| Signed {
        accepted,
        now: &proof.prints,
    });
    let verdict = judge::judge(
        &again,
        &proof.facts,
        &proof.beside,
        proof.against.as_ref(),
        Purpose::Check,
        signed,
        as_of,
    );
    let stands = verdict.findings.iter().any(|f| {
        f.rule == waiver.rule
            && f.waived.is_none()
            && match &waiver.part {
                Some(part) => f.parts.iter().any(|p| p.id == *part),
                None => f.parts.is_empty(),
            }
    });
    again.waivers.pop();
    if stands || again != proof.kit {
        return Err((
            "the waiver would not do what it is for; nothing was written. This is a fault of kitproof".into(),
            Outcome::Unfinished,
        ));
    }
    Ok(text)
}
