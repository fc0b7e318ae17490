//! Compare: the base's parts against the present ones. Who belongs to whom, what changed on each surface, and which
//! of the faces that moved meet something.

use std::collections::BTreeMap;
use std::path::Path;

use findings::Verdict;
use kit::{Fit, Kit, Placement, Poses};
use mesh::Mesh;
use mesh::tree::Tree;
use revisions::{
    Body, Compared, Fingerprint, Found, Meets, MovedAt, Near, Pair, PartChange, Region, Rigid,
    Shape,
};
use rules::Against;
use rules::reprint;

use crate::proof::Proof;
use crate::reuse::{Store, keys};
use crate::stages::load;
use crate::stages::model::Model;

/// A mesh with its tree.
struct Solid {
    mesh: Mesh,
    tree: Tree,
}

impl Solid {
    fn of(mesh: &Mesh) -> Option<Solid> {
        if mesh.triangles.is_empty() {
            return None;
        }
        let (mesh, tree) = Tree::build(mesh.clone());
        Some(Solid { mesh, tree })
    }

    fn body(&self) -> Body<'_> {
        Body {
            mesh: &self.mesh,
            tree: &self.tree,
        }
    }
}

/// One side of the comparison.
pub struct Side<'a> {
    /// Its manifest.
    pub kit: &'a Kit,
    /// The mesh of every part, in the manifest's order.
    pub models: &'a [Model],
}

/// Compares a kit with its base. `folder` holds the present kit's references.
pub fn compare(
    from: String,
    base: Proof,
    present: &Side,
    now: &Verdict,
    folder: &Path,
    store: &Store,
) -> (Against, BTreeMap<String, Mesh>) {
    let _span = tracing::info_span!("compare").entered();
    let old = base.side();
    let mut pairs = pairs(&old, present, store);
    let changes = parallel::map_caught(&pairs, |_, pair| surfaces(pair, &old, present, store));
    for (pair, change) in pairs.iter_mut().zip(changes) {
        match change {
            Ok(Ok(change)) => pair.change = change,
            Ok(Err(why)) => pair.unmeasured = Some(why),
            Err(panicked) => pair.unmeasured = Some(panicked.to_string()),
        }
    }
    near(&mut pairs, present, folder);
    let changed: Vec<&String> = pairs
        .iter()
        .filter(|p| p.change.as_ref().is_some_and(|c| !c.regions.is_empty()))
        .filter_map(|p| p.was.as_ref())
        .collect();
    let models = old.kit.parts.iter().zip(old.models);
    let meshes = models
        .filter(|(part, _)| changed.contains(&&part.id))
        .map(|(part, model)| (part.id.clone(), model.mesh().clone()))
        .collect();
    let against = Against::of(
        from,
        (base.kit, base.facts, base.verdict),
        Compared { pairs },
        present.kit,
        now,
    );
    (against, meshes)
}

fn place(kit: &Kit, id: &str) -> Option<usize> {
    kit.parts.iter().position(|p| p.id == id)
}

/// Who belongs to whom: by id, by the earlier names that the manifest gives, then by shape among what is left.
fn pairs(old: &Side, present: &Side, store: &Store) -> Vec<Pair> {
    let mut taken = vec![false; old.kit.parts.len()];
    let mut found: Vec<Option<(usize, Found)>> = vec![None; present.kit.parts.len()];
    for (i, part) in present.kit.parts.iter().enumerate() {
        if let Some(at) = place(old.kit, &part.id) {
            taken[at] = true;
            found[i] = Some((at, Found::Id));
        }
    }
    for (i, part) in present.kit.parts.iter().enumerate() {
        let earlier = part.was.iter().filter_map(|was| place(old.kit, was));
        if found[i].is_none()
            && let Some(at) = earlier.into_iter().find(|at| !taken[*at])
        {
            taken[at] = true;
            found[i] = Some((at, Found::Was));
        }
    }
    by_shape(old, present, &mut found, &mut taken, store);
    let both = present.kit.parts.iter().zip(&found).map(|(part, found)| {
        let was = found.map(|(at, _)| old.kit.parts[at].id.clone());
        pair(
            Some(part.id.clone()),
            was,
            found.map_or(Found::Id, |(_, how)| how),
        )
    });
    let gone = old
        .kit
        .parts
        .iter()
        .zip(&taken)
        .filter(|(_, taken)| !**taken);
    let gone = gone.map(|(part, _)| pair(None, Some(part.id.clone()), Found::Id));
    both.chain(gone).collect()
}

fn pair(part: Option<String>, was: Option<String>, found: Found) -> Pair {
    Pair {
        part,
        was,
        found,
        change: None,
        unmeasured: None,
        near: Vec::new(),
    }
}

