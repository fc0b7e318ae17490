//! The parts of a bundle that are to be printed again, in a zip of their own: for builders of an earlier release.

use crate::bundle::{BundleFault, BundleInput, add_notes, license_file, members_of, named, sealed};
use crate::names;
use crate::readme::{self, Readme};
use crate::zip::Member;

/// The files of the `wanted` parts of a bundle, the same bytes under the same names as there, with the notes, the
/// licence, and a read-me of these parts alone; `since` is the release that they are printed for.
///
/// # Errors
/// [`BundleFault`], as when the bundle itself is made.
pub fn changed(input: &BundleInput, wanted: &[&str], since: &str) -> Result<Vec<u8>, BundleFault> {
    let stems = names::stems(&named(input))?;
    let parts: Vec<usize> = (0..input.parts.len())
        .filter(|&k| wanted.contains(&input.parts[k].card.id.as_str()))
        .collect();
    let (mut members, cards) = members_of(input, &parts, &stems)?;
    add_notes(input, &mut members)?;
    let settings = input.settings.iter();
    let read_me = readme::write(&Readme {
        kit: input.kit.clone(),
        promises: input.promises.clone(),
        settings: settings
            .filter(|s| cards.iter().any(|card| card.settings == s.id))
            .cloned()
            .collect(),
        parts: cards,
        known_limits: input.known_limits.clone(),
        triggers: input.triggers.clone(),
        other_files: Vec::new(),
        only_since: Some(since.to_string()),
    });
    for (name, bytes) in [
        ("LICENSE", license_file(input).into_bytes()),
        ("README.md", read_me.into_bytes()),
    ] {
        members.push(Member {
            name: name.to_string(),
            bytes,
        });
    }
    sealed(members, input.stamp)
}
