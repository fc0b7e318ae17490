//! One kit from its folder to its verdict.

use std::collections::BTreeMap;

use findings::Verdict;
use kit::Kit;
use measure::print::warp;
use measure::{Beside, PartFacts};
use mesh::Mesh;
use report::{Checked, Extent};
use rules::signoff::{Prints, Signed};
use rules::{Against, Purpose};

use crate::measured::{Measured, measure};
use crate::outcome::Outcome;
use crate::progress::Progress;
use crate::reuse::Store;
use crate::shard::Shard;
use crate::stages::base::Base;
use crate::stages::compare::{self, Side};
use crate::stages::judge;
use crate::stages::model::Model;
use crate::stages::read::Opened;
use crate::stop::Stop;

/// What is asked of a check.
pub struct Request<'a> {
    /// Globs of part ids; empty: every part.
    pub parts: &'a [String],
    /// Promise ids; empty: every promise.
    pub promises: &'a [String],
    /// The part whose orientation is looked at closely.
    pub thorough: Option<&'a str>,
    /// The earlier release to compare with.
    pub base: Option<&'a Base>,
    /// The shard of the kit that is measured; `None`: all of it.
    pub shard: Option<Shard>,
    /// Results of earlier checks.
    pub store: &'a Store,
    /// The day the check counts as.
    pub as_of: kit::Date,
    /// What the kit is judged for.
    pub purpose: rules::Purpose,
    /// Requests to end.
    pub stop: &'a Stop,
    /// Where progress goes.
    pub progress: &'a Progress,
}

impl<'a> Request<'a> {
    /// What is asked of the base: all of it, and of no other base.
    fn of_base(&self) -> Request<'a> {
        Request {
            parts: &[],
            promises: &[],
            thorough: None,
            base: None,
            purpose: Purpose::Check,
            ..*self
        }
    }
}

/// A kit that was measured and judged.
pub struct Proof {
    /// The kit, with the parts and promises that were asked for.
    pub kit: Kit,
    /// The manifest's text.
    pub text: String,
    /// Every part's mesh, in the manifest's order.
    pub models: Vec<Model>,
    /// Every part's facts, in the same order.
    pub facts: Vec<PartFacts>,
    /// What the designer signed off, if anything.
    pub signed: Option<kit::SignOff>,
    /// What the parts are now, by id; empty where nobody asked.
    pub prints: BTreeMap<String, Prints>,
    /// What the kit names besides its parts, and cannot be had.
    pub beside: Beside,
    /// The verdict.
    pub verdict: Verdict,
    /// The base and what changed since.
    pub against: Option<Against>,
    /// Meshes of the base's changed parts, by their id there: pictures show them.
    pub base_meshes: BTreeMap<String, Mesh>,
    /// How much was checked.
    pub extent: Extent,
    /// The day, as recorded.
    pub as_of: String,
    /// The outcome of a stop, if one was asked for.
    pub stopped: Option<Outcome>,
}

impl Proof {
    /// The proof as the views take it.
    pub fn checked(&self) -> Checked<'_> {
        Checked {
            kit: &self.kit,
            facts: &self.facts,
            verdict: &self.verdict,
            as_of: &self.as_of,
            extent: &self.extent,
            against: self.against.as_ref(),
        }
    }

    /// The proof as one side of a comparison.
    pub fn side(&self) -> Side<'_> {
        Side {
            kit: &self.kit,
            models: &self.models,
        }
    }

    /// Narrows the verdict to what is new against the base; how much was left out stands in the extent.
    pub fn only_new(&mut self) {
        let (verdict, old) = self.verdict.clone().only_new();
        self.verdict = verdict;
        let base = old
            .iter()
            .find_map(|f| f.since.as_ref())
            .map_or(String::new(), |s| format!(" since {}", s.base));
        let blocking = old.iter().filter(|f| f.blocks()).count();
        let words = format!(
            "only what is new{base}: {} findings that the base has too are not counted, {blocking} of them blocking",
            old.len()
        );
        self.extent = match std::mem::replace(&mut self.extent, Extent::Whole) {
            Extent::Whole => Extent::New(words),
            Extent::New(before) => Extent::New(before),
            Extent::Partial(before) => Extent::Partial(format!("{before}; {words}")),
            Extent::Incomplete(before) => Extent::Incomplete(format!("{before}; {words}")),
        };
    }

    /// Whether the gate itself failed on a part.
    pub fn failed(&self) -> bool {
        self.facts.iter().any(|f| f.panicked.is_some())
    }
}

