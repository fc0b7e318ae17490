//! Measured: a kit, or a shard of it, with all that is measured on it before anything is judged.

use std::collections::BTreeMap;
use std::path::PathBuf;

use kit::{Kit, Part, SignOff};
use measure::show::joint::JointLine;
use measure::{Beside, PartFacts};
use report::Extent;
use rules::signoff::Prints;

use crate::chosen;
use crate::outcome::Outcome;
use crate::proof::Request;
use crate::reuse::keys;
use crate::shard;
use crate::stages::inspect::{self, Inspected};
use crate::stages::load::{Loaded, Most, Source};
use crate::stages::look::{self, Wanted};
use crate::stages::model::Model;
use crate::stages::read::Opened;
use crate::stages::{lay, load, signed};

/// What was measured on a kit. Nothing of it is judged, and nothing of it depends on how it was shared out.
pub struct Measured {
    /// The kit, with the parts and promises that were asked for.
    pub kit: Kit,
    /// The manifest's text.
    pub text: String,
    /// The kit's folder.
    pub folder: PathBuf,
    /// Every part's mesh, in the manifest's order.
    pub models: Vec<Model>,
    /// Every part's facts, in the same order; empty ones for a part of another shard.
    pub facts: Vec<PartFacts>,
    /// Which parts are of this shard.
    pub own: Vec<bool>,
    /// Lines along which glued parts meet, each with the number of the part that it is told on.
    pub joints: Vec<(usize, JointLine)>,
    /// What the kit names besides its parts, and cannot be had.
    pub beside: Beside,
    /// What the designer signed off, if anything.
    pub signed: Option<SignOff>,
    /// What the parts are now, by id; empty where there is no sign-off.
    pub prints: BTreeMap<String, Prints>,
    /// How much was measured.
    pub extent: Extent,
    /// The outcome of a stop, if one was asked for.
    pub stopped: Option<Outcome>,
    /// How many parts' results were known before.
    pub reused: usize,
}

/// A part before it is measured.
enum Begun {
    /// It was measured before.
    Known(Box<PartFacts>, Model),
    /// Its mesh file was read.
    Loaded(Loaded, Option<Source>),
}

impl Begun {
    fn triangles(&self) -> u64 {
        match self {
            Begun::Known(facts, _) => facts.triangles().unwrap_or(0),
            Begun::Loaded(loaded, _) => loaded
                .loading
                .as_ref()
                .map_or(0, |l| l.triangles_filed as u64),
        }
    }

    /// The mesh of a part that another shard measures.
    fn elsewhere(self) -> Model {
        match self {
            Begun::Known(_, model) => model,
            Begun::Loaded(loaded, source) => match (loaded.print, source) {
                (Some(print), Some(source)) => Model::later(source, print),
                _ => Model::default(),
            },
        }
    }
}

/// Measures a kit, or the shard that was asked for. Stages of the whole kit run in the first shard.
///
/// # Errors
/// A request that names no part or promise of the kit, in words.
pub fn measure(opened: Opened, request: &Request) -> Result<Measured, String> {
    let Opened {
        kit,
        text,
        folder,
        signed,
    } = opened;
    let (mut kit, limited) = chosen::narrow(kit, request.parts, request.promises)?;
    let first = request.shard.is_none_or(|shard| shard.is_first());
    let begun = begin(&kit, &folder, request);
    let beside = if first {
        load::beside(&kit, &folder, Most::of_this_machine())
    } else {
        Beside::default()
    };
    let own = match request.shard {
        None => vec![true; kit.parts.len()],
        Some(shard) => {
            let weights: Vec<(&str, u64)> = kit
                .parts
                .iter()
                .zip(&begun)
                .map(|(part, begun)| {
                    let triangles = begun.as_ref().ok().and_then(Option::as_ref);
                    (part.id.as_str(), triangles.map_or(0, Begun::triangles))
                })
                .collect();
            shard::share(&weights, shard.of)
                .into_iter()
                .map(|of| of == shard.number)
                .collect()
        }
    };
    let inspected = inspect(&kit, begun, &own, request);
    let stopped = request.stop.asked();
    let whole = inspected.len();
    let done: Vec<bool> = inspected.iter().map(Option::is_some).collect();
    let inspected: Vec<(Inspected, bool)> = inspected.into_iter().flatten().collect();
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
    let mut known: Vec<bool> = inspected.iter().map(|(_, known)| *known).collect();
    let (mut facts, mut models): (Vec<PartFacts>, Vec<Model>) = inspected
        .into_iter()
        .map(|(one, _)| (one.facts, one.model))
        .unzip();
    let wanted = Wanted {
        parts: if stopped.is_some() {
            &vec![true; facts.len()]
        } else {
            &own
        },
        joints: first,
        whole: facts.len() == whole && !matches!(extent, Extent::Partial(_)),
    };
    let looked = look::look(&kit, &models, &wanted, request.store);
    for (facts, shown) in facts.iter_mut().zip(looked.shown) {
        facts.show = shown;
    }
    for (part, words) in looked.panicked {
        facts[part].panicked.get_or_insert(words);
    }
    let laid = lay::lay(
        &kit,
        &models,
        &mut facts,
        wanted.parts,
        request.thorough,
        request.store,
    );
    for (known, laid) in known.iter_mut().zip(laid) {
        *known &= laid;
    }
    models.iter_mut().for_each(Model::free_tree);
    let prints = match &signed {
        Some(_) => signed::prints(&kit, &folder),
        None => BTreeMap::new(),
    };
    Ok(Measured {
        reused: known.iter().filter(|known| **known).count(),
        joints: looked.joints,
        own,
        kit,
        text,
        folder,
        models,
        facts,
        beside,
        signed,
        prints,
        extent,
        stopped,
    })
}

