//! `single-line.broken`: a part that cannot be printed as one closed line a layer.

use findings::{Level, Place, Rule, Worse};
use measure::print::{PrintFacts, SingleLine};

use crate::stability::{Printed, printed, promises};
use crate::words::{count, mm, of_promises};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "single-line.broken",
        title: "not one closed line a layer",
        level: Level::Block,
        worse: Worse::Unmeasured,
        measures: "Every layer above the floor of a part whose settings say single-line: how many closed lines it \
                   takes (the outline of a solid, or a wall one line wide), whether it begins in the air, and how \
                   far its loop lies beside the loop below.",
        why: "The line goes on from layer to layer without a break. Where a layer is two loops, a strip with two \
              ends, or lies in the air, there is no such line: what prints is not what was drawn.",
        fix: "Make every layer one outline that leans by no more than half a line a layer, or print the part with \
              settings of mode solid.",
        source: "common practice, no source",
        limits: &[
            "single-line.toml loops",
            "single-line.toml wall",
            "single-line.toml strip",
            "single-line.toml step",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

/// What can be wrong, the gravest first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    InAir,
    Lines,
    Step,
}

/// What is wrong at one height.
struct Fault {
    kind: Kind,
    measured: f64,
    limit: f64,
    unit: &'static str,
    reading: String,
    message: String,
    fix: &'static str,
    at: [f64; 3],
    layers: usize,
}

fn judge(case: &PartCase) -> Vec<Departure> {
    let all = printed(case);
    let hits: Vec<(&Printed, Fault)> = all
        .iter()
        .filter_map(|p| Some((p, fault(p.facts, p.facts.single_line.as_ref()?)?)))
        .collect();
    let broken = promises(&hits.iter().map(|(p, _)| *p).collect::<Vec<_>>());
    let offered = case.case.kit.promises_for(case.part).len();
    let worst = hits.into_iter().map(|(_, fault)| fault).reduce(|a, b| {
        let graver = b.kind < a.kind || (b.kind == a.kind && b.measured > a.measured);
        if graver { b } else { a }
    });
    let Some(fault) = worst else {
        return Vec::new();
    };
    vec![Departure {
        measured: Some(fault.measured),
        limit: Some(fault.limit),
        unit: fault.unit,
        reading: format!("{}{}", fault.reading, of_promises(broken.len(), offered)),
        promises: broken,
        places: vec![Place::at(fault.at)],
        places_total: fault.layers,
        message: fault.message,
        fix: fault.fix.into(),
        ..Departure::default()
    }]
}

fn fault(facts: &PrintFacts, single: &SingleLine) -> Option<Fault> {
    let limits = limits::single_line();
    if let Some(start) = single.start {
        return Some(Fault {
            kind: Kind::InAir,
            measured: single.in_air as f64,
            limit: 0.0,
            unit: "layers",
            reading: format!("begins in the air at {} of height", mm(start.height_mm)),
            message: format!("its line begins in the air, {} up", mm(start.height_mm)),
            fix: "let everything grow from the plate as one outline, or print it solid",
            at: start.at,
            layers: single.in_air,
        });
    }
    if let Some(lines) = single.lines {
        let many = lines.loops + lines.strips;
        let what = match (lines.loops, lines.strips) {
            (loops, 0) => count(loops as u64, "closed loop", "closed loops"),
            (0, strips) => count(strips as u64, "strip with two ends", "strips with two ends"),
            (loops, strips) => format!(
                "{} and {}",
                count(loops as u64, "closed loop", "closed loops"),
                count(strips as u64, "strip with two ends", "strips with two ends")
            ),
        };
        return Some(Fault {
            kind: Kind::Lines,
            measured: many as f64,
            limit: limits.loops.value,
            unit: "lines",
            reading: format!(
                "{what} at {} of height, needs 1 closed loop",
                mm(lines.height_mm)
            ),
            message: format!(
                "{} of {} layers are not one closed line",
                single.broken, single.layers
            ),
            fix: "make each layer one outline without holes or loose ends, or print it solid",
            at: lines.at,
            layers: single.broken,
        });
    }
    let step = single.step.filter(|_| single.steps > 0)?;
    let most = limits.step.value * facts.height.bead_mm;
    Some(Fault {
        kind: Kind::Step,
        measured: step.step_mm,
        limit: most,
        unit: "mm",
        reading: format!(
            "{} beside the loop below at layers of {} mm, at most {} (half a line)",
            mm(step.step_mm),
            facts.height.layer_mm,
            mm(most)
        ),
        message: format!(
            "its line steps {} aside {} up, off the line below",
            mm(step.step_mm),
            mm(step.height_mm)
        ),
        fix: "lean the wall less there, or print it solid",
        at: step.at,
        layers: single.steps,
    })
}
