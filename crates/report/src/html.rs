//! The report as one self-contained page: no script, no outside file, readable without colour and on paper.

use std::collections::BTreeMap;

use findings::{Finding, Level, NotMeasured, Waived};
use minijinja::Environment;
use minijinja::value::Serde;
use rules::registry::RULES;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::against::{Section, section};
use crate::describe::{PromiseRow, Row, part_rows, promise_row};
use crate::first::{self, First};
use crate::input::{Checked, VERSION};
use crate::text::{TextStyle, last_line, owner, places};

/// A picture as inline SVG, with a caption.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Figure {
    /// The SVG element.
    pub svg: String,
    /// What it shows, in one sentence.
    pub caption: String,
}

/// The pictures of a report.
#[derive(Debug, Clone, Default)]
pub struct Figures {
    /// Each part in its print pose first, then what shows on it, by part id.
    pub parts: BTreeMap<String, Vec<Figure>>,
    /// Pictures of a finding, by the finding's name.
    pub findings: BTreeMap<String, Vec<Figure>>,
    /// What changed on a part since the base, by part id.
    pub changes: BTreeMap<String, Figure>,
}

/// The page could not be made.
#[derive(Debug, Error)]
#[error("the report page could not be laid out: {0}")]
pub struct PageFault(#[from] minijinja::Error);

/// A finding lists at most so many places in full.
const PLACES_LISTED: usize = 20;

#[derive(Serialize)]
struct Page<'a> {
    style: &'static str,
    version: &'static str,
    as_of: &'a str,
    extent: Option<&'a str>,
    verdict: &'static str,
    verdict_words: String,
    since: Option<Section>,
    kit: Head<'a>,
    do_first: Vec<First>,
    findings: Vec<Card<'a>>,
    parts: Vec<PartCard<'a>>,
    promises: Vec<PromiseRow>,
    unmeasured: &'a [NotMeasured],
    rules: Vec<RuleRow>,
}

#[derive(Serialize)]
struct Head<'a> {
    id: &'a str,
    title: &'a str,
    revision: String,
    designer: Option<&'a str>,
    license: &'a str,
    scale: Option<&'a str>,
    rule_set: &'a str,
}

#[derive(Serialize)]
struct RuleRow {
    id: &'static str,
    level: &'static str,
    title: &'static str,
    source: &'static str,
}

#[derive(Serialize)]
struct Card<'a> {
    id: &'a str,
    level: &'static str,
    level_word: &'static str,
    owner: String,
    rule: &'a str,
    message: String,
    reading: &'a str,
    promises: String,
    places: Option<String>,
    places_total: usize,
    more_places: Vec<PlaceRow<'a>>,
    since: Option<&'a str>,
    fix: &'a str,
    waived: Option<&'a Waived>,
    why: Option<&'static str>,
    measures: Option<&'static str>,
    source: Option<&'static str>,
    pictures: &'a [Figure],
}

#[derive(Serialize)]
struct PlaceRow<'a> {
    x: String,
    y: String,
    z: String,
    measured: String,
    note: &'a str,
}

#[derive(Serialize)]
struct PartCard<'a> {
    id: &'a str,
    rev: u32,
    count: u32,
    pictures: &'a [Figure],
    rows: Vec<Row>,
    findings: Vec<Link<'a>>,
}

#[derive(Serialize)]
struct Link<'a> {
    id: &'a str,
    word: &'static str,
    rule: &'a str,
}

