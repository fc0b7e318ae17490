//! Look: what is only known once all parts of a kit are measured: what is seen of each in the assembled kit, and
//! which of them is most inclined to lift.

use kit::{FitKind, Kit, Part, Poses, Show};
use measure::PartFacts;
use measure::print::warp;
use measure::show::{self, Basis, Cone, Copy, Scene, ShowFacts, Which, joint, outlines};

use crate::stages::inspect::Inspected;

/// Completes the facts of a kit's parts. `whole` says that none of its parts is missing.
pub fn look(kit: &Kit, inspected: &[Inspected], facts: &mut [PartFacts], whole: bool) {
    let _span = tracing::info_span!("look").entered();
    warp::rank(facts, rules::warp::least_height_mm());
    let scene = Scene::new(copies(kit, inspected)).standing();
    let shown = parallel::map_caught(inspected, |i, one| {
        let part = &kit.parts[i];
        let _span = tracing::debug_span!("show", part = part.id.as_str()).entered();
        let (tree, edges) = (one.tree.as_ref()?, one.edges.as_ref()?);
        let asks = rules::show::asks(kit, part);
        let copies = rules::show::looked_at(scene.copies_of(i));
        let alone = Scene::new(
            Copy::of(i, &one.mesh, tree, AS_FILED, [0.0; 3])
                .into_iter()
                .collect(),
        );
        let cones: Vec<Cone>;
        let which = match &part.show {
            Show::Visible if whole && !copies.is_empty() => Which::Seen {
                scene: &scene,
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
        let mut shown = show::measure(&one.mesh, edges, turn, &which, &asks);
        if let Some(asks) = rules::show::outline_asks(kit, part) {
            let _span = tracing::debug_span!("outlines").entered();
            let on_show = outlines::Shown {
                mesh: &one.mesh,
                edges,
                tree,
                steps: &shown.steps,
            };
            (shown.brim, shown.starts) = outlines::measure(&on_show, turn, &asks);
        }
        Some(shown)
    });
    for (facts, shown) in facts.iter_mut().zip(shown) {
        match shown {
            Ok(shown) => facts.show = shown,
            Err(panicked) => facts.panicked = Some(panicked.to_string()),
        }
    }
    if whole {
        joints(kit, inspected, facts, &scene);
    }
}

/// Where parts of glued fits meet on show faces: told on the first part of each fit.
fn joints(kit: &Kit, inspected: &[Inspected], facts: &mut [PartFacts], scene: &Scene) {
    let _span = tracing::debug_span!("joints").entered();
    let number = |id: &str| kit.parts.iter().position(|p| p.id == id);
    for fit in kit.fits.iter().filter(|f| f.kind == FitKind::Glued) {
        let [Some(first), Some(second)] = [0, 1].map(|k| number(&fit.parts[k])) else {
            continue;
        };
        let side = |i: usize| {
            let shown: &ShowFacts = facts[i].show.as_ref()?;
            Some(joint::Side {
                part: i,
                mesh: &inspected[i].mesh,
                tree: inspected[i].tree.as_ref()?,
                steps: &shown.steps,
                sighted: shown.basis == Basis::Assembled,
            })
            .filter(|_| shown.basis != Basis::Alone)
        };
        let (Some(one), Some(other)) = (side(first), side(second)) else {
            continue;
        };
        let asks = rules::show::joint_asks(fit);
        let line = parallel::caught(|| joint::line(scene, &one, &other, &asks));
        match (line, &mut facts[first]) {
            (Ok(line), facts) => {
                if let Some(shown) = &mut facts.show {
                    shown.joints.extend(line);
                }
            }
            (Err(panicked), facts) => facts.panicked = Some(panicked.to_string()),
        }
    }
}

const AS_FILED: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

fn cone(direction: &kit::ShowDirection) -> Cone {
    Cone {
        toward: direction.toward,
        half_deg: direction.cone_deg,
    }
}

/// Every copy of every part where it sits.
fn copies<'a>(kit: &Kit, inspected: &'a [Inspected]) -> Vec<Copy<'a>> {
    let of = |i: usize, turn, move_mm| {
        let tree = inspected[i].tree.as_ref()?;
        Copy::of(i, &inspected[i].mesh, tree, turn, move_mm)
    };
    match kit.poses {
        Poses::AsModelled => (0..inspected.len())
            .filter_map(|i| of(i, AS_FILED, [0.0; 3]))
            .collect(),
        Poses::Listed => kit
            .placed
            .iter()
            .filter_map(|pose| {
                let is = |part: &Part| part.id == pose.part;
                Some((kit.parts.iter().position(is)?, pose))
            })
            .flat_map(|(i, pose)| pose.placements().into_iter().map(move |at| (i, at)))
            .filter_map(|(i, at)| of(i, at.turn, at.move_mm))
            .collect(),
    }
}
