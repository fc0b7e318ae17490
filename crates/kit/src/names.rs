//! What file names say: counts, sides, ids. Conventions of designers ("common practice, no source"); what
//! is read here is a guess, and a draft says so beside it.

use std::collections::BTreeMap;

use crate::content;
use crate::suggest::fold;

/// A count that a mesh's name states, and the name without it: `clip_x4`, `clip x2`, `clip (2)`, `4x_clip`,
/// `clip_qty3`. `name` is a file's stem. `None` where the name states none: a size such as `M3x10`, a
/// version such as `v2` or a number such as `part_3` is no count.
pub fn count_in_name(name: &str) -> Option<(u32, &str)> {
    let name = name.trim();
    at_end(name).or_else(|| at_start(name))
}

/// So many copies a name may state; a greater number is something else.
const MOST_COPIES: u32 = 500;

fn copies(digits: &str) -> Option<u32> {
    let plain = (1..=3).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
    let count: u32 = plain.then(|| digits.parse().ok()).flatten()?;
    (1..=MOST_COPIES).contains(&count).then_some(count)
}

fn is_separator(c: char) -> bool {
    matches!(c, '_' | '-' | ' ' | '.' | '+')
}

/// The rest of a name beside a count; `None` where nothing is left of it.
fn rest(name: &str) -> Option<&str> {
    let rest = name.trim_matches(is_separator);
    (!rest.is_empty()).then_some(rest)
}

fn strip_times(text: &str) -> Option<&str> {
    text.strip_prefix(['x', 'X', '\u{d7}'])
}

fn strip_times_end(text: &str) -> Option<&str> {
    text.strip_suffix(['x', 'X', '\u{d7}'])
}

fn at_end(name: &str) -> Option<(u32, &str)> {
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some(inner) = name.strip_suffix(close)
            && let Some((before, inner)) = inner.rsplit_once(open)
        {
            let inner = inner.trim();
            let digits = strip_times(inner)
                .or_else(|| strip_times_end(inner))
                .unwrap_or(inner);
            return Some((copies(digits.trim())?, rest(before)?));
        }
    }
    let (before, last) = name.rsplit_once(is_separator)?;
    if let Some(digits) = strip_times(last).or_else(|| strip_times_end(last)) {
        return Some((copies(digits)?, rest(before)?));
    }
    let lower = last.to_ascii_lowercase();
    if let Some(digits) = lower.strip_prefix("qty") {
        return Some((copies(digits.trim_start_matches('='))?, rest(before)?));
    }
    let (before, word) = before.rsplit_once(is_separator)?;
    if word.eq_ignore_ascii_case("qty") {
        return Some((copies(last)?, rest(before)?));
    }
    None
}

fn at_start(name: &str) -> Option<(u32, &str)> {
    let (first, after) = name.split_once(is_separator)?;
    let digits = strip_times_end(first).or_else(|| strip_times(first))?;
    Some((copies(digits)?, rest(after)?))
}

/// A side that a name states.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// left
    Left,
    /// right
    Right,
}

/// The side that a name states, and the name without the word: two parts with the same rest and other
/// sides are likely mirror images.
pub fn side_in_name(name: &str) -> Option<(Side, String)> {
    let plain = fold(name);
    let words: Vec<&str> = plain.split(is_separator).collect();
    let at = words.iter().position(|word| side(word).is_some())?;
    let mut others = words.clone();
    let word = others.remove(at);
    let rest = others.join("-");
    (!rest.is_empty()).then(|| side(word).map(|side| (side, rest)))?
}

fn side(word: &str) -> Option<Side> {
    match word {
        "left" | "l" | "lh" => Some(Side::Left),
        "right" | "r" | "rh" => Some(Side::Right),
        _ => None,
    }
}

/// The stem of a path's file name.
pub fn stem(path: &str) -> &str {
    let name = path.rsplit('/').next().unwrap_or(path);
    match name.rsplit_once('.') {
        Some((stem, _)) if !stem.is_empty() => stem,
        _ => name,
    }
}

/// A valid id made of a text: lower case, hyphens, at most as long as ids may be.
pub fn id_of(text: &str) -> String {
    let most = limits::manifest::span("id").most as usize;
    let mut id = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            id.push(c);
        } else if !id.is_empty() && !id.ends_with('-') {
            id.push('-');
        }
    }
    let id: String = id.chars().take(most).collect();
    let id = id.trim_end_matches('-').to_string();
    match content::id(&id) {
        Ok(()) => id,
        Err(_) if id.is_empty() => "part".to_string(),
        Err(_) => format!("{id}-part"),
    }
}

