//! One kit from its folder to its verdict: the stages in the order of the data's flow.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use findings::Verdict;
use kit::Kit;
use measure::{Beside, PartFacts};
use mesh::Mesh;
use report::{Checked, Extent};
use rules::signoff::{Prints, Signed};
use rules::{Against, Purpose};

use crate::outcome::Outcome;
use crate::progress::Progress;
use crate::stages::base::Base;
use crate::stages::compare::{self, Side};
use crate::stages::inspect::Inspected;
use crate::stages::load;
use crate::stages::read::Opened;
use crate::stages::{inspect, judge, lay, look, signed};
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
    /// Every part's facts and mesh, in the manifest's order.
    pub inspected: Vec<Inspected>,
    /// The facts alone, as rules and views take them.
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
            meshes: self.inspected.iter().map(|i| &i.mesh).collect(),
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
    let Opened {
        kit,
        text,
        folder,
        signed,
    } = opened;
    let (mut kit, limited) = narrow(kit, request)?;
    let progress = request.progress;
    let most = load::Most::of_this_machine();

    progress.stage("load", kit.parts.len());
    let loaded = parallel::map_caught(&kit.parts, |_, part| {
        let loaded = request
            .stop
            .asked()
            .is_none()
            .then(|| load::part(&kit, part, &folder, most));
        progress.step(&part.id);
        loaded
    });
    let beside = load::beside(&kit, &folder, most);

    progress.stage("measure", kit.parts.len());
    let inspected = parallel::map_owned(loaded, |i, loaded| {
        let part = &kit.parts[i];
        let inspected = match loaded {
            Ok(Some(loaded)) if request.stop.asked().is_none() => {
                Some(inspect::part(&kit, part, loaded))
            }
            Ok(_) => None,
            Err(panicked) => Some(Inspected::panicked(part, &panicked)),
        };
        progress.step(&part.id);
        inspected
    });
    let inspected: Vec<Option<Inspected>> = inspected
        .into_iter()
        .zip(&kit.parts)
        .map(|(r, part)| r.unwrap_or_else(|panicked| Some(Inspected::panicked(part, &panicked))))
        .collect();
    progress.done();

    let stopped = request.stop.asked();
    let whole = inspected.len();
    let done: Vec<bool> = inspected.iter().map(Option::is_some).collect();
    let mut inspected: Vec<Inspected> = inspected.into_iter().flatten().collect();
    let extent = if inspected.len() < whole {
        let words = format!(
            "stopped: {} of {whole} parts were measured; the others are not judged",
            inspected.len()
        );
        let mut keep = done.into_iter();
        kit.parts.retain(|_| keep.next().unwrap_or(false));
        Extent::Incomplete(words)
    } else {
        limited
    };
    let mut facts: Vec<PartFacts> = inspected
        .iter_mut()
        .map(|i| std::mem::take(&mut i.facts))
        .collect();
    let complete = facts.len() == whole && !matches!(extent, Extent::Partial(_));
    look::look(&kit, &inspected, &mut facts, complete);
    lay::lay(&kit, &inspected, &mut facts, request.thorough);
    for one in &mut inspected {
        one.tree = None;
    }
    let prints = match &signed {
        Some(_) => signed::prints(&kit, &folder),
        None => BTreeMap::new(),
    };
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
                meshes: inspected.iter().map(|i| &i.mesh).collect(),
            };
            let old = prove(base.opened.clone(), &request.of_base())?;
            let (against, meshes) =
                compare::compare(base.from.clone(), old, &side, &alone, &folder);
            base_meshes = meshes;
            Some(against)
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
        inspected,
        facts,
        verdict,
        extent,
        stopped,
    })
}

