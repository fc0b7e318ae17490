//! `floor.thin`: floors or roofs of too few layers over fill.
//!
//! Sheets of the model that are too low are `wall.lost` and `wall.thin`, which count layers along their normal; what is
//! lower than floor and roof together is laid solid. What is left are the settings: a floor or roof that is thick enough
//! at their own layer height and is two layers at the coarsest that the kit promises.

use findings::{Level, Rule, Worse};
use kit::{Machine, Mode, Settings};

use crate::words::{mm, of_promises};
use crate::{Case, Departure, Entry, Judge};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "floor.thin",
        title: "a floor or roof of too few layers over fill",
        level: Level::Note,
        worse: Worse::Lower,
        measures: "How many layers a settings table's floor and roof are at the coarsest layer of each promise, for \
                   parts taller than both together, which have fill between them.",
        why: "Lines of a roof sag between the lines of the fill; two layers leave them open, and water and paint \
              run in.",
        fix: "Make floor and roof as many of the coarsest layers, or promise finer layers.",
        source: "common practice, no source",
        limits: &["layers.toml floor.layers"],
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

fn judge(case: &Case) -> Vec<Departure> {
    let each = case.kit.settings.iter();
    each.filter_map(|settings| of_settings(case, settings))
        .collect()
}

/// A floor or roof on one promise.
struct Closed<'a> {
    promise: &'a str,
    what: &'static str,
    thick_mm: f64,
    layer_mm: f64,
    layers: f64,
}

fn of_settings(case: &Case, settings: &Settings) -> Option<Departure> {
    if settings.mode != Mode::Solid || settings.fill >= 1.0 || settings.fill <= 0.0 {
        return None;
    }
    let closing_mm = settings.floor_mm + settings.roof_mm;
    let parts: Vec<_> = case
        .kit
        .parts
        .iter()
        .zip(case.parts)
        .filter(|(part, facts)| {
            let print = facts.print.as_ref().and_then(|p| p.as_ref().ok());
            let filled = print
                .and_then(|p| p.first())
                .is_some_and(|p| p.height_mm > closing_mm);
            filled && case.kit.settings_of(part).id == settings.id
        })
        .map(|(part, _)| part)
        .collect();
    let mut promises = 0;
    let mut closed: Vec<Closed> = Vec::new();
    for promise in &case.kit.promises {
        let Machine::Filament {
            layers_mm: [_, layer_mm],
            ..
        } = promise.machine
        else {
            continue;
        };
        let admits = |part| {
            case.kit
                .promises_for(part)
                .iter()
                .any(|p| p.id == promise.id)
        };
        if !parts.iter().any(|part| admits(part)) {
            continue;
        }
        promises += 1;
        let two = [("floor", settings.floor_mm), ("roof", settings.roof_mm)];
        let of = |(what, thick_mm): (&'static str, f64)| Closed {
            promise: &promise.id,
            what,
            thick_mm,
            layer_mm,
            layers: (thick_mm / layer_mm).ceil(),
        };
        let least = two.map(of).into_iter();
        closed.extend(least.reduce(|a, b| if b.layers < a.layers { b } else { a }));
    }
    let needed = limits::layers().floor_layers.value;
    // What is not laid at all was left out on purpose.
    closed.retain(|c| c.layers < needed && c.layers > 0.0);
    let worst = closed
        .iter()
        .reduce(|a, b| if b.layers < a.layers { b } else { a })?;
    let on = if promises > 1 {
        of_promises(closed.len(), promises)
    } else {
        String::new()
    };
    Some(Departure {
        parts: parts.iter().map(|p| p.id.clone()).collect(),
        promises: closed.iter().map(|c| c.promise.to_string()).collect(),
        measured: Some(worst.layers),
        limit: Some(needed),
        unit: "layers",
        reading: format!(
            "a {} of {} is {} layers of {}, needs {needed}{on}",
            worst.what,
            mm(worst.thick_mm),
            worst.layers,
            mm(worst.layer_mm),
        ),
        message: format!(
            "the {} of settings {} is {} layers at {}: it does not close over the fill",
            worst.what,
            settings.id,
            worst.layers,
            mm(worst.layer_mm)
        ),
        fix: format!(
            "set {} = {:.2} in settings.{}, or promise layers of {} at most",
            worst.what,
            needed * worst.layer_mm,
            settings.id,
            mm(worst.thick_mm / needed)
        ),
        ..Departure::default()
    })
}
