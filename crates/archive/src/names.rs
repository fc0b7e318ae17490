//! Names of released files: `04_gallery_r2_x1.stl` is part number 4 of the manifest, revision 2, print once.
//!
//! At most 32 characters with the ending, from an alphabet that every file system takes; what is cut is cut
//! so that two parts never share a stem.

use std::collections::BTreeSet;

use crate::sha256::sha256;

/// Characters of a released name, its ending of four included.
pub const MOST_CHARACTERS: usize = 32;
const ENDING_CHARACTERS: usize = 4;

/// What a name is made of.
#[derive(Debug, Clone, Copy)]
pub struct Named<'a> {
    /// Id of the part.
    pub id: &'a str,
    /// Revision of the part.
    pub rev: u32,
    /// How often it is printed.
    pub count: u32,
}

/// Why a part cannot be named.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "part {id}: number, revision and count leave no room for the id in {MOST_CHARACTERS} characters: use smaller numbers"
)]
pub struct NameFault {
    /// Id of the part.
    pub id: String,
}

/// Letters, digits, `-` and `_` stay; everything else becomes `-`.
fn plain(id: &str) -> String {
    id.chars()
        .map(|c| match c {
            'a'..='z' | 'A'..='Z' | '0'..='9' | '-' | '_' => c,
            _ => '-',
        })
        .collect()
}

/// An id in at most `room` characters: its head and its tail, since ids of one family often differ at the end.
fn shortened(id: &str, room: usize) -> String {
    if id.len() <= room {
        return id.to_string();
    }
    let tail = room / 3;
    let head = room - tail;
    format!("{}{}", &id[..head], &id[id.len() - tail..])
}

/// The stems of all parts, in order, without ending.
///
/// # Errors
/// [`NameFault`] of the first part whose numbers leave no room for its id.
pub fn stems(parts: &[Named]) -> Result<Vec<String>, NameFault> {
    let digits = parts.len().to_string().len().max(2);
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut stems = Vec::with_capacity(parts.len());
    for (k, part) in parts.iter().enumerate() {
        let front = format!("{:0digits$}_", k + 1);
        let back = format!("_r{}_x{}", part.rev, part.count);
        let room = (MOST_CHARACTERS - ENDING_CHARACTERS)
            .checked_sub(front.len() + back.len())
            .filter(|&room| room > 0)
            .ok_or_else(|| NameFault {
                id: part.id.to_string(),
            })?;
        let id = plain(part.id);
        let mut short = shortened(&id, room);
        // The number in front keeps files apart anyway; people go by the word.
        if !taken.insert(short.to_lowercase()) && room > 6 {
            let mark = &sha256(part.id.as_bytes()).to_string()[..4];
            short = format!("{}-{mark}", &shortened(&id, room - 5));
            taken.insert(short.to_lowercase());
        }
        stems.push(format!("{front}{short}{back}"));
    }
    Ok(stems)
}

/// Why a file of the designer cannot stand in a bundle under its path.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{path:?} cannot be the name of a released file: {why}")]
pub struct PathFault {
    /// The path.
    pub path: String,
    /// What is wrong with it.
    pub why: &'static str,
}

/// Names that Windows keeps for devices, whatever their ending (Microsoft, "Naming Files, Paths, and
/// Namespaces").
const DEVICES: [&str; 22] = [
    "con", "prn", "aux", "nul", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8",
    "com9", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9",
];

/// Checks that a path stays inside the folder it is unpacked into, on every system.
///
/// # Errors
/// [`PathFault`].
pub fn check_path(path: &str) -> Result<(), PathFault> {
    let fault = |why| {
        Err(PathFault {
            path: path.to_string(),
            why,
        })
    };
    if path.is_empty() {
        return fault("it is empty");
    }
    if path.len() > 200 {
        return fault("it is longer than 200 bytes");
    }
    if path
        .chars()
        .any(|c| c.is_control() || "\\:*?\"<>|".contains(c))
    {
        return fault("it holds a control character or one of \\ : * ? \" < > |");
    }
    for piece in path.split('/') {
        let stem = piece.split('.').next().unwrap_or_default().to_lowercase();
        if piece.is_empty() {
            return fault("it is absolute or holds an empty piece");
        }
        if piece == "." || piece == ".." {
            return fault("it leaves its folder");
        }
        if piece.ends_with(['.', ' ']) || piece.starts_with(' ') {
            return fault("a piece starts with a space, or ends with a dot or a space");
        }
        if DEVICES.contains(&stem.trim_end()) {
            return fault("a piece is a device name on Windows");
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(id: &str, rev: u32, count: u32) -> Named<'_> {
        Named { id, rev, count }
    }

    #[test]
    fn names_carry_number_revision_and_count() {
        let parts = [
            one("rock", 1, 1),
            one("tower", 1, 3),
            one("door", 12, 1),
            one("gallery", 2, 1),
        ];
        let got = stems(&parts).expect("short ids");
        assert_eq!(got[3], "04_gallery_r2_x1");
        assert_eq!(got[2], "03_door_r12_x1");
    }

    #[test]
    fn long_ids_are_cut_and_stay_apart() {
        let ids: Vec<String> = ["left", "right", "upper-left", "upper-right"]
            .iter()
            .flat_map(|end| {
                [
                    format!("lantern-room-window-frame-{end}"),
                    format!("lantern-room-window-trim-{end}"),
                ]
            })
            .collect();
        let parts: Vec<Named> = ids.iter().map(|id| one(id, 1, 1)).collect();
        let got = stems(&parts).expect("room");
        let words: BTreeSet<&str> = got.iter().map(|s| &s[3..]).collect();
        assert_eq!(words.len(), 8, "{got:?}");
        assert!(
            got.iter().all(|s| s.len() + 4 <= MOST_CHARACTERS),
            "{got:?}"
        );
        assert!(got[0].starts_with("01_lantern"));
    }

    #[test]
    fn many_parts_and_large_numbers_still_fit_or_say_so() {
        let ids: Vec<String> = (0..1200).map(|k| format!("éclair {k}")).collect();
        let parts: Vec<Named> = ids.iter().map(|id| one(id, 3, 2)).collect();
        let got = stems(&parts).expect("room");
        assert_eq!(got[0], "0001_-clair-0_r3_x2");
        let huge = [one("part", u32::MAX, u32::MAX)];
        assert_eq!(
            stems(&huge).expect("one character is left")[0],
            "01_p_r4294967295_x4294967295"
        );
        let too_many: Vec<Named> = vec![huge[0]; 1000];
        assert_eq!(stems(&too_many), Err(NameFault { id: "part".into() }));
    }

    #[test]
    fn paths_that_leave_or_clash_with_a_system_are_refused() {
        for bad in [
            "",
            "/etc/x",
            "../x",
            "a/../b",
            "a//b",
            "a/",
            "./a",
            "C:x",
            "a\\b",
            "a\nb",
            "nul",
            "a/COM1.txt",
            "a.",
            " a",
            "a /b",
        ] {
            assert!(check_path(bad).is_err(), "{bad:?}");
        }
        for good in [
            "a",
            "decals/port side.svg",
            "masks/é.pdf",
            "a.b/c-d_e.txt",
            "console.txt",
        ] {
            assert_eq!(check_path(good), Ok(()));
        }
    }
}