/// An id for each path, no two alike: the stem without its count; where stems are alike, with the folder
/// before it; else with a number after it.
pub fn ids_of(paths: &[&str]) -> Vec<String> {
    let plain: Vec<String> = paths.iter().map(|path| id_of(bare(path))).collect();
    let mut uses: BTreeMap<&str, usize> = BTreeMap::new();
    for id in &plain {
        *uses.entry(id).or_default() += 1;
    }
    let mut taken: BTreeMap<String, usize> = BTreeMap::new();
    let mut ids = Vec::new();
    for (path, id) in paths.iter().zip(&plain) {
        let mut id = id.clone();
        if uses[id.as_str()] > 1
            && let Some((folders, _)) = path.rsplit_once('/')
        {
            let folder = folders.rsplit('/').next().unwrap_or(folders);
            id = id_of(&format!("{folder}-{}", bare(path)));
        }
        let mut number = 1;
        let mut unique = id.clone();
        while taken.contains_key(&unique) {
            number += 1;
            let end = format!("-{number}");
            let most = limits::manifest::span("id").most as usize;
            let start: String = id.chars().take(most - end.len()).collect();
            unique = format!("{}{end}", start.trim_end_matches('-'));
        }
        taken.insert(unique.clone(), number);
        ids.push(unique);
    }
    ids
}

/// A path's stem without the count it states.
fn bare(path: &str) -> &str {
    let stem = stem(path);
    count_in_name(stem).map_or(stem, |(_, rest)| rest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_read_from_names() {
        for (name, count, rest) in [
            ("clip_x4", 4, "clip"),
            ("clip-x12", 12, "clip"),
            ("clip x2", 2, "clip"),
            ("Clip X2", 2, "Clip"),
            ("clip_4x", 4, "clip"),
            ("clip (2)", 2, "clip"),
            ("clip(3)", 3, "clip"),
            ("clip (x3)", 3, "clip"),
            ("clip [3x]", 3, "clip"),
            ("4x_clip", 4, "clip"),
            ("2x clip left", 2, "clip left"),
            ("x8-railing", 8, "railing"),
            ("clip_qty3", 3, "clip"),
            ("clip_QTY_10", 10, "clip"),
            ("clip \u{d7}6", 6, "clip"),
            ("04_gallery_r2_x1", 1, "04_gallery_r2"),
            ("M3x10_spacer_x2", 2, "M3x10_spacer"),
        ] {
            assert_eq!(count_in_name(name), Some((count, rest)), "{name}");
        }
    }

    #[test]
    fn sizes_versions_and_numbers_are_no_counts() {
        for name in [
            "M3x10",
            "plate_20x30",
            "20x20_corner",
            "bolt_m3x10",
            "lightning-v2-body",
            "dovetail_15",
            "part_3",
            "linux2",
            "axis2",
            "x4",
            "4x",
            "(2)",
            "qty3",
            "clip_x0",
            "clip_x9999",
            "100deg_Joint",
            "",
            " ",
            "_x2",
            "roller_10.5mm",
            "clip (left)",
            "hex",
            "box",
            "clip_xx",
            "max_2",
            "é(2",
            "()",
            "a()",
        ] {
            assert_eq!(count_in_name(name), None, "{name}");
        }
    }

    #[test]
    fn sides_pair_up() {
        let left = side_in_name("Buffer_Left").expect("a side");
        let right = side_in_name("buffer right").expect("a side");
        assert_eq!((left.0, right.0), (Side::Left, Side::Right));
        assert_eq!(left.1, right.1);
        assert_eq!(side_in_name("door_L"), Some((Side::Left, "door".into())));
        assert_eq!(side_in_name("leftover"), None);
        assert_eq!(side_in_name("left"), None);
    }

    #[test]
    fn ids_are_valid_and_no_two_alike() {
        let ids = ids_of(&[
            "v2/back.stl",
            "v3/back.stl",
            "v3/pi5/back.stl",
            "a/v3/back.stl",
            "Clip_x4.stl",
            "clip.stl",
            "\u{fc}.stl",
            "con.stl",
            "roller 10.5mm.STL",
        ]);
        assert_eq!(
            ids,
            [
                "v2-back",
                "v3-back",
                "pi5-back",
                "v3-back-2",
                "clip",
                "clip-2",
                "part",
                "con-part",
                "roller-10-5mm"
            ]
        );
        let long = "x".repeat(90);
        let ids = ids_of(&[&format!("{long}.stl"), &format!("{long}.obj")]);
        assert_eq!(ids[0].len(), 40);
        assert!(ids[1].ends_with("-2") && ids[1].len() == 40);
    }
}
