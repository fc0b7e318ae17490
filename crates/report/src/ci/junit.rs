//! `junit.xml`, in the strictest of the schemas in use: there is no official standard of this format, so only
//! what all of its readers take is written.
//!
//! A suite is a kit. Each part has a case a stage (the family of a rule: `wall`, `overhang`), which passes when
//! no finding of it fails the run; each finding that fails, or that stands under a waiver, is a case of its own.
//! A fault of the gate is an error, not a failure. The strict schema knows no skipped case, so a waived finding
//! is a case that passes, and what was not measured is no case at all: the suite's output tells of both. Nothing
//! holds a time: the suite's timestamp is the day the check counts as, and every duration is 0.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use findings::Finding;
use measure::PartFacts;
use rules::Judge;
use rules::registry::RULES;

use super::words;
use super::xml::escaped;
use super::{Run, Tally};
use crate::Extent;
use crate::html::level_word;
use crate::text::{TextStyle, last_line};

/// Families that are judged on a part's layers.
const OF_LAYERS: [&str; 10] = [
    "bridge",
    "first-layer",
    "gap",
    "island",
    "overhang",
    "single-line",
    "stability",
    "string",
    "support",
    "warp",
];
/// The rule that says that the gate failed.
const FAULT: &str = "internal.fault";

/// How a case ended.
enum End {
    Passed,
    Failed {
        kind: String,
        message: String,
        text: String,
    },
    Broke {
        kind: String,
        message: String,
        text: String,
    },
}

struct TestCase {
    class: String,
    name: String,
    end: End,
}

/// The check as JUnit XML, ending with a line feed.
pub fn junit(run: &Run) -> String {
    let checked = &run.checked;
    let kit = checked.kit;
    let tally = Tally::of(run);
    let cases = cases(run);
    let failures = count(&cases, |end| matches!(end, End::Failed { .. }));
    let errors = count(&cases, |end| matches!(end, End::Broke { .. }));
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites>\n");
    let _ = writeln!(
        out,
        "  <testsuite package=\"kitproof\" id=\"0\" name=\"{}\" timestamp=\"{}T00:00:00\" hostname=\"localhost\" \
         tests=\"{}\" failures=\"{failures}\" errors=\"{errors}\" time=\"0\">",
        escaped(&kit.id),
        escaped(checked.as_of),
        cases.len(),
    );
    out.push_str("    <properties>\n");
    for (name, value) in properties(run, &tally) {
        let _ = writeln!(
            out,
            "      <property name=\"{name}\" value=\"{}\"/>",
            escaped(&value)
        );
    }
    out.push_str("    </properties>\n");
    for case in &cases {
        write_case(&mut out, case);
    }
    let _ = writeln!(
        out,
        "    <system-out>{}</system-out>\n    <system-err></system-err>\n  </testsuite>\n</testsuites>",
        text(&told(run))
    );
    out
}

fn count(cases: &[TestCase], of: impl Fn(&End) -> bool) -> usize {
    cases.iter().filter(|c| of(&c.end)).count()
}

/// The text of an element keeps its line ends as they are.
fn text(lines: &str) -> String {
    escaped(lines).replace("&#10;", "\n")
}

fn write_case(out: &mut String, case: &TestCase) {
    let head = format!(
        "    <testcase name=\"{}\" classname=\"{}\" time=\"0\"",
        escaped(&case.name),
        escaped(&case.class)
    );
    let (element, kind, message, lines) = match &case.end {
        End::Passed => {
            let _ = writeln!(out, "{head}/>");
            return;
        }
        End::Failed {
            kind,
            message,
            text,
        } => ("failure", kind, message, text),
        End::Broke {
            kind,
            message,
            text,
        } => ("error", kind, message, text),
    };
    let _ = writeln!(
        out,
        "{head}>\n      <{element} type=\"{}\" message=\"{}\">{}</{element}>\n    </testcase>",
        escaped(kind),
        escaped(message),
        text(lines)
    );
}

fn properties(run: &Run, tally: &Tally) -> Vec<(&'static str, String)> {
    let checked = &run.checked;
    let mut rows = vec![
        ("verdict", tally.verdict.to_string()),
        ("blocking", tally.blocking.to_string()),
        ("warnings", tally.warnings.to_string()),
        ("notes", tally.notes.to_string()),
        ("waived", tally.waived.to_string()),
        ("fail-on", run.fail_on.word().to_string()),
        ("exit-code", tally.exit.to_string()),
        ("revision", checked.kit.revision.to_string()),
        ("rule-set", checked.kit.rule_set.clone()),
        (
            "not-measured",
            checked.verdict.not_measured.len().to_string(),
        ),
        ("kitproof", crate::VERSION.to_string()),
    ];
    if let Some(words) = checked.extent.words() {
        rows.push(("extent", words.to_string()));
    }
    rows
}

