//! Look: what is only known once all parts of a kit are at hand: what is seen of each in the assembled kit, and where
//! glued parts meet.

use kit::{Fit, FitKind, Kit, Part, Placement, Poses, Show};
use measure::show::joint::JointLine;
use measure::show::{self, Basis, Cone, Copy, Scene, ShowFacts, Which, joint, outlines};

use crate::reuse::{Key, Store, keys};
use crate::stages::model::Model;

/// What is on show of a kit's parts, where its glued parts meet, and how much of it was known before.
pub struct Looked {
    /// By part; `None` where nobody could look, or was not asked to.
    pub shown: Vec<Option<ShowFacts>>,
    /// By glued fit, in the manifest's order: the number of its first part, and the line.
    pub joints: Vec<(usize, JointLine)>,
    /// What went wrong, by part: the words of a panic.
    pub panicked: Vec<(usize, String)>,
}

/// Who is looked at.
pub struct Wanted<'a> {
    /// The parts whose show faces are wanted.
    pub parts: &'a [bool],
    /// Whether the lines of the joints are wanted.
    pub joints: bool,
    /// Whether none of the kit's parts is missing.
    pub whole: bool,
}

/// Looks at the parts of a kit.
pub fn look(kit: &Kit, models: &[Model], wanted: &Wanted, store: &Store) -> Looked {
    let _span = tracing::info_span!("look").entered();
    let copies = copies(kit, models);
    let prints: Vec<_> = copies
        .iter()
        .map(|(i, at)| (*i, models[*i].print().copied(), *at))
        .collect();
    let scene_key = keys::scene(&prints);
    let glued = if wanted.joints && wanted.whole {
        glued(kit)
    } else {
        Vec::new()
    };
    let is_seen = |i: usize| {
        wanted.whole && kit.parts[i].show == Show::Visible && copies.iter().any(|(k, _)| *k == i)
    };
    let key = |i: usize| {
        let part = &kit.parts[i];
        let seen_in = is_seen(i).then_some((&scene_key, i));
        Some(keys::shown(models[i].print()?, kit, part, seen_in))
    };
    let keys: Vec<Option<Key>> = (0..kit.parts.len()).map(key).collect();
    let sides = |i: usize| glued.iter().any(|(_, pair)| pair.contains(&i));
    let asked: Vec<bool> = (0..kit.parts.len())
        .map(|i| wanted.parts[i] || sides(i))
        .collect();
    let known = parallel::map(&keys, |i, key| {
        store.get::<Option<ShowFacts>>(key.as_ref().filter(|_| asked[i])?)
    });
    let joint_keys: Vec<Option<Key>> = glued
        .iter()
        .map(|(fit, [a, b])| {
            let sides = [keys[*a].as_ref()?, keys[*b].as_ref()?];
            Some(keys::joined(fit, [*a, *b], &scene_key, sides))
        })
        .collect();
    let known_joints: Vec<Option<Option<JointLine>>> = joint_keys
        .iter()
        .map(|key| store.get(key.as_ref()?))
        .collect();
    let mut looked = Looked {
        shown: Vec::new(),
        joints: Vec::new(),
        panicked: Vec::new(),
    };
    let unknown = |i: usize| asked[i] && known[i].is_none();
    let unseen = (0..kit.parts.len()).any(|i| unknown(i) && is_seen(i))
        || known_joints.iter().any(Option::is_none);
    // The scene is every part that stands in it; it is only built where something of it is not known.
    let needed: Vec<usize> = (0..kit.parts.len())
        .filter(|&i| unknown(i) || (unseen && copies.iter().any(|(k, _)| *k == i)))
        .collect();
    for (i, made) in needed
        .iter()
        .zip(parallel::map(&needed, |_, i| models[*i].make().map(drop)))
    {
        if let Err(words) = made {
            looked.panicked.push((*i, words));
        }
    }
    let in_scene = |(i, at): &(usize, Placement)| {
        let made = models[*i].made().filter(|_| unseen)?;
        Copy::of(*i, &made.mesh, made.tree.as_ref()?, at.turn, at.move_mm)
    };
    let scene = Scene::new(copies.iter().filter_map(in_scene).collect()).standing();
    // A mesh that could not be had is missing from the scene: nothing that was seen without it is kept.
    let kept = looked.panicked.is_empty();
    let found = parallel::map_owned(known, |i, known| {
        if known.is_some() || !asked[i] {
            return known.flatten();
        }
        let shown = of_part(kit, i, models, &scene, is_seen(i));
        if let Some(key) = keys[i].as_ref().filter(|_| kept) {
            store.put(key, &shown);
        }
        shown
    });
    for (i, found) in found.into_iter().enumerate() {
        looked.shown.push(found.unwrap_or_else(|panicked| {
            looked.panicked.push((i, panicked.to_string()));
            None
        }));
    }
    for (((fit, pair), key), known) in glued.iter().zip(joint_keys).zip(known_joints) {
        let line = match known {
            Some(line) => Ok(line),
            None => {
                let line = parallel::caught(|| joint(fit, *pair, models, &looked.shown, &scene));
                if let (Some(key), Ok(line)) = (key.filter(|_| kept), &line) {
                    store.put(&key, line);
                }
                line
            }
        };
        match line {
            Ok(line) => looked.joints.extend(line.map(|line| (pair[0], line))),
            Err(panicked) => looked.panicked.push((pair[0], panicked.to_string())),
        }
    }
    // What was looked at for the joints alone belongs to somebody else.
    for (shown, wanted) in looked.shown.iter_mut().zip(wanted.parts) {
        if !wanted {
            *shown = None;
        }
    }
    looked
}

