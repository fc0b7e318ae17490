//! The report as one self-contained page: no script, no outside file, readable without colour and on paper.

use std::collections::BTreeMap;

use findings::{Finding, Level};
use minijinja::{Environment, context};
use serde::Serialize;
use thiserror::Error;

use crate::describe::{part_rows, promise_row};
use crate::first;
use crate::input::{Checked, VERSION};
use crate::text::{TextStyle, last_line, owner};

/// A picture as inline SVG, with a caption.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Figure {
    /// The SVG element.
    pub svg: String,
    /// What it shows, in one sentence.
    pub caption: String,
}

/// The pictures of a report.
#[derive(Debug, Clone, Default)]
pub struct Figures {
    /// Each part in its print pose, by part id.
    pub parts: BTreeMap<String, Figure>,
    /// Pictures of a finding, by the finding's name.
    pub findings: BTreeMap<String, Vec<Figure>>,
}

/// The page could not be made.
#[derive(Debug, Error)]
#[error("the report page could not be laid out: {0}")]
pub struct PageFault(#[from] minijinja::Error);

/// A finding lists at most so many places in full.
const PLACES_LISTED: usize = 20;

/// The whole page.
///
/// # Errors
/// [`PageFault`] when the page's template does not fit its data: a fault of kitproof.
pub fn html(checked: &Checked, figures: &Figures) -> Result<String, PageFault> {
    let mut environment = Environment::new();
    environment.add_template("report.html", include_str!("page/report.html"))?;
    let page = environment.get_template("report.html")?;
    let kit = checked.kit;
    let line = last_line(checked, TextStyle::default());
    let words = line.split_once(": ").map_or("", |(_, rest)| rest);
    Ok(page.render(context! {
        style => include_str!("page/report.css"),
        version => VERSION,
        as_of => checked.as_of,
        extent => checked.extent.words(),
        verdict => checked.verdict.word(),
        verdict_words => words,
        kit => context! {
            id => kit.id, title => kit.title, revision => kit.revision.to_string(),
            designer => kit.designer, license => kit.license, scale => kit.scale,
            rule_set => kit.rule_set,
        },
        do_first => first::list(checked),
        findings => checked.verdict.findings.iter().map(|f| card(checked, f, figures)).collect::<Vec<_>>(),
        parts => parts(checked, figures),
        promises => kit.promises.iter().map(|p| promise_row(checked, p)).collect::<Vec<_>>(),
        unmeasured => checked.verdict.not_measured,
        rules => rules::registry::RULES.iter().map(|e| context! {
            id => e.rule.id, level => e.rule.level.word(), title => e.rule.title, source => e.rule.source,
        }).collect::<Vec<_>>(),
    })?)
}

fn card(checked: &Checked, f: &Finding, figures: &Figures) -> minijinja::Value {
    let rule = rules::find(&f.rule).map(|e| &e.rule);
    let shown: Vec<_> = f
        .places
        .iter()
        .take(PLACES_LISTED)
        .map(|p| {
            context! {
                x => format!("{:.2}", p.at[0]), y => format!("{:.2}", p.at[1]), z => format!("{:.2}", p.at[2]),
                measured => p.measured.map(|m| format!("{m:.3} {}", f.unit)), note => p.note,
            }
        })
        .collect();
    let all_promises = checked.kit.promises.len();
    context! {
        id => f.id,
        level => f.level.word(),
        level_word => level_word(f.level),
        owner => owner(f),
        rule => f.rule,
        message => sentence(&f.message),
        reading => f.reading,
        promises => if f.promises.len() == all_promises && all_promises > 1 {
            format!("all {all_promises}")
        } else {
            f.promises.join(", ")
        },
        places => crate::text::places(f),
        places_total => f.places_total,
        more_places => if f.places_total > 1 { shown } else { Vec::new() },
        since => f.since,
        fix => f.fix,
        waived => f.waived,
        why => rule.map(|r| r.why),
        measures => rule.map(|r| r.measures),
        source => rule.map(|r| r.source),
        pictures => figures.findings.get(&f.id),
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
fn sentence(message: &str) -> String {
    let mut chars = message.chars();
    let Some(first) = chars.next() else {
        return String::new();
    };
    let text: String = first.to_uppercase().chain(chars).collect();
    if text.ends_with('.') { text } else { text + "." }
}

fn parts(checked: &Checked, figures: &Figures) -> Vec<minijinja::Value> {
    checked
        .facts
        .iter()
        .filter_map(|facts| Some((checked.kit.part(&facts.id)?, facts)))
        .map(|(part, facts)| {
            let on_it: Vec<_> = checked
                .verdict
                .findings
                .iter()
                .filter(|f| f.parts.iter().any(|p| p.id == part.id))
                .map(|f| context! { id => f.id, word => level_word(f.level), rule => f.rule })
                .collect();
            context! {
                id => part.id,
                rev => part.rev,
                count => part.count,
                svg => figures.parts.get(&part.id).map(|f| f.svg.clone()),
                rows => part_rows(checked.kit, part, facts),
                findings => on_it,
            }
        })
        .collect()
}
