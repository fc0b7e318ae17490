//! Lay: other ways to lay each part on the plate, once it is known what is seen of it.

use kit::Kit;
use measure::PartFacts;
use measure::orientation::{self, Orientations};

use crate::reuse::{Store, keys};
use crate::stages::model::Model;

/// Completes the facts of the parts that are wanted; the part of id `thorough` is looked at more closely. Which parts'
/// results were known before is told.
pub fn lay(
    kit: &Kit,
    models: &[Model],
    facts: &mut [PartFacts],
    wanted: &[bool],
    thorough: Option<&str>,
    store: &Store,
) -> Vec<bool> {
    let _span = tracing::info_span!("lay").entered();
    let found = parallel::map_caught(
        models,
        |i, model| -> Result<(Option<Orientations>, bool), String> {
            if !wanted[i] {
                return Ok((None, false));
            }
            let part = &kit.parts[i];
            let facts = &facts[i];
            let _span = tracing::debug_span!("orientation", part = part.id.as_str()).entered();
            let closer = thorough == Some(part.id.as_str());
            let shown = facts.show.as_ref();
            let key = model
                .print()
                .and_then(|print| keys::laid(print, kit, part, shown, closer));
            if let Some(known) = key.as_ref().and_then(|key| store.get(key)) {
                return Ok((known, true));
            }
            let searched = search(kit, i, model, facts, closer)?;
            if let Some(key) = key.filter(|_| facts.soundness.is_some()) {
                store.put(&key, &searched);
            }
            Ok((searched, false))
        },
    );
    let mut known = Vec::new();
    for (facts, found) in facts.iter_mut().zip(found) {
        known.push(matches!(&found, Ok(Ok((_, true)))));
        match found {
            Ok(Ok((found, _))) => facts.orientations = found,
            Ok(Err(words)) => facts.panicked = Some(words),
            Err(panicked) => facts.panicked = Some(panicked.to_string()),
        }
    }
    known
}

fn search(
    kit: &Kit,
    i: usize,
    model: &Model,
    facts: &PartFacts,
    closer: bool,
) -> Result<Option<Orientations>, String> {
    let asks = rules::orientation::asks(kit, &kit.parts[i], facts.show.as_ref(), closer);
    let (Some(asks), Some(sound)) = (asks, &facts.soundness) else {
        return Ok(None);
    };
    let made = model.make()?;
    Ok(made.and_then(|made| {
        let tree = made.tree.as_ref()?;
        orientation::search(&made.mesh, tree, &made.edges, &sound.mass, &asks)
    }))
}