/// Parts under new names: those whose surface is the same. Shapes of one volume and size are few, so that only
/// they are laid over each other.
fn by_shape(
    old: &Side,
    present: &Side,
    found: &mut [Option<(usize, Found)>],
    taken: &mut [bool],
    store: &Store,
) {
    let shapes = |side: &Side, wanted: &dyn Fn(usize) -> bool| -> Vec<Option<Shape>> {
        let of = |(i, model): (usize, &Model)| {
            if !wanted(i) {
                return None;
            }
            let made = model.made()?;
            (!made.mesh.triangles.is_empty()).then(|| revisions::shape_of(&made.mesh))
        };
        side.models.iter().enumerate().map(of).collect()
    };
    let ours = shapes(present, &|i| found[i].is_none());
    let theirs = shapes(old, &|i| !taken[i]);
    let within = reprint::rename_asks();
    for (i, our) in ours.iter().enumerate() {
        let Some(our) = our else { continue };
        for (at, their) in theirs.iter().enumerate() {
            let alike = their
                .as_ref()
                .is_some_and(|t| revisions::alike(our, t, within));
            if !alike || taken[at] {
                continue;
            }
            let same = change(&old.models[at], &present.models[i], store)
                .is_some_and(|change| change.regions.is_empty());
            if same {
                taken[at] = true;
                found[i] = Some((at, Found::Shape));
                break;
            }
        }
    }
}

/// What changed between two surfaces. Identical files are the same by their hash, and no geometry is looked at.
fn change(old: &Model, new: &Model, store: &Store) -> Option<PartChange> {
    let prints = old.print().zip(new.print());
    if prints.is_some_and(|(old, new)| old == new) {
        return Some(PartChange::none());
    }
    let key = prints.map(|(old, new)| keys::compared(old, new));
    store.or(key.as_ref(), || {
        let (old, new) = (&old.make().ok()??.mesh, &new.make().ok()??.mesh);
        if Fingerprint::of(old) == Fingerprint::of(new) {
            return Some(PartChange::none());
        }
        let (old, new) = (Solid::of(old)?, Solid::of(new)?);
        Some(revisions::compare(
            old.body(),
            new.body(),
            &reprint::surface_asks(),
        ))
    })
}

/// What changed between the surfaces of a pair.
fn surfaces(
    pair: &Pair,
    old: &Side,
    present: &Side,
    store: &Store,
) -> Result<Option<PartChange>, String> {
    let (Some(part), Some(was)) = (&pair.part, &pair.was) else {
        return Ok(None);
    };
    let _span = tracing::debug_span!("deviation", part = part.as_str()).entered();
    let model = |side: &Side, id: &str, which: &str| -> Result<usize, String> {
        let none = || format!("{which} part has no mesh that can be read");
        let i = place(side.kit, id).ok_or_else(none)?;
        // What is known by its hash need not be made; what has none must be there.
        let there = side.models[i].print().is_some() || !side.models[i].mesh().triangles.is_empty();
        there.then_some(i).ok_or_else(none)
    };
    let (at, i) = (
        model(old, was, "the old")?,
        model(present, part, "the new")?,
    );
    change(&old.models[at], &present.models[i], store)
        .map(Some)
        .ok_or_else(|| "one of the two parts has no mesh that can be read".into())
}

/// A body that stands in the assembled kit.
struct Standing {
    id: String,
    solid: Solid,
    placed: Vec<Placement>,
}

/// Where a part or reference stands in the assembled kit.
fn placed(kit: &Kit, id: &str) -> Vec<Placement> {
    match kit.poses {
        Poses::AsModelled => vec![Placement::AS_FILED],
        Poses::Listed => kit
            .placed
            .iter()
            .filter(|pose| pose.part == id)
            .flat_map(kit::Pose::placements)
            .collect(),
    }
}

/// From one placed body's own frame into another's.
fn between(from: &Placement, to: &Placement) -> Rigid {
    let turn: [[f64; 3]; 3] = std::array::from_fn(|r| {
        std::array::from_fn(|c| (0..3).map(|k| to.turn[k][r] * from.turn[k][c]).sum())
    });
    let apart: [f64; 3] = std::array::from_fn(|k| from.move_mm[k] - to.move_mm[k]);
    Rigid {
        turn,
        move_mm: std::array::from_fn(|r| (0..3).map(|k| to.turn[k][r] * apart[k]).sum()),
    }
}

/// Says of every changed part which of its neighbours, fits and holes meet a face that moved.
fn near(pairs: &mut [Pair], present: &Side, folder: &Path) {
    let kit = present.kit;
    let changed: Vec<String> = pairs
        .iter()
        .filter(|p| p.change.as_ref().is_some_and(|c| !c.regions.is_empty()))
        .filter_map(|p| p.part.clone())
        .collect();
    if changed.is_empty() {
        return;
    }
    let standing = standing(present, folder);
    for pair in pairs {
        let (Some(part), Some(change)) = (&pair.part, &pair.change) else {
            continue;
        };
        if change.regions.is_empty() {
            continue;
        }
        let mut met = neighbours(part, &change.moved_at, kit, &standing);
        met.extend(without_poses(part, &change.regions, kit));
        met.extend(holes(part, &change.moved_at, kit));
        pair.near = met;
    }
}