/// Measures and judges a kit.
///
/// # Errors
/// A request that names no part or promise of the kit, in words.
pub fn prove(opened: Opened, request: &Request) -> Result<Proof, String> {
    conclude(measure(opened, request)?, request)
}

/// Judges a kit that was measured as a whole, against the base that was asked for.
///
/// # Errors
/// A base that cannot be proved, in words.
pub fn conclude(measured: Measured, request: &Request) -> Result<Proof, String> {
    let Measured {
        kit,
        text,
        folder,
        models,
        mut facts,
        joints,
        beside,
        signed,
        prints,
        mut extent,
        mut stopped,
        ..
    } = measured;
    warp::rank(&mut facts, rules::warp::least_height_mm());
    for (part, line) in joints {
        if let Some(shown) = &mut facts[part].show {
            shown.joints.push(line);
        }
    }
    let accepted = signed.as_ref().map(|accepted| Signed {
        accepted,
        now: &prints,
    });
    let judged = |against: Option<&Against>| {
        judge::judge(
            &kit,
            &facts,
            &beside,
            against,
            request.purpose,
            accepted,
            request.as_of,
        )
    };
    let alone = judged(None);
    let mut base_meshes = BTreeMap::new();
    let against = match request.base.filter(|_| stopped.is_none()) {
        None => None,
        Some(base) => {
            let side = Side {
                kit: &kit,
                models: &models,
            };
            let old = prove(base.opened.clone(), &request.of_base())?;
            if old.stopped.is_some() {
                stopped = old.stopped;
                extent = Extent::Incomplete(
                    "stopped: the base was not measured to its end, and nothing is compared".into(),
                );
                None
            } else {
                let (against, meshes) = compare::compare(
                    base.from.clone(),
                    old,
                    &side,
                    &alone,
                    &folder,
                    request.store,
                );
                base_meshes = meshes;
                Some(against)
            }
        }
    };
    let verdict = match &against {
        None => alone,
        Some(_) => judged(against.as_ref()),
    };
    Ok(Proof {
        against,
        base_meshes,
        signed,
        prints,
        beside,
        as_of: request.as_of.to_string(),
        kit,
        text,
        models,
        facts,
        verdict,
        extent,
        stopped,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::args::FailOn;
    use crate::finish::verdict_of;
    use crate::stages::inspect::Inspected;

    /// No kit can make the gate itself fail, so a failure is put in the place of a part's measuring: the part is
    /// blocked by name, what was measured on it is not claimed, and the run ends with exit code 3.
    #[test]
    fn a_failure_of_the_gate_is_a_finding_on_its_part_and_exit_3() {
        let text = "format = 1\nrule-set = \"2026.1\"\n[kit]\nid = \"k\"\ntitle = \"K\"\n\
            revision = \"1.0.0\"\nlicense = \"CC0-1.0\"\n[[promise]]\nid = \"p\"\nplate = [100, 100, 100]\n\
            [settings.body]\nlayer = 0.2\n[defaults]\nunits = \"mm\"\nmaterial = \"pla\"\n\
            settings = \"body\"\n[[part]]\nid = \"a\"\nmesh = \"a.stl\"\n";
        let kit = kit::read(text, "kit.toml", &rules::registry::ids()).expect("a kit");
        let panicked = parallel::caught(|| panic!("an index too far")).expect_err("a panic");
        let inspected = Inspected::panicked(&kit.parts[0], &panicked);
        let facts = vec![PartFacts {
            panicked: inspected.facts.panicked.clone(),
            ..PartFacts::of("a")
        }];
        let as_of = kit::Date::parse("2026-01-01").expect("a day");
        let purpose = Purpose::Check;
        let verdict = judge::judge(
            &kit,
            &facts,
            &Default::default(),
            None,
            purpose,
            None,
            as_of,
        );
        assert!(!verdict.ready);
        let finding = verdict
            .findings
            .iter()
            .find(|f| f.rule == "internal.fault")
            .expect("the finding");
        assert_eq!(finding.parts[0].id, "a");
        assert!(finding.reading.contains("an index too far"));
        assert!(verdict.not_measured.iter().any(|n| n.part == "a"));
        let proof = Proof {
            kit,
            text: text.to_string(),
            models: vec![inspected.model],
            facts,
            signed: None,
            prints: BTreeMap::new(),
            beside: Beside::default(),
            verdict,
            against: None,
            base_meshes: BTreeMap::new(),
            extent: Extent::Whole,
            as_of: "2026-01-01".into(),
            stopped: None,
        };
        assert_eq!(verdict_of(&proof, FailOn::Block), Outcome::Unfinished);
    }
}