/// What is on show of one part, alone or seen among the others.
fn of_part(kit: &Kit, i: usize, models: &[Model], scene: &Scene, seen: bool) -> Option<ShowFacts> {
    let part = &kit.parts[i];
    let _span = tracing::debug_span!("show", part = part.id.as_str()).entered();
    let made = models[i].made()?;
    let (mesh, edges, tree) = (&made.mesh, &made.edges, made.tree.as_ref()?);
    let asks = rules::show::asks(kit, part);
    let copies = rules::show::looked_at(scene.copies_of(i));
    let alone = Scene::new(
        Copy::of(
            i,
            mesh,
            tree,
            Placement::AS_FILED.turn,
            Placement::AS_FILED.move_mm,
        )
        .into_iter()
        .collect(),
    );
    let cones: Vec<Cone>;
    let which = match &part.show {
        Show::Visible if seen && !copies.is_empty() => Which::Seen {
            scene,
            copies: &copies,
            assembled: true,
        },
        Show::Visible => Which::Seen {
            scene: &alone,
            copies: &[0],
            assembled: false,
        },
        Show::All => Which::Every,
        Show::None => Which::Nothing,
        Show::Directions(list) => {
            cones = list.iter().map(cone).collect();
            Which::Along(&cones)
        }
    };
    let turn = &part.orientation.turn;
    let mut shown = show::measure(mesh, edges, turn, &which, &asks);
    if let Some(asks) = rules::show::outline_asks(kit, part) {
        let _span = tracing::debug_span!("outlines").entered();
        let on_show = outlines::Shown {
            mesh,
            edges,
            tree,
            steps: &shown.steps,
        };
        (shown.brim, shown.starts) = outlines::measure(&on_show, turn, &asks);
    }
    Some(shown)
}

/// The glued fits between two parts, with the numbers of both.
fn glued(kit: &Kit) -> Vec<(&Fit, [usize; 2])> {
    let number = |id: &str| kit.parts.iter().position(|p| p.id == id);
    kit.fits
        .iter()
        .filter(|fit| fit.kind == FitKind::Glued)
        .filter_map(|fit| Some((fit, [number(&fit.parts[0])?, number(&fit.parts[1])?])))
        .collect()
}

/// The line along which two glued parts meet on show faces.
fn joint(
    fit: &Fit,
    pair: [usize; 2],
    models: &[Model],
    shown: &[Option<ShowFacts>],
    scene: &Scene,
) -> Option<JointLine> {
    let _span = tracing::debug_span!("joint", fit = fit.id.as_str()).entered();
    let side = |i: usize| {
        let shown: &ShowFacts = shown[i].as_ref()?;
        let made = models[i].made()?;
        Some(joint::Side {
            part: i,
            mesh: &made.mesh,
            tree: made.tree.as_ref()?,
            steps: &shown.steps,
            sighted: shown.basis == Basis::Assembled,
        })
        .filter(|_| shown.basis != Basis::Alone)
    };
    joint::line(
        scene,
        &side(pair[0])?,
        &side(pair[1])?,
        &rules::show::joint_asks(fit),
    )
}

fn cone(direction: &kit::ShowDirection) -> Cone {
    Cone {
        toward: direction.toward,
        half_deg: direction.cone_deg,
    }
}

/// Where every copy of every part sits, by the part's number.
fn copies(kit: &Kit, models: &[Model]) -> Vec<(usize, Placement)> {
    match kit.poses {
        Poses::AsModelled => (0..models.len())
            .map(|i| (i, Placement::AS_FILED))
            .collect(),
        Poses::Listed => kit
            .placed
            .iter()
            .filter_map(|pose| {
                let is = |part: &Part| part.id == pose.part;
                Some((kit.parts.iter().position(is)?, pose))
            })
            .flat_map(|(i, pose)| pose.placements().into_iter().map(move |at| (i, at)))
            .collect(),
    }
}