/// Families of the rules that look at parts, or at the whole kit, each once, in the registry's order.
fn families(of_parts: bool) -> Vec<&'static str> {
    let mut found: Vec<&str> = RULES
        .iter()
        .filter(|e| matches!(e.judge, Judge::Part(_)) == of_parts)
        .map(|e| e.rule.family())
        .collect();
    found.dedup();
    found
}

fn family(f: &Finding) -> &str {
    f.rule.split('.').next().unwrap_or(&f.rule)
}

fn cases(run: &Run) -> Vec<TestCase> {
    let checked = &run.checked;
    let kit = &checked.kit.id;
    let mut out = Vec::new();
    let owned = owned(run);
    let none = Vec::new();
    let of_kit = owned.get(&None).unwrap_or(&none);
    add(run, &mut out, kit, &families(false), of_kit);
    let of_parts = families(true);
    for facts in checked.facts {
        let own = owned.get(&Some(facts.id.as_str())).unwrap_or(&none);
        let stages: Vec<&str> = of_parts
            .iter()
            .copied()
            .filter(|stage| was_measured(stage, facts, own))
            .collect();
        add(run, &mut out, &format!("{kit}.{}", facts.id), &stages, own);
    }
    if let Extent::Incomplete(words) = checked.extent {
        out.push(TestCase {
            class: kit.clone(),
            name: "run".into(),
            end: End::Broke {
                kind: "incomplete".into(),
                message: words.clone(),
                text: words.clone(),
            },
        });
    }
    out
}

/// The findings by their first part; those of the kit as a whole, and of parts that were not checked, by `None`.
fn owned<'a>(run: &Run<'a>) -> BTreeMap<Option<&'a str>, Vec<&'a Finding>> {
    let known: BTreeSet<&str> = run.checked.facts.iter().map(|f| f.id.as_str()).collect();
    let mut owned: BTreeMap<Option<&str>, Vec<&Finding>> = BTreeMap::new();
    for f in &run.checked.verdict.findings {
        let first = f.parts.first().map(|p| p.id.as_str());
        let owner = first.filter(|id| known.contains(id));
        owned.entry(owner).or_default().push(f);
    }
    owned
}

/// Whether a family could be judged on a part at all; what was not measured is no case that passes.
fn was_measured(stage: &str, facts: &PartFacts, own: &[&Finding]) -> bool {
    let loaded = matches!(facts.loading, Some(Ok(_))) && facts.panicked.is_none();
    let layered = matches!(facts.print, Some(Ok(_)));
    let said = own
        .iter()
        .any(|f| family(f) == stage && f.rule.ends_with(".unmeasured"));
    loaded && !said && (layered || !OF_LAYERS.contains(&stage))
}

/// The cases of one part or of the kit: the stages without a finding that fails, then each such finding and
/// each waived one.
fn add(run: &Run, out: &mut Vec<TestCase>, class: &str, stages: &[&str], own: &[&Finding]) {
    let failing: BTreeSet<&str> = own
        .iter()
        .filter(|f| f.fails(run.fail_on))
        .map(|f| family(f))
        .collect();
    for stage in stages.iter().filter(|s| !failing.contains(*s)) {
        out.push(TestCase {
            class: class.to_string(),
            name: (*stage).to_string(),
            end: End::Passed,
        });
    }
    for f in own {
        let name = format!("{} ({})", f.rule, f.id);
        let (name, end) = if f.waived.is_some() {
            (format!("{name}, waived"), End::Passed)
        } else if f.fails(run.fail_on) {
            (name, failed(run, f))
        } else {
            continue;
        };
        out.push(TestCase {
            class: class.to_string(),
            name,
            end,
        });
    }
}

fn failed(run: &Run, f: &Finding) -> End {
    let kind = f.rule.clone();
    let message = words::fault(f).to_string();
    let mut lines = words::lines(f);
    lines.push(format!("At: {}:{}", run.manifest(), run.line(f)));
    let text = lines.join("\n");
    if f.rule == FAULT {
        End::Broke {
            kind,
            message,
            text,
        }
    } else {
        End::Failed {
            kind,
            message,
            text,
        }
    }
}

