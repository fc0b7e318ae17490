//! `string.risk`: many small pieces side by side, between which the nozzle draws hairs.

use findings::{Level, Place, Rule, Worse};

use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "string.risk",
        title: "a row of small pieces that draws hairs",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "The separate pieces of every layer at the settings' own height: small ones, each a short way \
                   from the next, are a row. The value is the number in the longest row of any layer.",
        why: "From each piece to the next the nozzle travels through the air and draws a hair, in every layer. \
              Louvres, grilles and combs come off the plate furred.",
        fix: "Lay the row down, so that a layer holds fewer pieces; or tell builders to dry the filament and to \
              cut the hairs off.",
        source: "common practice, no source",
        limits: &[
            "strings.toml pieces",
            "strings.toml piece",
            "strings.toml least-gap",
            "strings.toml gap",
            "strings.toml height",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let limits = limits::strings();
    let Some(Ok(print)) = &case.facts.print else {
        return Vec::new();
    };
    let Some(own) = print.first() else {
        return Vec::new();
    };
    let Some(worst) = &own.strings.worst else {
        return Vec::new();
    };
    if own.strings.height_mm < limits.height.value {
        return Vec::new();
    }
    vec![Departure {
        measured: Some(worst.pieces as f64),
        limit: Some(limits.pieces.value),
        unit: "pieces",
        reading: format!(
            "{} pieces under {} mm2 in one layer, {} apart; {} are few enough",
            worst.pieces,
            limits.piece.value,
            mm(worst.gap_mm),
            limits.pieces.value - 1.0
        ),
        places: vec![Place::at(worst.at)],
        places_total: own.strings.layers,
        message: format!(
            "a row of {} small pieces over {:.1} mm of height will draw hairs",
            worst.pieces, own.strings.height_mm
        ),
        fix: "lay the row down, or tell builders to dry the filament and to cut the hairs off"
            .into(),
        ..Departure::default()
    }]
}