/// The kit with only what was asked for.
fn narrow(mut kit: Kit, request: &Request) -> Result<(Kit, Extent), String> {
    let mut words = Vec::new();
    if !request.promises.is_empty() {
        for id in request.promises {
            if kit.promise(id).is_none() {
                let known: Vec<&str> = kit.promises.iter().map(|p| p.id.as_str()).collect();
                return Err(format!(
                    "--promise {id}: no such promise; this kit has {}",
                    known.join(", ")
                ));
            }
        }
        kit.promises.retain(|p| request.promises.contains(&p.id));
        words.push(format!("on {} only", request.promises.join(", ")));
    }
    if !request.parts.is_empty() {
        let all = kit.parts.len();
        for glob in request.parts {
            if !kit.parts.iter().any(|p| matches(glob, &p.id)) {
                return Err(format!(
                    "--part {glob}: no part of that name; `kitproof list parts --kit DIR` lists them"
                ));
            }
        }
        let chosen: Vec<bool> = kit
            .parts
            .iter()
            .map(|p| request.parts.iter().any(|g| matches(g, &p.id)))
            .collect();
        let count = chosen.iter().filter(|c| **c).count();
        words.push(format!("{count} of {all} parts"));
        return Ok((
            only(kit, &chosen),
            Extent::Partial(format!("a partial check: {}", words.join(", "))),
        ));
    }
    let extent = if words.is_empty() {
        Extent::Whole
    } else {
        Extent::Partial(format!("a partial check: {}", words.join(", ")))
    };
    Ok((kit, extent))
}

/// The kit with the chosen parts; what a chosen part mirrors is given to it as a mesh of its own would be.
fn only(mut kit: Kit, chosen: &[bool]) -> Kit {
    let needed: Vec<bool> = kit
        .parts
        .iter()
        .enumerate()
        .map(|(i, p)| {
            chosen[i]
                || kit
                    .parts
                    .iter()
                    .zip(chosen)
                    .any(|(q, c)| *c && q.mesh.is_none() && kit.source_of(q).0.id == p.id)
        })
        .collect();
    let mut keep = needed.into_iter();
    kit.parts.retain(|_| keep.next().unwrap_or(false));
    kit
}

/// Whether a part's id matches a glob: `*` stands for any letters, all else for itself.
pub fn matches(glob: &str, id: &str) -> bool {
    let mut pieces = glob.split('*');
    let first = pieces.next().unwrap_or("");
    let Some(mut rest) = id.strip_prefix(first) else {
        return false;
    };
    let mut last: Option<&str> = None;
    for piece in pieces {
        if let Some(before) = last.take()
            && !before.is_empty()
        {
            let Some(at) = rest.find(before) else {
                return false;
            };
            rest = &rest[at + before.len()..];
        }
        last = Some(piece);
    }
    match last {
        None => rest.is_empty(),
        Some(tail) => rest.ends_with(tail),
    }
}

/// Where kits' outputs go.
pub struct Outputs<'a> {
    /// The folder that was asked for.
    asked: Option<&'a Path>,
    /// Whether it gets a folder a kit.
    several: bool,
    /// How often a kit's id was seen: two kits of one id keep apart.
    seen: BTreeMap<String, u32>,
}

impl<'a> Outputs<'a> {
    /// Outputs of one or of several kits.
    pub fn new(asked: Option<&'a Path>, several: bool) -> Outputs<'a> {
        Outputs {
            asked,
            several,
            seen: BTreeMap::new(),
        }
    }

    /// The folder of one kit's outputs: `name` within the kit where nothing was asked for.
    pub fn of(&mut self, folder: &Path, kit_id: &str, name: &str) -> PathBuf {
        match self.asked {
            None => folder.join(name),
            Some(dir) if self.several => {
                let times = self.seen.entry(kit_id.to_string()).or_default();
                *times += 1;
                if *times == 1 {
                    dir.join(kit_id)
                } else {
                    dir.join(format!("{kit_id}-{times}"))
                }
            }
            Some(dir) => dir.to_path_buf(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::args::FailOn;
    use crate::check::verdict_of;

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
            inspected: vec![inspected],
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

    #[test]
    fn globs() {
        assert!(matches("door-*", "door-left"));
        assert!(matches("*", "x"));
        assert!(matches("*-left", "door-left"));
        assert!(matches("d*-*t", "door-left"));
        assert!(!matches("door", "door-left"));
        assert!(!matches("*right", "door-left"));
        assert!(!matches("door-left*x", "door-left"));
    }
}
