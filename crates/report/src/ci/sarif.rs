//! `report.sarif`: SARIF 2.1.0 (OASIS standard, 27 March 2020), one run a kit.
//!
//! Each finding is a result at its part's line of the manifest, with its places in the mesh as related
//! locations; the rules' texts come from the registry. A waived finding is a result with a suppression. Times
//! are left out, so that the same check gives the same bytes.

use std::collections::BTreeMap;

use findings::{Finding, Level, Rule};
use serde_json::{Map, Value, json};

use super::{CheckedFile, Run, Tally, fingerprint, most, uri, words};
use crate::JsonFault;
use crate::explain::explain_rule;
use crate::html::sentence;
use crate::input::VERSION;
use crate::number::{measure, point};

/// Paths are relative to the repository's root, which the host knows.
const ROOT: &str = "%SRCROOT%";

/// The check as SARIF, ending with a line feed.
///
/// # Errors
/// [`JsonFault`]: a fault of kitproof.
pub fn sarif(run: &Run) -> Result<String, JsonFault> {
    let platform = limits::platform_limits();
    let kit = run.checked.kit;
    let findings = &run.checked.verdict.findings;
    let listed = findings.len().min(most(&platform.sarif_results));
    let prints = fingerprint::all(findings);
    let kept = most(&platform.sarif_results_kept);
    let index = Index::of(run);
    let results: Vec<Value> = findings[..listed]
        .iter()
        .zip(&prints)
        .enumerate()
        // What a host drops needs no places of its own.
        .map(|(i, (f, print))| result(run, &index, f, print, i < kept))
        .collect();
    let rules: Vec<Value> = rules::registry::RULES
        .iter()
        .take(most(&platform.sarif_rules))
        .map(|e| descriptor(&e.rule))
        .collect();
    let tally = Tally::of(run);
    let log = json!({
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": {
                "name": "kitproof",
                "version": VERSION,
                "semanticVersion": VERSION,
                "rules": rules,
            }},
            "automationDetails": { "id": format!("kitproof/{}/", kit.id) },
            "invocations": [{
                "executionSuccessful": run.finished(),
                "exitCode": run.exit,
                "toolExecutionNotifications": notifications(run, listed),
            }],
            "originalUriBaseIds": { ROOT: {
                "description": { "text": "The root of the repository that holds the kit." },
            }},
            "artifacts": run.files.iter().map(|f| artifact(&index, f)).collect::<Vec<_>>(),
            "results": results,
            "properties": {
                "kit": kit.id,
                "revision": kit.revision.to_string(),
                "ruleSet": kit.rule_set,
                "asOf": run.checked.as_of,
                "verdict": tally.verdict,
                "blocking": tally.blocking,
                "warnings": tally.warnings,
                "notes": tally.notes,
                "waived": tally.waived,
                "failOn": run.fail_on.word(),
            },
        }],
    });
    Ok(serde_json::to_string_pretty(&log)? + "\n")
}

/// SARIF's word for a level (3.27.10).
fn level(level: Level) -> &'static str {
    match level {
        Level::Block => "error",
        Level::Warn => "warning",
        Level::Note => "note",
        Level::Off => "none",
    }
}

fn descriptor(rule: &Rule) -> Value {
    let mut out = json!({
        "id": rule.id,
        "shortDescription": { "text": sentence(rule.title) },
        "fullDescription": { "text": rule.why },
        "help": { "text": explain_rule(rule, None) },
        "defaultConfiguration": { "level": level(rule.level) },
        "properties": {
            "tags": [rule.family()],
            "measures": rule.measures,
            "fix": rule.fix,
            "source": rule.source,
            "limits": rule.limits,
        },
    });
    if !rule.aliases.is_empty() {
        out["deprecatedIds"] = json!(rule.aliases);
    }
    out
}

/// The places of files in the list of artifacts.
struct Index<'a> {
    folder: &'a str,
    places: BTreeMap<&'a str, usize>,
}

