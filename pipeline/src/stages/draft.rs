//! Draft: what `new` guesses of a mesh, each guess with what it rests on.

use std::path::Path;

use kit::{DraftPart, Guess, MeshFile, Unit, count_from_name};
use measure::orientation::{self, Orientations};
use measure::resting::restings;
use mesh::tree::Tree;
use mesh::{Edges, MassProperties, Mesh};

use crate::stages::load::{self, Most};

/// What can be told of one mesh of a folder.
pub fn part(folder: &Path, path: &str, most: Most) -> DraftPart {
    let file = MeshFile {
        path: path.to_string(),
        object: None,
    };
    // Read as millimetres first: a file that states its own unit keeps it.
    let loaded = load::mesh_file(&file, Some(Unit::Mm), folder, most);
    let mut draft = DraftPart {
        path: path.to_string(),
        size_mm: None,
        unit: None,
        count: count_from_name(path),
        up: None,
    };
    let Ok(loading) = loaded.loading else {
        return draft;
    };
    let mut scale = 1.0;
    if !loading.unit_in_file {
        let (unit, because) = rules::guess_unit(loading.largest_side_filed);
        scale = unit.millimetres();
        draft.unit = Some(Guess {
            value: unit,
            because,
        });
    }
    let mut mesh = loaded.mesh;
    if scale != 1.0 {
        for x in mesh.vertices.iter_mut().flatten() {
            *x = (f64::from(*x) * scale) as f32;
        }
    }
    let (mesh, tree) = Tree::build(mesh);
    draft.size_mm = mesh.bounds().map(|b| b.size());
    let resting = restings(&mesh, 12);
    let found = other_ways(&draft, &mesh, &tree);
    draft.up =
        rules::guess_up(&resting, found.as_ref()).map(|(value, because)| Guess { value, because });
    draft
}

/// Other ways to lay a part than as filed, by the settings and the promise of the draft.
fn other_ways(draft: &DraftPart, mesh: &Mesh, tree: &Tree) -> Option<Orientations> {
    let text = kit::draft(std::slice::from_ref(draft), "draft");
    let kit = kit::read(&text, "kit.toml", &rules::registry::ids()).ok()?;
    let part = kit.parts.first()?;
    let asks = rules::orientation::asks(&kit, part, None, false)?;
    let mass = MassProperties::of(mesh).into();
    orientation::search(mesh, tree, &Edges::build(mesh), &mass, &asks)
}
