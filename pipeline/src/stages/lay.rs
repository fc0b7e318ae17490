//! Lay: other ways to lay each part on the plate, once it is known what is seen of it.

use kit::Kit;
use measure::PartFacts;
use measure::orientation;

use crate::stages::inspect::Inspected;

/// Completes the facts of a kit's parts; the part of id `thorough` is looked at more closely.
pub fn lay(kit: &Kit, inspected: &[Inspected], facts: &mut [PartFacts], thorough: Option<&str>) {
    let _span = tracing::info_span!("lay").entered();
    let found = parallel::map_caught(inspected, |i, one| {
        let part = &kit.parts[i];
        let _span = tracing::debug_span!("orientation", part = part.id.as_str()).entered();
        let (tree, edges) = (one.tree.as_ref()?, one.edges.as_ref()?);
        let closer = thorough == Some(part.id.as_str());
        let asks = rules::orientation::asks(kit, part, facts[i].show.as_ref(), closer)?;
        let mass = &facts[i].soundness.as_ref()?.mass;
        orientation::search(&one.mesh, tree, edges, mass, &asks)
    });
    for (facts, found) in facts.iter_mut().zip(found) {
        match found {
            Ok(found) => facts.orientations = found,
            Err(panicked) => facts.panicked = Some(panicked.to_string()),
        }
    }
}