/// Every part and reference that stands somewhere.
fn standing(present: &Side, folder: &Path) -> Vec<Standing> {
    let kit = present.kit;
    let most = load::Most::of_this_machine();
    let parts = kit
        .parts
        .iter()
        .zip(present.models)
        .filter_map(|(part, model)| {
            let placed = placed(kit, &part.id);
            let solid = (!placed.is_empty())
                .then(|| Solid::of(model.mesh()))
                .flatten()?;
            Some(Standing {
                id: part.id.clone(),
                solid,
                placed,
            })
        });
    let references = kit.references.iter().filter_map(|reference| {
        let placed = placed(kit, &reference.id);
        if placed.is_empty() {
            return None;
        }
        let loaded = load::mesh_file(&reference.mesh, reference.unit, folder, most);
        Some(Standing {
            id: reference.id.clone(),
            solid: Solid::of(&loaded.mesh)?,
            placed,
        })
    });
    parts.chain(references).collect()
}

/// The posed neighbours of a part that a moved face meets, the furthest move of each.
fn neighbours(part: &str, moved: &[MovedAt], kit: &Kit, standing: &[Standing]) -> Vec<Near> {
    let reach = reprint::within_reach_mm();
    let own = placed(kit, part);
    let mut found = Vec::new();
    for other in standing {
        let mut worst: Option<(f64, [f64; 3])> = None;
        for (i, from) in own.iter().enumerate() {
            for (j, to) in other.placed.iter().enumerate() {
                // A copy is no neighbour of itself.
                if other.id == part && i == j {
                    continue;
                }
                let met =
                    revisions::moved_near(moved, &other.solid.body(), &between(from, to), reach);
                if let Some(met) = met
                    && worst.is_none_or(|w| met.0.abs() > w.0.abs())
                {
                    worst = Some(met);
                }
            }
        }
        let Some((moved_mm, at)) = worst else {
            continue;
        };
        let fits: Vec<&Fit> = fits(kit, part, &other.id).collect();
        let meets = |fit: &&Fit| Meets::Fit(fit.id.clone());
        let all = if fits.is_empty() {
            vec![Meets::Neighbour]
        } else {
            fits.iter().map(meets).collect()
        };
        found.extend(all.into_iter().map(|meets| Near {
            neighbour: other.id.clone(),
            meets,
            moved_mm,
            at,
        }));
    }
    found
}

fn fits<'a>(kit: &'a Kit, part: &'a str, other: &'a str) -> impl Iterator<Item = &'a Fit> {
    kit.fits.iter().filter(move |fit| {
        let [a, b] = &fit.parts;
        (a == part && b == other) || (b == part && a == other)
    })
}

/// Fits of which one side stands nowhere: any face may be the one that meets.
fn without_poses(part: &str, regions: &[Region], kit: &Kit) -> Vec<Near> {
    let Some(deepest) = regions
        .iter()
        .max_by(|a, b| a.depth_mm.abs().total_cmp(&b.depth_mm.abs()))
    else {
        return Vec::new();
    };
    let mut stands = BTreeMap::new();
    let mut is_placed = |id: &str| {
        *stands
            .entry(id.to_string())
            .or_insert_with(|| !placed(kit, id).is_empty())
    };
    let mut found = Vec::new();
    for fit in &kit.fits {
        let [a, b] = &fit.parts;
        let other = match part {
            _ if a == part => b,
            _ if b == part => a,
            _ => continue,
        };
        if is_placed(part) && is_placed(other) {
            continue;
        }
        found.push(Near {
            neighbour: other.clone(),
            meets: Meets::FitWithoutPose(fit.id.clone()),
            moved_mm: deepest.depth_mm,
            at: deepest.at,
        });
    }
    found
}

/// Declared holes whose faces moved.
fn holes(part: &str, moved: &[MovedAt], kit: &Kit) -> Vec<Near> {
    kit.holes
        .iter()
        .filter(|hole| hole.part == part)
        .filter_map(|hole| {
            let reach = reprint::hole_reach_mm(hole);
            let (moved_mm, at) = revisions::moved_about(moved, hole.at, hole.axis, reach)?;
            Some(Near {
                neighbour: String::new(),
                meets: Meets::Hole(
                    hole.takes
                        .clone()
                        .unwrap_or_else(|| "a declared hole".into()),
                ),
                moved_mm,
                at,
            })
        })
        .collect()
}

/// How far the middle of every facet of a new part lies from the old one, mm; negative where it lies within the
/// tolerance. (A corner that borders on what did not move says nothing of its facet.)
pub fn depths(old: &Mesh, new: &Mesh, change: &PartChange) -> Vec<f32> {
    let Some(old) = Solid::of(old) else {
        return Vec::new();
    };
    let same = reprint::surface_asks().same_mm as f32;
    let middle = |t: &[u32; 3]| -> [f32; 3] {
        let corners = t.map(|v| new.vertices[v as usize]);
        std::array::from_fn(|k| corners.iter().map(|c| c[k]).sum::<f32>() / corners.len() as f32)
    };
    let middles = Mesh::new(new.triangles.iter().map(middle).collect(), Vec::new());
    let at = Body {
        mesh: &middles,
        tree: &old.tree,
    };
    revisions::field(at, old.body(), &change.onto)
        .into_iter()
        .map(|depth| {
            if depth.abs() > same {
                depth.abs()
            } else {
                -1.0
            }
        })
        .collect()
}