impl<'a> Index<'a> {
    fn of(run: &Run<'a>) -> Index<'a> {
        let listed = run.files.iter().enumerate();
        Index {
            folder: run.folder,
            places: listed.map(|(i, f)| (f.path.as_str(), i)).collect(),
        }
    }

    /// A file's address within the repository, and its place in the list of artifacts.
    fn address(&self, path: &str) -> Value {
        let mut out = json!({
            "uri": uri::of_path(&format!("{}{path}", self.folder)),
            "uriBaseId": ROOT,
        });
        if let Some(place) = self.places.get(path) {
            out["index"] = json!(place);
        }
        out
    }
}

fn artifact(index: &Index, file: &CheckedFile) -> Value {
    let mut out = json!({ "location": index.address(&file.path), "roles": ["analysisTarget"] });
    if let Some(sha256) = &file.sha256 {
        out["hashes"] = json!({ "sha-256": sha256 });
    }
    out
}

fn result(run: &Run, index: &Index, f: &Finding, print: &str, with_places: bool) -> Value {
    let mut out = Map::new();
    out.insert("ruleId".into(), json!(f.rule));
    let rule = rules::registry::RULES
        .iter()
        .position(|e| e.rule.id == f.rule);
    if let Some(rule) = rule.filter(|i| *i < most(&limits::platform_limits().sarif_rules)) {
        out.insert("ruleIndex".into(), json!(rule));
    }
    out.insert("level".into(), json!(level(f.level)));
    out.insert("message".into(), json!({ "text": words::text(f, "\n") }));
    out.insert("locations".into(), json!([location(run, index, f)]));
    // The second name is the one by which code hosts, from memory, tell one result from another.
    out.insert(
        "partialFingerprints".into(),
        json!({ "kitproofPlace/v1": print, "primaryLocationLineHash": print }),
    );
    if let Some(waived) = &f.waived {
        out.insert(
            "suppressions".into(),
            json!([{
                "kind": "external",
                "status": "accepted",
                "justification": format!("{} ({})", waived.reason, waived.until),
            }]),
        );
    }
    let places = if with_places {
        places(run, index, f)
    } else {
        Vec::new()
    };
    if !places.is_empty() {
        out.insert("relatedLocations".into(), json!(places));
    }
    out.insert(
        "properties".into(),
        json!({
            "id": f.id,
            "parts": f.parts,
            "promises": f.promises,
            "measured": f.measured.and_then(measure),
            "limit": f.limit.and_then(measure),
            "unit": f.unit,
            "placesTotal": f.places_total,
            "since": words::since(f),
            "new": words::is_new(f),
        }),
    );
    Value::Object(out)
}

fn location(run: &Run, index: &Index, f: &Finding) -> Value {
    let kit = &run.checked.kit.id;
    let logical: Vec<Value> = if f.parts.is_empty() {
        vec![json!({ "name": kit, "fullyQualifiedName": kit, "kind": "kit" })]
    } else {
        f.parts
            .iter()
            .map(|p| json!({ "name": p.id, "fullyQualifiedName": format!("{kit}/{}", p.id), "kind": "part" }))
            .collect()
    };
    json!({
        "physicalLocation": {
            "artifactLocation": index.address(&run.checked.kit.file),
            "region": { "startLine": run.line(f) },
        },
        "logicalLocations": logical,
    })
}

/// The places in the part's mesh, as many as a host shows.
fn places(run: &Run, index: &Index, f: &Finding) -> Vec<Value> {
    let kit = run.checked.kit;
    let Some(mesh) = f
        .parts
        .first()
        .and_then(|p| kit.part(&p.id))
        .and_then(|part| part.mesh.as_ref().or(kit.source_of(part).0.mesh.as_ref()))
    else {
        return Vec::new();
    };
    f.places
        .iter()
        .take(most(&limits::platform_limits().sarif_locations_shown))
        .enumerate()
        .map(|(i, place)| {
            let [x, y, z] = point(place.at);
            let mut text = format!("x {x} y {y} z {z} mm");
            if let Some(value) = place.measured.and_then(measure) {
                text += &format!(": {value} {}", f.unit);
            }
            if !place.note.is_empty() {
                text += &format!(", {}", place.note);
            }
            json!({
                "id": i,
                "physicalLocation": { "artifactLocation": index.address(&mesh.path) },
                "message": { "text": text },
                "properties": { "atMm": [x, y, z] },
            })
        })
        .collect()
}

/// What the run has to say of itself: how much was checked, what was cut, what was not measured, what failed.
fn notifications(run: &Run, listed: usize) -> Vec<Value> {
    let verdict = run.checked.verdict;
    let mut out = Vec::new();
    let mut say = |level: &str, text: String| {
        out.push(json!({ "level": level, "message": { "text": text } }));
    };
    if let Some(words) = run.checked.extent.words() {
        let level = if run.finished() { "note" } else { "error" };
        say(level, sentence(words));
    }
    let all = verdict.findings.len();
    if listed < all {
        say(
            "warning",
            format!(
                "Cut: {listed} of {all} findings are listed, the gravest first; the whole list is in {}.",
                run.whole_list
            ),
        );
    }
    let kept = most(&limits::platform_limits().sarif_results_kept);
    if listed > kept {
        say(
            "note",
            format!(
                "A code host keeps the gravest {kept} of these {listed} results; the whole list is in {}.",
                run.whole_list
            ),
        );
    }
    let shown = most(&limits::platform_limits().sarif_locations_shown);
    let cut = verdict
        .findings
        .iter()
        .filter(|f| f.places_total > shown)
        .count();
    if cut > 0 {
        say(
            "note",
            format!(
                "{cut} findings have more than {shown} places: the worst are listed, {} holds more.",
                run.whole_list
            ),
        );
    }
    for n in &verdict.not_measured {
        let owner = if n.part.is_empty() {
            "the kit"
        } else {
            &n.part
        };
        say(
            "warning",
            format!("Not measured: {} of {owner}: {}.", n.what, n.why),
        );
    }
    for facts in run.checked.facts {
        if let Some(words) = &facts.panicked {
            say(
                "error",
                format!("kitproof failed on {}: {words}.", facts.id),
            );
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ci::trial::{many, with};

    fn log(verdict: &findings::Verdict) -> Value {
        let text = with(verdict, Level::Block, sarif).expect("SARIF");
        serde_json::from_str(&text).expect("JSON")
    }

    /// A host's limits (check values, section 10): 25,000 results a run, the gravest of them kept.
    #[test]
    fn more_results_than_a_host_takes_are_cut_and_it_is_said() {
        let log = log(&many(9_000));
        let run = &log["runs"][0];
        let results = run["results"].as_array().expect("results");
        assert_eq!(results.len(), 25_000);
        assert_eq!(results[0]["level"], "error");
        assert_eq!(run["properties"]["blocking"], 9_000);
        let said = run["invocations"][0]["toolExecutionNotifications"].to_string();
        assert!(
            said.contains("25000 of 27003 findings are listed"),
            "{said}"
        );
        assert!(said.contains("keeps the gravest 5000"), "{said}");
        assert!(results[4_999]["relatedLocations"].is_array());
        assert!(results[5_000].get("relatedLocations").is_none());
    }

    #[test]
    fn a_result_lies_at_its_parts_line_and_its_places_in_the_mesh() {
        let mut verdict = many(1);
        verdict.findings[0].places = vec![verdict.findings[0].places[0].clone(); 150];
        verdict.findings[0].places_total = 150;
        let log = log(&verdict);
        let first = &log["runs"][0]["results"][0];
        let at = &first["locations"][0]["physicalLocation"];
        assert_eq!(at["region"]["startLine"], 15);
        assert_eq!(at["artifactLocation"]["uri"], "kits/a%20trial/kit.toml");
        assert_eq!(at["artifactLocation"]["index"], 0);
        let places = first["relatedLocations"].as_array().expect("places");
        assert_eq!(places.len(), 100);
        assert_eq!(
            places[0]["physicalLocation"]["artifactLocation"]["uri"],
            "kits/a%20trial/my%20meshes/left.stl"
        );
        assert_eq!(
            first["partialFingerprints"]["kitproofPlace/v1"],
            "wall.lost/left/41,3,12"
        );
        let said = log["runs"][0]["invocations"][0]["toolExecutionNotifications"].to_string();
        assert!(
            said.contains("1 findings have more than 100 places"),
            "{said}"
        );
    }

    /// SARIF 3.35: a suppression has a kind; 3.27.23: a result that is suppressed keeps its level.
    #[test]
    fn a_waived_finding_is_suppressed_with_its_reason() {
        let log = log(&many(0));
        let results = log["runs"][0]["results"].as_array().expect("results");
        assert_eq!(results.len(), 3);
        for result in results {
            assert_eq!(result["suppressions"][0]["kind"], "external");
            assert_eq!(
                result["suppressions"][0]["justification"],
                "the rim is hidden & glued (until revision 2.0.0)"
            );
        }
        assert_eq!(log["runs"][0]["properties"]["verdict"], "READY");
    }

    #[test]
    fn every_rule_has_its_texts() {
        let log = log(&many(0));
        let rules = log["runs"][0]["tool"]["driver"]["rules"]
            .as_array()
            .expect("rules");
        assert_eq!(rules.len(), rules::registry::RULES.len());
        for rule in rules {
            for text in ["shortDescription", "fullDescription", "help"] {
                let text = rule[text]["text"].as_str().expect("a text");
                assert!(
                    text.ends_with('.') || text.ends_with('\n'),
                    "{}: {text}",
                    rule["id"]
                );
            }
            assert!(
                rule["properties"]["tags"]
                    .as_array()
                    .is_some_and(|t| t.len() <= 10)
            );
        }
    }
}
