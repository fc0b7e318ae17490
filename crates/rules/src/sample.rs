//! A small kit with facts for the rules' own tests: two parts, one the mirror image of the other.

use kit::{Date, Kit};
use measure::mirror::Likeness;
use measure::{Beside, Loading, PartFacts};

use crate::{Case, Departure, Entry, find};

/// A kit of two parts, `left` and `right`; `more` is added to its manifest.
pub fn kit(more: &str) -> Kit {
    let text = format!(
        "format = 1
rule-set = \"2026.1\"
[kit]
id = \"sample\"
title = \"Sample\"
revision = \"1.0.0\"
license = \"CC0-1.0\"
[[promise]]
id = \"common\"
plate = [220, 220, 240]
materials = [\"pla\"]
[settings.body]
[defaults]
units = \"mm\"
[[part]]
id = \"left\"
mesh = \"left.stl\"
[[part]]
id = \"right\"
mesh = \"right.stl\"
mirror-of = \"left\"
mirror = \"x\"
{more}"
    );
    kit::read(&text, "kit.toml", &crate::registry::ids())
        .unwrap_or_else(|faults| panic!("{}", kit::render(&faults, &text, false)))
}

/// Facts of both parts: read, and `right` so far from the image it should be, mm.
pub fn facts(apart_mm: f64) -> Vec<PartFacts> {
    let mut facts = ["left", "right"].map(PartFacts::of);
    for part in &mut facts {
        part.loading = Some(Ok(Loading {
            triangles_filed: 12,
            unit_mm: 1.0,
            unit_in_file: false,
            largest_side_filed: 20.0,
            oddities: Vec::new(),
            basis: mesh::weld::Basis::ExactWeld,
            collapsed: mesh::weld::Collapsed::default(),
        }));
    }
    facts[1].mirror = Some(Likeness {
        shift_mm: [0.0; 3],
        volume_mm3: [8000.0, 8100.0],
        size_mm: [[20.0; 3]; 2],
        greatest_mm: apart_mm,
        at: [1.0, 2.0, 3.0],
    });
    facts.into()
}

/// What a rule finds on a kit with its facts, on 2026-11-25.
pub fn found(rule: &str, kit: &Kit, facts: &[PartFacts], beside: &Beside) -> Vec<Departure> {
    let case = Case {
        kit,
        parts: facts,
        beside,
        against: None,
        purpose: crate::Purpose::Check,
        as_of: Date::parse("2026-11-25").expect("a day"),
        signed: None,
    };
    crate::judge::departures(&case, entry(rule))
}

fn entry(rule: &str) -> &'static Entry {
    find(rule).unwrap_or_else(|| panic!("no rule {rule}"))
}
