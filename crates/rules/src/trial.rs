//! A kit of two parts with a sign-off, for the tests of these rules.

use std::collections::BTreeMap;

use kit::{Date, Revision, SignOff, SignedPart};
use measure::{Beside, PartFacts};

use crate::sample::kit;
use crate::signoff::{Prints, Signed};
use crate::{Case, Departure, Purpose, find};

/// What a sign-off says of part `left`, and what that part is now.
pub(crate) struct Trial {
    /// Area on the plate as signed off, mm2.
    pub then: f64,
    /// The same now.
    pub now: f64,
    /// Whether its mesh is another.
    pub mesh_changed: bool,
    /// Whether its CAD file is another; `None`: there is none now.
    pub source_changed: Option<bool>,
    /// The part that was signed off.
    pub part: &'static str,
    /// What it is judged for.
    pub purpose: Purpose,
}

impl Default for Trial {
    fn default() -> Trial {
        Trial {
            then: 100.0,
            now: 100.0,
            mesh_changed: false,
            source_changed: Some(false),
            part: "left",
            purpose: Purpose::Check,
        }
    }
}

fn left(area_mm2: f64) -> Vec<PartFacts> {
    let block = [([0.0; 3], [10.0, area_mm2 as f32 / 10.0, 10.0])];
    crate::boxes::facts(&kit(""), &block)
}

/// What a rule finds.
pub(crate) fn found(rule: &str, trial: &Trial) -> Vec<Departure> {
    let kit = kit("");
    let hash = |c: &str| c.repeat(64);
    let accepted = SignOff {
        kit: "sample".into(),
        revision: Revision::parse("0.9.0").expect("a revision"),
        engine: crate::measures::ENGINE,
        parts: BTreeMap::from([(
            trial.part.to_string(),
            SignedPart {
                mesh: hash("a"),
                settings: hash("b"),
                source: Some(hash("c")),
                values: BTreeMap::from([("first-layer-area".to_string(), trial.then)]),
            },
        )]),
    };
    let prints = Prints {
        mesh: Some(hash(if trial.mesh_changed { "f" } else { "a" })),
        settings: hash("b"),
        source: trial
            .source_changed
            .map(|changed| hash(if changed { "f" } else { "c" })),
    };
    let now = BTreeMap::from([
        ("left".to_string(), prints.clone()),
        ("right".to_string(), prints),
    ]);
    let parts = left(trial.now);
    let case = Case {
        against: None,
        kit: &kit,
        parts: &parts,
        beside: &Beside::default(),
        as_of: Date::parse("2026-11-25").expect("a day"),
        purpose: trial.purpose,
        signed: Some(Signed {
            accepted: &accepted,
            now: &now,
        }),
    };
    crate::judge::departures(&case, find(rule).expect("the rule"))
}
