//! `orientation.dominated`: another way to lay the part is plainly better.

use findings::{Level, Rule, Worse};

use super::{compared, dominates, offered, up_line};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "orientation.dominated",
        title: "another way to lay the part is plainly better",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Support, layer lines and scars on show faces, height, first layer, stability, strength across the \
                   layers of slender stretches and fit to the plates, for the intended orientation and for the best \
                   of several hundred others. Noted where one of them saves half of the support or of the layer \
                   lines and is no worse in anything else. `up-because` says that the choice was made on purpose, \
                   and silences it.",
        why: "Whoever prints the part pays for it in support, time or sanding.",
        fix: "Take the other orientation, or say why not with up-because.",
        source: "objectives: Di Angelo, Di Stefano, Guardiani 2020, J. Manuf. Mater. Process. 4(3), 71; margins: \
                 common practice, no source",
        limits: &[
            "orientation.toml better.support",
            "orientation.toml better.support-share",
            "orientation.toml better.steps",
            "orientation.toml better.steps-share",
            "orientation.toml worse.support",
            "orientation.toml worse.steps",
            "orientation.toml worse.scar",
            "orientation.toml worse.height",
            "orientation.toml worse.contact",
            "orientation.toml worse.tip",
            "orientation.toml worse.section",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    // A mirror image lies as its source does, and the source's words are for both.
    if case.part.up_because.is_some() || case.part.mesh.is_none() {
        return Vec::new();
    }
    let Some(found) = &case.facts.orientations else {
        return Vec::new();
    };
    let best = offered(found)
        .into_iter()
        .find(|way| dominates(way, &found.intended));
    let Some(best) = best else {
        return Vec::new();
    };
    let said = compared(best, &found.intended);
    vec![Departure {
        reading: said,
        message: "another way to lay it is plainly better".into(),
        fix: format!(
            "{}, or say why not: up-because = \"...\"; kitproof orient {} shows the choice",
            up_line(best),
            case.part.id
        ),
        ..Departure::default()
    }]
}
