//! Draft: what `new` guesses of a mesh, each guess with what it rests on.

use std::path::Path;

use kit::{DraftPart, Guess, MeshFile, Unit, count_from_name};
use measure::resting::restings;
use mesh::tree::Tree;

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
    let (mesh, _) = Tree::build(mesh);
    draft.size_mm = mesh.bounds().map(|b| b.size());
    let found = restings(&mesh, 12);
    let as_filed = found
        .iter()
        .find(|r| r.up == [0.0, 0.0, 1.0])
        .map_or(0.0, |r| r.contact_mm2);
    if let Some(best) = found.first()
        && rules::rests_clearly_better(best.contact_mm2, as_filed)
    {
        draft.up = Some(Guess {
            value: best.up,
            because: format!(
                "rests on {:.0} mm2 that way, on {:.0} mm2 as filed",
                best.contact_mm2, as_filed
            ),
        });
    }
    draft
}
