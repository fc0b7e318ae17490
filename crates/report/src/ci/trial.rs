//! A small kit and made-up findings for the views' own tests.

use findings::{Finding, Level, PartRef, Place, Verdict, Waived};
use kit::Kit;
use measure::PartFacts;

use super::{CheckedFile, Run};
use crate::{Checked, Extent};

/// A kit of two parts: `left` on line 15, `right` on line 18.
pub fn kit() -> Kit {
    let text = "format = 1\nrule-set = \"2026.1\"\n[kit]\nid = \"trial\"\ntitle = \"A | <trial> @all\"\n\
        revision = \"1.2.0\"\nlicense = \"CC0-1.0\"\n[[promise]]\nid = \"common\"\nplate = [220, 220, 240]\n\
        [settings.body]\n[defaults]\nunits = \"mm\"\nmaterial = \"pla\"\n[[part]]\nid = \"left\"\n\
        mesh = \"my meshes/left.stl\"\n[[part]]\nid = \"right\"\nmesh = \"right.stl\"\n";
    kit::read(text, "kit.toml", &rules::registry::ids())
        .unwrap_or_else(|faults| panic!("{}", kit::render(&faults, text, false)))
}

/// A finding of a rule; of the kit as a whole where `part` is empty.
pub fn finding(rule: &str, level: Level, part: &str) -> Finding {
    Finding {
        id: format!("{}-1", if part.is_empty() { "kit" } else { part }),
        rule: rule.into(),
        level,
        parts: [part]
            .iter()
            .filter(|p| !p.is_empty())
            .map(|p| PartRef {
                id: (*p).into(),
                rev: 2,
            })
            .collect(),
        promises: vec!["common".into()],
        measured: Some(0.31),
        limit: Some(0.4),
        unit: "mm".into(),
        reading: "0.31 mm, needs 0.40 mm".into(),
        places: vec![Place::at([41.2, 3.0, 11.8]).measuring(0.31)],
        places_total: 1,
        since: None,
        message: "a wall of 0.31 mm will not print".into(),
        fix: "thicken by 0.09 mm".into(),
        waived: None,
    }
}

/// A permission.
pub fn waived() -> Option<Waived> {
    Some(Waived {
        reason: "the rim is hidden & glued".into(),
        until: "until revision 2.0.0".into(),
        tell_builders: true,
    })
}

/// So many findings of every level, blocking ones first as a judge orders them, one of each level waived.
pub fn many(each: usize) -> Verdict {
    let mut findings = Vec::new();
    for (level, rule) in [
        (Level::Block, "wall.lost"),
        (Level::Warn, "wall.thin"),
        (Level::Note, "edge.feather"),
    ] {
        for i in 0..each {
            let part = ["left", "right"][i % 2];
            let mut f = finding(rule, level, part);
            f.id = format!("{part}-{}-{i}", level.word());
            f.message = format!("a wall of 0.31 mm | <b>will</b> not print, 50%\nnumber {i}");
            findings.push(f);
        }
    }
    for level in [Level::Block, Level::Warn, Level::Note] {
        let mut f = finding("wall.lost", level, "left");
        f.id = format!("left-waived-{}", level.word());
        f.waived = waived();
        findings.push(f);
    }
    Verdict {
        ready: each == 0,
        promises: Vec::new(),
        findings,
        not_measured: Vec::new(),
    }
}

/// Files of the trial kit.
pub fn files() -> Vec<CheckedFile> {
    let sha256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    vec![
        CheckedFile {
            path: "kit.toml".into(),
            sha256: Some(sha256.into()),
        },
        CheckedFile {
            path: "my meshes/left.stl".into(),
            sha256: Some(sha256.into()),
        },
        CheckedFile {
            path: "right.stl".into(),
            sha256: None,
        },
    ]
}

/// Calls `look` with a run over the kit and a verdict.
pub fn with<T>(verdict: &Verdict, fail_on: Level, look: impl FnOnce(&Run) -> T) -> T {
    let kit = kit();
    let facts = [PartFacts::of("left"), PartFacts::of("right")];
    let files = files();
    look(&Run {
        checked: Checked {
            against: None,
            kit: &kit,
            facts: &facts,
            verdict,
            as_of: "2026-01-01",
            extent: &Extent::Whole,
        },
        folder: "kits/a trial/",
        fail_on,
        exit: u8::from(verdict.fails(fail_on)),
        files: &files,
        whole_list: "report.html",
    })
}
