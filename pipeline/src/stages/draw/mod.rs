//! Draw: pictures of parts and of findings, as inline SVG for the page; arrow solids for CAD.
//!
//! A picture that fails is left out and the report stands without it.

mod frame;
mod marks;
mod of_change;
mod of_finding;
mod of_layer;
mod of_part;
mod of_print;
mod of_show;

use std::collections::BTreeMap;

use findings::Finding;
use kit::{Kit, Part};
use measure::PartFacts;
use picture::Sights;
use report::{Figure, Figures};

use crate::proof::Proof;
use crate::reuse::{Store, keys};
use crate::stages::compare;
use crate::stages::model::Model;

pub use marks::marks;
pub use of_part::laid;

/// A report shows pictures of at most so many findings, the heaviest first: a page must open.
const MOST_FINDINGS: usize = 80;

/// The pictures of a part, and of each of its findings by the finding's name.
type OfPart = (Vec<Figure>, Vec<(String, Vec<Figure>)>);

/// The pictures of a report.
pub fn figures(proof: &Proof, store: &Store) -> Figures {
    let _span = tracing::info_span!("draw").entered();
    let kit = &proof.kit;
    let shown: Vec<&Finding> = proof.verdict.findings.iter().take(MOST_FINDINGS).collect();
    let drawn = parallel::map_caught(&proof.models, |i, model| {
        let part = &kit.parts[i];
        let _span = tracing::debug_span!("pictures", part = part.id.as_str()).entered();
        let facts = &proof.facts[i];
        let on_it: Vec<&Finding> = shown
            .iter()
            .filter(|f| f.parts.first().is_some_and(|p| p.id == part.id))
            .copied()
            .collect();
        let key = model
            .print()
            .and_then(|print| keys::drawn(print, kit, part, facts, &on_it));
        let of_part = store.or(key.as_ref(), || {
            // A mesh that is gone gives no pictures, and none to keep.
            model.make().ok()?;
            Some(of_part(kit, part, facts, model, &on_it))
        });
        (part.id.clone(), of_part.unwrap_or_default())
    });
    let mut figures = Figures {
        parts: BTreeMap::new(),
        findings: BTreeMap::new(),
        changes: changes(proof),
    };
    for (id, (of_part, of_findings)) in drawn.into_iter().flatten() {
        figures.parts.insert(id, of_part);
        figures.findings.extend(of_findings);
    }
    figures
}

fn of_part(
    kit: &Kit,
    part: &Part,
    facts: &PartFacts,
    model: &Model,
    findings: &[&Finding],
) -> OfPart {
    let mesh = model.mesh();
    let shown = facts.show.as_ref();
    let figures: Vec<Figure> = of_part::figure(kit, part, mesh)
        .into_iter()
        .chain(of_print::figure(kit, part, facts, mesh))
        .chain(shown.and_then(|show| of_show::figure(part, mesh, show)))
        .collect();
    let turn = part.orientation.turn;
    // Views from all around are taken once a part, and only where a place is to be shown.
    let sights = (!mesh.triangles.is_empty() && findings.iter().any(|f| !f.places.is_empty()))
        .then(|| Sights::of(mesh, &turn));
    let cuts = model.made().map(|made| of_layer::Cuts::of(made, turn));
    let of_findings = findings.iter().map(|f| {
        let figures =
            of_finding::figures(kit, part, facts, mesh, cuts.as_ref(), sights.as_ref(), f);
        (f.id.clone(), figures)
    });
    (figures, of_findings.collect())
}

/// The pictures of changed parts, by part.
pub fn changes(proof: &Proof) -> BTreeMap<String, Figure> {
    let Some(against) = &proof.against else {
        return BTreeMap::new();
    };
    let names = [&against.kit.revision, &proof.kit.revision].map(ToString::to_string);
    let drawn = parallel::map_caught(&proof.kit.parts, |i, part| {
        let pair = against.compared.pair(&part.id)?;
        let change = pair.change.as_ref().filter(|c| !c.regions.is_empty())?;
        let old = proof.base_meshes.get(pair.was.as_ref()?)?;
        let new = proof.models[i].mesh();
        let depths = compare::depths(old, new, change);
        let figure = of_change::figure(part, (old, &names[0]), (new, &names[1]), change, &depths)?;
        Some((part.id.clone(), figure))
    });
    drawn.into_iter().flatten().flatten().collect()
}
