//! Join: saved results become one measured kit. Nothing was judged before, and nothing is measured again.

use std::path::{Path, PathBuf};

use measure::PartFacts;

use crate::measured::Measured;
use crate::outcome::Outcome;
use crate::saved::{self, Saved};
use crate::stages::model::Model;
use crate::stages::origin::Origin;
use crate::stages::read::MANIFEST;

/// A measured kit with where it comes from and the day it counts as.
pub struct Joined {
    /// What was measured.
    pub measured: Measured,
    /// Where it comes from.
    pub origin: Origin,
    /// The day.
    pub as_of: kit::Date,
    /// Globs of parts, as asked.
    pub parts: Vec<String>,
    /// Promises, as asked.
    pub promises: Vec<String>,
}

/// Reads the results of all shards of a kit, or the one result of all of it.
///
/// # Errors
/// What is wrong, in words, and the outcome it means: a shard that is missing is a partial run.
pub fn read(paths: &[PathBuf]) -> Result<Joined, (String, Outcome)> {
    let wrong = |words: String| (words, Outcome::BadRequest);
    let mut results = Vec::new();
    for path in paths {
        results.push((path.as_path(), saved::read(path).map_err(wrong)?));
    }
    complete(&results)?;
    join(results.into_iter().map(|(_, saved)| saved).collect()).map_err(wrong)
}

/// Whether the results are of one kit, asked in one way, and each shard is there once.
fn complete(results: &[(&Path, Saved)]) -> Result<(), (String, Outcome)> {
    let wrong = |words: String| Err((words, Outcome::BadRequest));
    let Some(((first_path, first), rest)) = results.split_first() else {
        return wrong("merge: no results were named".into());
    };
    for (path, other) in rest {
        if let Some(what) = unlike(first, other) {
            return wrong(format!(
                "{} and {} cannot be joined: {what}; measure every shard of the same files, with the same flags",
                first_path.display(),
                path.display()
            ));
        }
    }
    let Some((_, of)) = first.shard else {
        return if rest.is_empty() {
            Ok(())
        } else {
            wrong(format!(
                "{} is the result of a whole check: there is nothing to join; `kitproof render` writes its reports",
                first_path.display()
            ))
        };
    };
    let mut there: Vec<Option<&Path>> = vec![None; of];
    for (path, saved) in results {
        let number = saved.shard.map_or(0, |(number, _)| number);
        let Some(place) = number.checked_sub(1).and_then(|i| there.get_mut(i)) else {
            return wrong(format!(
                "{}: there is no shard {number}/{of}",
                path.display()
            ));
        };
        if let Some(before) = place.replace(path) {
            return wrong(format!(
                "{} and {} are both shard {number}/{of}; name each shard once",
                before.display(),
                path.display()
            ));
        }
    }
    let missing: Vec<String> = (1..=of)
        .filter(|number| there[number - 1].is_none())
        .map(|number| format!("{number}/{of}"))
        .collect();
    if missing.is_empty() {
        return Ok(());
    }
    Err((
        format!(
            "{} of {of} shards {}: there is no verdict without {}; run `kitproof check --shard {}` and name its result \
             as well",
            missing.len(),
            if missing.len() == 1 {
                "is missing"
            } else {
                "are missing"
            },
            missing.join(", "),
            missing[0]
        ),
        Outcome::Partial,
    ))
}

/// In what two results differ that must be alike.
fn unlike(a: &Saved, b: &Saved) -> Option<String> {
    if a.text != b.text {
        return Some(format!("their {MANIFEST} differs"));
    }
    if let Some((file, _)) = a
        .origin
        .files
        .iter()
        .zip(&b.origin.files)
        .find(|(a, b)| a != b)
    {
        return Some(format!("{} differs", file.path));
    }
    if a.signed != b.signed {
        return Some("signoff.toml differs".into());
    }
    if a.as_of != b.as_of {
        return Some(format!(
            "one counts as {}, the other as {}",
            a.as_of, b.as_of
        ));
    }
    if (&a.parts, &a.promises) != (&b.parts, &b.promises) {
        return Some("they were asked for other parts or promises".into());
    }
    let of = |saved: &Saved| saved.shard.map(|(_, of)| of);
    let said = |of: Option<usize>| match of {
        None => "holds the whole kit".into(),
        Some(of) => format!("is of {of} shards"),
    };
    (of(a) != of(b)).then(|| format!("one {}, the other {}", said(of(a)), said(of(b))))
}

fn join(results: Vec<Saved>) -> Result<Joined, String> {
    let mut results = results;
    results.sort_by_key(|saved| saved.shard);
    let first = results.first().ok_or("no results were named")?;
    let (kit, extent) = first.kit()?;
    let as_of = kit::Date::parse(&first.as_of).ok_or("the day it counts as is no day")?;
    let signed = match &first.signed {
        None => None,
        Some(text) => Some(crate::stages::signed::of_text(text, &kit.id)?),
    };
    let mut facts: Vec<Option<PartFacts>> = kit.parts.iter().map(|_| None).collect();
    let mut models: Vec<Model> = kit.parts.iter().map(|_| Model::default()).collect();
    let mut measured = Measured {
        text: first.text.clone(),
        folder: PathBuf::new(),
        models: Vec::new(),
        facts: Vec::new(),
        own: vec![true; kit.parts.len()],
        joints: first.joints.clone(),
        beside: first.beside.clone(),
        signed,
        prints: first.prints.clone(),
        extent,
        stopped: None,
        reused: 0,
        kit,
    };
    let origin = first.origin.clone();
    let (parts, promises) = (first.parts.clone(), first.promises.clone());
    for part in results.into_iter().flat_map(|saved| saved.measured) {
        let number = part.number;
        let digest = part.digest();
        match facts.get_mut(number) {
            Some(place @ None) => {
                *place = Some(part.facts);
                models[number] = Model::of_mesh(part.mesh, digest);
            }
            _ => {
                return Err(format!(
                    "part number {number} stands in two results or in no kit"
                ));
            }
        }
    }
    measured.models = models;
    for (part, facts) in measured.kit.parts.iter().zip(facts) {
        let facts = facts.ok_or_else(|| format!("part {} stands in no result", part.id))?;
        measured.facts.push(facts);
    }
    Ok(Joined {
        measured,
        origin,
        as_of,
        parts,
        promises,
    })
}