/// What the suite says: the verdict, every finding that fails nothing, and what was not measured.
fn told(run: &Run) -> String {
    let checked = &run.checked;
    let mut out = last_line(checked, TextStyle::default()) + "\n";
    if let Some(words) = checked.extent.words() {
        let _ = writeln!(out, "{words}");
    }
    for f in &checked.verdict.findings {
        if f.fails(run.fail_on) {
            continue;
        }
        let word = if f.waived.is_some() {
            "WAIVED"
        } else {
            level_word(f.level)
        };
        let _ = writeln!(
            out,
            "{word} {} ({}): {}",
            f.rule,
            f.id,
            words::lines(f).join("; ")
        );
    }
    for n in &checked.verdict.not_measured {
        let owner = if n.part.is_empty() {
            "the kit"
        } else {
            &n.part
        };
        let _ = writeln!(out, "NOT MEASURED {} of {owner}: {}", n.what, n.why);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Checked;
    use crate::ci::trial::{files, finding, kit, many, waived, with};
    use findings::{Level, Verdict};

    #[test]
    fn a_finding_that_fails_is_a_case_and_its_stage_passes_no_more() {
        let text = with(&many(2), Level::Block, junit);
        assert!(
            text.contains("name=\"wall.lost (left-block-0)\" classname=\"trial.left\""),
            "{text}"
        );
        assert!(text.contains("failures=\"2\" errors=\"0\""), "{text}");
        assert!(!text.contains("name=\"wall\""), "{text}");
        assert!(
            text.contains("name=\"wall.lost (left-waived-block), waived\""),
            "{text}"
        );
        assert!(
            text.contains("Waived until revision 2.0.0: the rim is hidden &amp; glued"),
            "{text}"
        );
        // A stricter run fails on the warnings as well.
        let text = with(&many(2), Level::Warn, junit);
        assert!(text.contains("failures=\"4\" errors=\"0\""), "{text}");
    }

    /// No part of the trial kit was loaded, so none of its stages may read as a pass.
    #[test]
    fn what_was_not_measured_is_no_case() {
        let text = with(&many(0), Level::Block, junit);
        for line in text
            .lines()
            .filter(|l| l.contains("<testcase") && l.contains("trial."))
        {
            assert!(line.contains("waived"), "{line}");
        }
    }

    #[test]
    fn a_fault_of_the_gate_and_a_stopped_run_are_errors() {
        let kit = kit();
        let mut facts = [PartFacts::of("left"), PartFacts::of("right")];
        facts[0].panicked = Some("an index too far".into());
        let mut fault = finding(FAULT, Level::Block, "left");
        fault.reading = "stopped: an index \u{1b}too far".into();
        let mut permitted = finding("wall.lost", Level::Block, "right");
        permitted.waived = waived();
        let verdict = Verdict {
            ready: false,
            promises: vec![],
            findings: vec![fault, permitted],
            not_measured: vec![findings::NotMeasured {
                part: "left".into(),
                what: "everything".into(),
                why: "a fault".into(),
            }],
        };
        let files = files();
        let extent = Extent::Incomplete("stopped: 1 of 2 parts were measured".into());
        let run = Run {
            checked: Checked {
                against: None,
                kit: &kit,
                facts: &facts,
                verdict: &verdict,
                as_of: "2026-01-01",
                extent: &extent,
            },
            folder: "",
            fail_on: Level::Block,
            exit: 143,
            files: &files,
            whole_list: "report.json",
        };
        let text = junit(&run);
        assert!(text.contains("failures=\"0\" errors=\"2\""), "{text}");
        assert!(text.contains("<error type=\"internal.fault\""), "{text}");
        assert!(
            text.contains("<error type=\"incomplete\" message=\"stopped: 1 of 2"),
            "{text}"
        );
        assert!(text.contains("an index \u{fffd}too far"), "{text}");
        assert!(
            text.contains("NOT MEASURED everything of left: a fault"),
            "{text}"
        );
        let log = crate::ci::sarif(&run).expect("SARIF");
        let log: serde_json::Value = serde_json::from_str(&log).expect("JSON");
        let invocation = &log["runs"][0]["invocations"][0];
        assert_eq!(invocation["executionSuccessful"], false);
        assert_eq!(invocation["exitCode"], 143);
        let said = invocation["toolExecutionNotifications"].to_string();
        assert!(
            said.contains("kitproof failed on left") && said.contains("Stopped: 1 of 2"),
            "{said}"
        );
    }
}
