//! SARIF 2.1.0: required properties and enumerations (sections 3.13 to 3.58), and what a code host takes.

use serde_json::Value;

/// What is wrong with a log; empty where nothing is.
pub fn faults(log: &Value) -> Vec<String> {
    let mut faults = Vec::new();
    let mut must = |holds: bool, what: String| {
        if !holds {
            faults.push(what);
        }
    };
    must(log["version"] == "2.1.0", "version is 2.1.0".into());
    must(log["runs"].is_array(), "runs is an array".into());
    must(array(&log["runs"]).len() <= 20, "20 runs a file".into());
    for run in array(&log["runs"]) {
        let driver = &run["tool"]["driver"];
        must(text(&driver["name"]), "tool.driver has a name".into());
        let rules = array(&driver["rules"]);
        must(rules.len() <= 25_000, "25,000 rules".into());
        for rule in rules {
            must(text(&rule["id"]), format!("a rule has an id: {rule}"));
            for key in ["shortDescription", "fullDescription", "help"] {
                must(text(&rule[key]["text"]), format!("{}.{key}", rule["id"]));
            }
            must(
                level(&rule["defaultConfiguration"]["level"]),
                format!("{}: a level", rule["id"]),
            );
            let tags = array(&rule["properties"]["tags"]);
            must(tags.len() <= 20, format!("{}: 20 tags", rule["id"]));
            must(tags.iter().all(text), format!("{}: tags", rule["id"]));
            let each: std::collections::BTreeSet<String> =
                tags.iter().map(ToString::to_string).collect();
            must(
                each.len() == tags.len(),
                format!("{}: each tag once", rule["id"]),
            );
        }
        for invocation in array(&run["invocations"]) {
            must(
                invocation["executionSuccessful"].is_boolean(),
                "invocation.executionSuccessful".into(),
            );
            for n in array(&invocation["toolExecutionNotifications"]) {
                must(text(&n["message"]["text"]), format!("a notification: {n}"));
                must(level(&n["level"]), format!("a notification's level: {n}"));
            }
            for time in ["startTimeUtc", "endTimeUtc"] {
                must(invocation.get(time).is_none(), format!("no {time}"));
            }
        }
        for artifact in array(&run["artifacts"]) {
            must(address(&artifact["location"], run), format!("{artifact}"));
            if let Some(hash) = artifact["hashes"].get("sha-256") {
                let hash = hash.as_str().unwrap_or("");
                let hex = |b: u8| b.is_ascii_digit() || (b'a'..=b'f').contains(&b);
                must(
                    hash.len() == 64 && hash.bytes().all(hex),
                    format!("a sha-256: {hash}"),
                );
            }
        }
        must(run["results"].is_array(), "results is an array".into());
        must(
            array(&run["results"]).len() <= 25_000,
            "25,000 results".into(),
        );
        for result in array(&run["results"]) {
            for fault in of_result(result, run) {
                must(false, fault);
            }
        }
        let mut prints: Vec<String> = array(&run["results"])
            .iter()
            .map(|r| r["partialFingerprints"]["kitproofPlace/v1"].to_string())
            .collect();
        let all = prints.len();
        prints.sort();
        prints.dedup();
        must(
            prints.len() == all,
            "every result has a fingerprint of its own".into(),
        );
    }
    faults
}

fn of_result(result: &Value, run: &Value) -> Vec<String> {
    let mut faults = Vec::new();
    let mut must = |holds: bool, what: &str| {
        if !holds {
            faults.push(format!("{what}: {result}"));
        }
    };
    must(text(&result["message"]["text"]), "a message");
    must(level(&result["level"]), "a level");
    // 3.27.9: kind is fail where it is absent, and only then may level be other than none.
    must(result.get("kind").is_none(), "kind is fail");
    let index = result["ruleIndex"].as_u64().unwrap_or(u64::MAX) as usize;
    let rule = &run["tool"]["driver"]["rules"][index]["id"];
    must(
        text(rule) && *rule == result["ruleId"],
        "ruleIndex finds the rule",
    );
    let locations = array(&result["locations"]);
    must(locations.len() == 1, "one location");
    for location in locations {
        let at = &location["physicalLocation"];
        must(address(&at["artifactLocation"], run), "an address");
        must(
            at["region"]["startLine"].as_u64().is_some_and(|l| l >= 1),
            "a line from 1",
        );
        must(
            array(&location["logicalLocations"])
                .iter()
                .all(|l| text(&l["name"]) && text(&l["fullyQualifiedName"])),
            "logical locations",
        );
    }
    let related = array(&result["relatedLocations"]);
    must(related.len() <= 1_000, "1,000 locations");
    for location in related {
        let at = &location["physicalLocation"]["artifactLocation"];
        must(address(at, run), "an address");
        must(text(&location["message"]["text"]), "a place in words");
    }
    if let Some(suppressions) = result.get("suppressions") {
        for s in array(suppressions) {
            must(s["kind"] == "external" || s["kind"] == "inSource", "a kind");
            must(text(&s["justification"]), "a justification");
        }
        must(!array(suppressions).is_empty(), "a suppression");
    }
    must(
        text(&result["partialFingerprints"]["kitproofPlace/v1"]),
        "a fingerprint",
    );
    faults
}

fn array(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn text(value: &Value) -> bool {
    value.as_str().is_some_and(|s| !s.is_empty())
}

fn level(value: &Value) -> bool {
    ["none", "note", "warning", "error"].contains(&value.as_str().unwrap_or(""))
}

/// An address has a relative URI under a known base, and its index finds the same URI among the artifacts.
fn address(at: &Value, run: &Value) -> bool {
    let uri = at["uri"].as_str().unwrap_or("");
    let plain = |b: u8| b.is_ascii_alphanumeric() || b"-._~/%".contains(&b);
    let base = at["uriBaseId"].as_str().unwrap_or("");
    let known = run["originalUriBaseIds"].get(base).is_some();
    let index = at["index"].as_u64().unwrap_or(u64::MAX) as usize;
    let same = run["artifacts"][index]["location"]["uri"] == uri;
    !uri.is_empty() && !uri.starts_with('/') && uri.bytes().all(plain) && known && same
}
