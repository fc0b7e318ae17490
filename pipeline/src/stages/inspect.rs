//! Inspect: everything that is measured on one part.

use kit::{Kit, Part};
use measure::ambiguity;
use measure::size::{self, Plate};
use measure::soundness::soundness;
use measure::{PartFacts, PromisePlate, crossing_facts, mirror, print, walls};
use mesh::Topology;
use mesh::tree::Tree;
use parallel::Panicked;

use crate::stages::load::{Loaded, Source};
use crate::stages::model::{Made, Model};

/// A part that was measured.
pub struct Inspected {
    /// What was measured.
    pub facts: PartFacts,
    /// Its mesh, where there is one.
    pub model: Model,
}

impl Inspected {
    /// A part on which the gate itself failed.
    pub fn panicked(part: &Part, panicked: &Panicked) -> Inspected {
        Inspected {
            facts: PartFacts {
                panicked: Some(panicked.to_string()),
                ..PartFacts::of(&part.id)
            },
            model: Model::default(),
        }
    }
}

/// Measures one part.
pub fn part(kit: &Kit, part: &Part, loaded: Loaded, source: Option<Source>) -> Inspected {
    let _span = tracing::info_span!("inspect", part = part.id.as_str()).entered();
    let mut facts = PartFacts::of(&part.id);
    let loading = match loaded.loading {
        Ok(loading) => loading,
        Err(fault) => {
            facts.loading = Some(Err(fault));
            return Inspected {
                facts,
                model: Model::default(),
            };
        }
    };
    let (mesh, tree) = {
        let _span = tracing::debug_span!("tree").entered();
        Tree::build(loaded.mesh)
    };
    let topology = {
        let _span = tracing::debug_span!("topology").entered();
        Topology::build(&mesh)
    };
    let crossings = {
        let _span = tracing::debug_span!("crossings").entered();
        crossing_facts(&mesh, &tree, &topology.shells.of_triangle)
    };
    facts.soundness = {
        let _span = tracing::debug_span!("soundness").entered();
        Some(soundness(
            &mesh,
            &topology,
            &loading.collapsed,
            loading.basis,
            crossings.complete.then_some(&crossings.shell_pairs),
            &rules::soundness_asks(),
        ))
    };
    facts.ambiguity = {
        let _span = tracing::debug_span!("ambiguity").entered();
        let doubtful = facts
            .soundness
            .as_ref()
            .is_none_or(|s| ambiguity::doubtful(s, &crossings));
        Some(if doubtful {
            let asks = rules::ambiguity_asks(kit, part);
            ambiguity::measure(&mesh, &topology.edges, &part.orientation.turn, &asks)
        } else {
            Ok(ambiguity::Ambiguity::default())
        })
    };
    facts.loading = Some(Ok(loading));
    facts.crossings = Some(crossings);
    let walls = {
        let _span = tracing::debug_span!("walls").entered();
        walls::measure(&mesh, &tree, &rules::wall::asks(kit, part))
    };
    facts.print = {
        let _span = tracing::debug_span!("print").entered();
        rules::print::asks(kit, part, &walls)
            .map(|asks| print::measure(&mesh, &topology.edges, &part.orientation.turn, &asks))
    };
    let edges = topology.edges;
    facts.walls = Some(walls);
    facts.mirror = loaded
        .image
        .and_then(|image| mirror::compare(&mesh, &tree, image));
    let settings = kit.settings_of(part);
    if let Some(size) = size::measure(&mesh, part.orientation.turn, settings.layer_mm) {
        for promise in kit.promises_for(part) {
            let [width_mm, depth_mm, height_mm] = promise.plate_mm;
            let plate = Plate {
                width_mm,
                depth_mm,
                height_mm,
                edge_margin_mm: promise.edge_margin_mm,
            };
            facts.on_plates.push(PromisePlate {
                promise: promise.id.clone(),
                plate: size::on_plate(&size, &plate, settings.brim_mm),
            });
        }
        facts.size = Some(size);
    }
    let made = Made {
        mesh,
        tree: Some(tree),
        edges,
    };
    Inspected {
        facts,
        model: Model::made_of(made, loaded.print, source),
    }
}
