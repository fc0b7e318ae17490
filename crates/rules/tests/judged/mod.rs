//! A kit of one part, and what some families of rules say of its facts.

use findings::Level;
use kit::{Date, Kit};
use measure::{Beside, PartFacts};
use rules::{Case, Departure, Judge, PartCase};

/// A kit of one part; `promises`, `settings` and `part` are lines of the manifest.
pub fn kit(promises: &str, settings: &str, part: &str) -> Kit {
    let text = format!(
        "format = 1\nrule-set = \"2026.1\"\n[kit]\nid = \"k\"\ntitle = \"K\"\nrevision = \"1.0.0\"\n\
         license = \"MIT\"\n{promises}\n[settings.body]\nnozzle = 0.4\nlayer = 0.2\nbead = 0.42\n{settings}\n\
         [defaults]\nunits = \"mm\"\n[[part]]\nid = \"p\"\nmesh = \"p.stl\"\n{part}\n"
    );
    kit::read(&text, "kit.toml", &rules::registry::ids()).unwrap_or_else(|f| panic!("{f:?}"))
}

/// A promise of every day.
pub const COMMON: &str = "[[promise]]\nid = \"common\"\nkind = \"filament\"\nplate = [220, 220, 240]\n\
                          nozzle = 0.4\nlayers = [0.12, 0.28]\n";

/// What the rules of the families say of a part, by rule, with the level of each.
pub fn judged(
    kit: &Kit,
    facts: PartFacts,
    families: &[&str],
) -> Vec<(&'static str, Level, Departure)> {
    let facts = [facts];
    let beside = Beside::default();
    let case = Case {
        against: None,
        purpose: rules::Purpose::Check,
        kit,
        parts: &facts,
        beside: &beside,
        as_of: Date::new(2026, 1, 1).expect("a day"),
        signed: None,
    };
    let part_case = PartCase {
        case: &case,
        part: &kit.parts[0],
        facts: &facts[0],
    };
    let mut out = Vec::new();
    for entry in rules::registry::RULES {
        if let Judge::Part(judge) = entry.judge
            && families.iter().any(|f| entry.rule.id.starts_with(f))
        {
            for d in judge(&part_case) {
                out.push((entry.rule.id, d.level.unwrap_or(entry.rule.level), d));
            }
        }
    }
    out
}
