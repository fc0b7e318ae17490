//! Chosen: the kit with only the parts and promises that were asked for.

use kit::Kit;
use report::Extent;

/// The kit with only what was asked for.
///
/// # Errors
/// A name that the kit does not know, in words.
pub fn narrow(
    mut kit: Kit,
    parts: &[String],
    promises: &[String],
) -> Result<(Kit, Extent), String> {
    let mut words = Vec::new();
    if !promises.is_empty() {
        for id in promises {
            if kit.promise(id).is_none() {
                let known: Vec<&str> = kit.promises.iter().map(|p| p.id.as_str()).collect();
                return Err(format!(
                    "--promise {id}: no such promise; this kit has {}",
                    known.join(", ")
                ));
            }
        }
        kit.promises.retain(|p| promises.contains(&p.id));
        words.push(format!("on {} only", promises.join(", ")));
    }
    if !parts.is_empty() {
        let all = kit.parts.len();
        for glob in parts {
            if !kit.parts.iter().any(|p| matches(glob, &p.id)) {
                return Err(format!(
                    "--part {glob}: no part of that name; `kitproof list parts --kit DIR` lists them"
                ));
            }
        }
        let chosen: Vec<bool> = kit
            .parts
            .iter()
            .map(|p| parts.iter().any(|g| matches(g, &p.id)))
            .collect();
        let count = chosen.iter().filter(|c| **c).count();
        words.push(format!("{count} of {all} parts"));
        return Ok((
            only(kit, &chosen),
            Extent::Partial(format!("a partial check: {}", words.join(", "))),
        ));
    }
    let extent = if words.is_empty() {
        Extent::Whole
    } else {
        Extent::Partial(format!("a partial check: {}", words.join(", ")))
    };
    Ok((kit, extent))
}

/// The kit with the chosen parts and with everything on the way to what they mirror.
fn only(mut kit: Kit, chosen: &[bool]) -> Kit {
    let mut needed = chosen.to_vec();
    let mut open: Vec<usize> = (0..needed.len()).filter(|i| needed[*i]).collect();
    while let Some(i) = open.pop() {
        let of = kit.parts[i].mirror.as_ref().map(|mirror| &mirror.of);
        let source = of.and_then(|of| kit.parts.iter().position(|p| p.id == *of));
        if let Some(source) = source.filter(|s| !needed[*s]) {
            needed[source] = true;
            open.push(source);
        }
    }
    let mut keep = needed.into_iter();
    kit.parts.retain(|_| keep.next().unwrap_or(false));
    kit
}

/// Whether a part's id matches a glob: `*` stands for any letters, all else for itself.
pub fn matches(glob: &str, id: &str) -> bool {
    let mut pieces = glob.split('*');
    let first = pieces.next().unwrap_or("");
    let Some(mut rest) = id.strip_prefix(first) else {
        return false;
    };
    let mut last: Option<&str> = None;
    for piece in pieces {
        if let Some(before) = last.take()
            && !before.is_empty()
        {
            let Some(at) = rest.find(before) else {
                return false;
            };
            rest = &rest[at + before.len()..];
        }
        last = Some(piece);
    }
    match last {
        None => rest.is_empty(),
        Some(tail) => rest.ends_with(tail),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn globs() {
        assert!(matches("door-*", "door-left"));
        assert!(matches("*", "x"));
        assert!(matches("*-left", "door-left"));
        assert!(matches("d*-*t", "door-left"));
        assert!(!matches("door", "door-left"));
        assert!(!matches("*right", "door-left"));
        assert!(!matches("door-left*x", "door-left"));
    }
}
