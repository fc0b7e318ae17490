//! Inspect: everything that is measured on one part.

use kit::{Kit, Machine, Part};
use measure::size::{self, Plate};
use measure::{PartFacts, PromisePlate};
use mesh::tree::Tree;
use mesh::{MassProperties, Mesh};
use parallel::Panicked;

use crate::stages::load::Loaded;

/// A part that was measured.
pub struct Inspected {
    /// What was measured.
    pub facts: PartFacts,
    /// Its mesh, renumbered in space; empty where there is none.
    pub mesh: Mesh,
}

impl Inspected {
    /// A part on which the gate itself failed.
    pub fn panicked(part: &Part, panicked: &Panicked) -> Inspected {
        Inspected {
            facts: PartFacts {
                panicked: Some(panicked.to_string()),
                ..PartFacts::of(&part.id)
            },
            mesh: Mesh::default(),
        }
    }
}

/// Measures one part.
pub fn part(kit: &Kit, part: &Part, loaded: Loaded) -> Inspected {
    let _span = tracing::info_span!("inspect", part = part.id.as_str()).entered();
    let mut facts = PartFacts::of(&part.id);
    if loaded.loading.is_err() {
        facts.loading = Some(loaded.loading);
        return Inspected {
            facts,
            mesh: loaded.mesh,
        };
    }
    facts.loading = Some(loaded.loading);
    let (mesh, _tree) = Tree::build(loaded.mesh);
    facts.mass = Some(MassProperties::of(&mesh));
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
    Inspected { facts, mesh }
}
