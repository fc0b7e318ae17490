//! Arrow solids at the places of findings, a file a part: to lay beside the model in CAD.

use archive::plate::PrintMesh;
use archive::stl::Label;
use findings::Place;
use picture::marks::arrows;

use crate::proof::Proof;

/// A part has at most so many arrows; the worst places come first.
const MOST_ARROWS: usize = 60;

/// Parts with places, each with a binary STL in the mesh's own frame.
pub fn marks(proof: &Proof) -> Vec<(String, Vec<u8>)> {
    let mut out = Vec::new();
    for (part, model) in proof.kit.parts.iter().zip(&proof.models) {
        let places: Vec<Place> = proof
            .verdict
            .findings
            .iter()
            .filter(|f| f.parts.first().is_some_and(|p| p.id == part.id))
            .flat_map(|f| f.places.iter().cloned())
            .take(MOST_ARROWS)
            .collect();
        if places.is_empty() || model.mesh().triangles.is_empty() {
            continue;
        }
        let solid = arrows(model.mesh(), &places);
        let label = Label {
            kit: &proof.kit.id,
            revision: &proof.kit.revision.to_string(),
            part: &format!("marks-{}", part.id),
            part_rev: part.rev,
        };
        // Arrows stay in the mesh's own frame: they are laid beside the model, not printed.
        let solid = PrintMesh {
            vertices: solid.vertices,
            triangles: solid.triangles,
        };
        out.push((part.id.clone(), archive::stl::write(&solid, &label)));
    }
    out
}