/// The whole page.
///
/// # Errors
/// [`PageFault`] when the page's template does not fit its data: a fault of kitproof.
pub fn html(checked: &Checked, figures: &Figures) -> Result<String, PageFault> {
    let mut environment = Environment::new();
    environment.add_template("report.html", include_str!("page/report.html"))?;
    let template = environment.get_template("report.html")?;
    let kit = checked.kit;
    let line = last_line(checked, TextStyle::default());
    let page = Page {
        style: include_str!("page/report.css"),
        version: VERSION,
        as_of: checked.as_of,
        extent: checked.extent.words(),
        verdict: checked.verdict.word(),
        verdict_words: line
            .split_once(": ")
            .map_or(String::new(), |(_, rest)| rest.to_string()),
        since: checked.against.map(|a| section(checked, a, figures)),
        kit: Head {
            id: &kit.id,
            title: &kit.title,
            revision: kit.revision.to_string(),
            designer: kit.designer.as_deref(),
            license: &kit.license,
            scale: kit.scale.as_deref(),
            rule_set: &kit.rule_set,
        },
        do_first: first::list(checked),
        findings: checked
            .verdict
            .findings
            .iter()
            .map(|f| card(checked, f, figures))
            .collect(),
        parts: parts(checked, figures),
        promises: kit
            .promises
            .iter()
            .map(|p| promise_row(checked, p))
            .collect(),
        unmeasured: &checked.verdict.not_measured,
        rules: RULES
            .iter()
            .map(|e| RuleRow {
                id: e.rule.id,
                level: e.rule.level.word(),
                title: e.rule.title,
                source: e.rule.source,
            })
            .collect(),
    };
    Ok(template.render(Serde(&page))?)
}

fn card<'a>(checked: &Checked, f: &'a Finding, figures: &'a Figures) -> Card<'a> {
    let rule = rules::find(&f.rule).map(|e| &e.rule);
    let listed = if f.places_total > 1 { PLACES_LISTED } else { 0 };
    let all_promises = checked.kit.promises.len();
    Card {
        id: &f.id,
        level: f.level.word(),
        level_word: level_word(f.level),
        owner: owner(f),
        rule: &f.rule,
        message: sentence(&f.message),
        reading: &f.reading,
        promises: if f.promises.len() == all_promises && all_promises > 1 {
            format!("all {all_promises}")
        } else {
            f.promises.join(", ")
        },
        places: places(f),
        places_total: f.places_total,
        more_places: f
            .places
            .iter()
            .take(listed)
            .map(|p| PlaceRow {
                x: format!("{:.2}", p.at[0]),
                y: format!("{:.2}", p.at[1]),
                z: format!("{:.2}", p.at[2]),
                measured: p
                    .measured
                    .map_or(String::new(), |m| format!("{m:.3} {}", f.unit)),
                note: &p.note,
            })
            .collect(),
        since: f.since.as_ref().map(|s| s.words.as_str()),
        fix: &f.fix,
        waived: f.waived.as_ref(),
        why: rule.map(|r| r.why),
        measures: rule.map(|r| r.measures),
        source: rule.map(|r| r.source),
        pictures: figures.findings.get(&f.id).map_or(&[], Vec::as_slice),
    }
}

/// The level as it is printed on a finding.
pub fn level_word(level: Level) -> &'static str {
    match level {
        Level::Block => "BLOCKED",
        Level::Warn => "WARNING",
        Level::Note | Level::Off => "NOTE",
    }
}

/// A message with a capital letter and a full stop.
pub fn sentence(message: &str) -> String {
    let mut chars = message.chars();
    let Some(first) = chars.next() else {
        return String::new();
    };
    let text: String = first.to_uppercase().chain(chars).collect();
    if text.ends_with('.') {
        text
    } else {
        text + "."
    }
}

fn parts<'a>(checked: &Checked<'a>, figures: &'a Figures) -> Vec<PartCard<'a>> {
    checked
        .facts
        .iter()
        .filter_map(|facts| Some((checked.kit.part(&facts.id)?, facts)))
        .map(|(part, facts)| PartCard {
            id: &part.id,
            rev: part.rev,
            count: part.count,
            pictures: figures.parts.get(&part.id).map_or(&[], Vec::as_slice),
            rows: part_rows(checked.kit, part, facts),
            findings: checked
                .verdict
                .findings
                .iter()
                .filter(|f| f.parts.iter().any(|p| p.id == part.id))
                .map(|f| Link {
                    id: &f.id,
                    word: level_word(f.level),
                    rule: &f.rule,
                })
                .collect(),
        })
        .collect()
}
