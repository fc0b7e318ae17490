//! `explain`: why a rule matters, its limit and source, how to mend it; what a part was measured at; what a
//! finding says in full.

use std::fmt::Write as _;

use findings::{Finding, Rule, Worse};
use kit::Kit;

use crate::describe::part_rows;
use crate::input::Checked;
use crate::text::{finding, owner};
use crate::wrap::{WIDTH, wrap};

fn paragraph(out: &mut String, head: &str, text: &str) {
    let _ = writeln!(out, "{head}");
    for line in wrap(text, WIDTH - 2, 0) {
        let _ = writeln!(out, "  {line}");
    }
}

/// A rule in full. With a kit, the level in force there and the line that sets it.
pub fn explain_rule(rule: &Rule, kit: Option<&Kit>) -> String {
    let mut out = format!("{}: {}\n\n", rule.id, rule.title);
    let mut level = format!("{} by default", rule.level.word());
    if let Some(kit) = kit {
        for o in kit.levels.iter().filter(|o| o.rule == rule.id) {
            let _ = write!(level, "; {} in this kit (line {})", o.level.word(), o.line);
        }
        for part in &kit.parts {
            for o in part.levels.iter().filter(|o| o.rule == rule.id) {
                let _ = write!(
                    level,
                    "; {} on {} (line {})",
                    o.level.word(),
                    part.id,
                    o.line
                );
            }
        }
    }
    paragraph(&mut out, "Level", &level);
    paragraph(&mut out, "What is measured", rule.measures);
    paragraph(&mut out, "Why it matters", rule.why);
    paragraph(&mut out, "How to mend it", rule.fix);
    if !rule.limits.is_empty() {
        let _ = writeln!(out, "Limits");
        for limit in rule.limits.iter().filter_map(|l| rules::registry::limit(l)) {
            let line = format!("{limit} ({}; {})", limit.set_in(), limit.source);
            for (i, l) in wrap(&line, WIDTH - 4, 0).iter().enumerate() {
                let _ = writeln!(out, "  {}{l}", if i == 0 { "" } else { "  " });
            }
        }
    }
    paragraph(&mut out, "Source", rule.source);
    let floor = match rule.worse {
        Worse::Lower => "a waiver's not-worse-than is the least value it still covers",
        Worse::Higher => "a waiver's not-worse-than is the greatest value it still covers",
        Worse::Unmeasured => "a waiver of this rule has no not-worse-than: nothing is measured",
    };
    paragraph(&mut out, "Waivers", floor);
    paragraph(
        &mut out,
        "In kit.toml",
        &format!(
            "[rules] \"{0}\" = \"warn\" for the kit, or rules.\"{0}\" = \"off\" in a [[part]]",
            rule.id
        ),
    );
    out
}

/// A part: every measure, every finding.
pub fn explain_part(checked: &Checked, id: &str) -> Option<String> {
    let part = checked.kit.part(id)?;
    let facts = checked.facts.iter().find(|f| f.id == id)?;
    let mut out = format!("{} r{}, {}\n", part.id, part.rev, crate::list::pieces(part));
    for row in part_rows(checked.kit, part, facts) {
        let _ = writeln!(out, "  {:<20}{}", row.name, row.value);
    }
    out.push('\n');
    let on_it: Vec<&Finding> = checked
        .verdict
        .findings
        .iter()
        .filter(|f| f.parts.iter().any(|p| p.id == id))
        .collect();
    if on_it.is_empty() {
        out.push_str("no finding\n");
    }
    for f in on_it {
        out.push_str(&finding(f, None, false, true));
        out.push('\n');
    }
    Some(out)
}

/// A finding in full, with all its listed places.
pub fn explain_finding(checked: &Checked, id: &str) -> Option<String> {
    let f = checked.verdict.findings.iter().find(|f| f.id == id)?;
    let mut out = format!("{} {} on {}\n\n", f.level.word(), f.rule, owner(f));
    paragraph(&mut out, "What", &f.message);
    paragraph(&mut out, "Measured", &f.reading);
    if !f.promises.is_empty() {
        paragraph(&mut out, "Promises", &f.promises.join(", "));
    }
    paragraph(&mut out, "Do", &f.fix);
    if let Some(w) = &f.waived {
        paragraph(&mut out, "Waived", &format!("{} ({})", w.reason, w.until));
    }
    if !f.places.is_empty() {
        let _ = writeln!(
            out,
            "Places, mm in the mesh's own frame ({} in all)",
            f.places_total
        );
        for p in &f.places {
            let [x, y, z] = p.at;
            let mut line = format!("  x {x:9.2}  y {y:9.2}  z {z:9.2}");
            if let Some(m) = p.measured {
                let _ = write!(line, "   {m:.3} {}", f.unit);
            }
            if !p.note.is_empty() {
                let _ = write!(line, "   {}", p.note);
            }
            let _ = writeln!(out, "{line}");
        }
    }
    out.push('\n');
    if let Some(entry) = rules::find(&f.rule) {
        out.push_str(&explain_rule(&entry.rule, Some(checked.kit)));
    }
    Some(out)
}
