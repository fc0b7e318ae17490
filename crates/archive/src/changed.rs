//! The parts of a bundle that are to be printed again, in a zip of their own: for builders of an earlier release.

use crate::bundle::{BundleFault, NOTES_NAME, sealed};
use crate::date::Stamp;
use crate::earlier::entries;
use crate::names::{self, Named};
use crate::zip::Member;

/// What is taken over besides the parts, where the bundle has it: how to print them, why, and the licence.
const BESIDES: [&str; 3] = ["LICENSE", "README.md", NOTES_NAME];

/// The files of the `wanted` parts of a bundle, with its notes, read-me and licence: the same bytes under the same
/// names, with sums and a seal of their own. `parts` are all parts of the bundle, in the order of its manifest.
///
/// # Errors
/// [`BundleFault`], as when the bundle itself is made.
pub fn changed(
    bundle: &[u8],
    parts: &[Named],
    wanted: &[&str],
    stamp: Stamp,
) -> Result<Vec<u8>, BundleFault> {
    let stems = names::stems(parts)?;
    let kept: Vec<&String> = parts
        .iter()
        .zip(&stems)
        .filter(|(part, _)| wanted.contains(&part.id))
        .map(|(_, stem)| stem)
        .collect();
    let of_part = |name: &str| {
        let file = name.split_once('/').map(|(_, file)| file);
        let stem = file.and_then(|file| file.rsplit_once('.'));
        ["stl/", "3mf/", "preview/"]
            .iter()
            .any(|f| name.starts_with(f))
            && stem.is_some_and(|(stem, _)| kept.iter().any(|kept| *kept == stem))
    };
    let members = entries(bundle)
        .into_iter()
        .filter(|(name, _)| {
            of_part(name) || name.starts_with("notes/") || BESIDES.contains(&name.as_str())
        })
        .map(|(name, bytes)| Member { name, bytes })
        .collect();
    sealed(members, stamp)
}