/// Takes what is known of each part, else reads its mesh file. `None` after a request to stop.
fn begin(
    kit: &Kit,
    folder: &std::path::Path,
    request: &Request,
) -> Vec<Result<Option<Begun>, parallel::Panicked>> {
    let most = Most::of_this_machine();
    request.progress.stage("load", kit.parts.len());
    parallel::map_caught(&kit.parts, |_, part| {
        let begun = request.stop.asked().is_none().then(|| {
            let source = Source::of(kit, part, folder, most);
            known(kit, part, source.as_ref(), request).unwrap_or_else(|| {
                let _span = tracing::debug_span!("load", part = part.id.as_str()).entered();
                Begun::Loaded(load::part(source.as_ref()), source)
            })
        });
        request.progress.step(&part.id);
        begun
    })
}

fn known(kit: &Kit, part: &Part, source: Option<&Source>, request: &Request) -> Option<Begun> {
    if !request.store.is_kept() {
        return None;
    }
    let source = source?;
    let print = source.read()?;
    let facts: PartFacts = request.store.get(&keys::measured(&print, kit, part))?;
    let facts = PartFacts {
        id: part.id.clone(),
        ..facts
    };
    Some(Begun::Known(
        Box::new(facts),
        Model::later(source.clone(), print),
    ))
}

/// Measures each part of the shard alone; whether it was known before stands beside it. `None` where a request to
/// stop came first.
fn inspect(
    kit: &Kit,
    begun: Vec<Result<Option<Begun>, parallel::Panicked>>,
    own: &[bool],
    request: &Request,
) -> Vec<Option<(Inspected, bool)>> {
    let count = own.iter().filter(|own| **own).count();
    request.progress.stage("measure", count);
    let inspected = parallel::map_owned(begun, |i, begun| {
        let part = &kit.parts[i];
        let begun = match begun {
            Err(panicked) => return Some((Inspected::panicked(part, &panicked), false)),
            Ok(begun) => begun?,
        };
        if !own[i] {
            let elsewhere = Inspected {
                facts: PartFacts::of(&part.id),
                model: begun.elsewhere(),
            };
            return Some((elsewhere, false));
        }
        let inspected = match begun {
            Begun::Known(facts, model) => {
                let facts = *facts;
                Some((Inspected { facts, model }, true))
            }
            Begun::Loaded(loaded, source) => request.stop.asked().is_none().then(|| {
                let one = inspect::part(kit, part, loaded, source);
                if let Some(print) = one.model.print() {
                    let key = keys::measured(print, kit, part);
                    request.store.put(&key, &one.facts);
                }
                (one, false)
            }),
        };
        request.progress.step(&part.id);
        inspected
    });
    request.progress.done();
    inspected
        .into_iter()
        .zip(&kit.parts)
        .map(|(one, part)| {
            one.unwrap_or_else(|panicked| Some((Inspected::panicked(part, &panicked), false)))
        })
        .collect()
}
