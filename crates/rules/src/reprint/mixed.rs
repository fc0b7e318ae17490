//! Which old parts go with which new ones, as far as faces that moved can say.

use kit::Kit;
use revisions::{Compared, Meets, Near};

use super::class::{Class, Row};
use super::reason::threshold;
use crate::words::mm;

/// A line on two parts that meet, in a kit of parts from both revisions.
#[derive(Debug, Clone, PartialEq)]
pub struct Mixed {
    /// The part whose face moved.
    pub part: String,
    /// What it meets.
    pub neighbour: String,
    /// Whether one may be of the old revision and the other of the new.
    pub goes: bool,
    /// How far the face between them moved, mm; positive where plastic was added.
    pub moved_mm: f64,
    /// The line in words.
    pub words: String,
}

/// A line for every two parts that meet at a face that moved; the larger move speaks for them.
pub(crate) fn lines(rows: &[Row], compared: &Compared, present: &Kit) -> Vec<Mixed> {
    let mut found: Vec<Mixed> = Vec::new();
    for row in rows {
        if matches!(row.class, Class::New | Class::Retired) {
            continue;
        }
        for near in &compared.pairs[row.pair].near {
            let stays = rows
                .iter()
                .find(|r| r.part == near.neighbour)
                .is_none_or(|r| matches!(r.class, Class::Same | Class::Renamed));
            let Some(words) = of(&row.part, near, present, stays) else {
                continue;
            };
            let there = found.iter_mut().find(|m| {
                (m.part == row.part && m.neighbour == near.neighbour)
                    || (m.part == near.neighbour && m.neighbour == row.part)
            });
            match there {
                Some(line)
                    if !line.goes || (words.goes && line.moved_mm.abs() >= near.moved_mm.abs()) => {
                }
                Some(line) => *line = words,
                None => found.push(words),
            }
        }
    }
    found
}

/// `stays`: the neighbour is the same as it was.
fn of(part: &str, near: &Near, present: &Kit, stays: bool) -> Option<Mixed> {
    let fit = match &near.meets {
        Meets::Fit(id) | Meets::FitWithoutPose(id) => format!(" (fit {id})"),
        Meets::Neighbour => String::new(),
        Meets::Hole(_) => return None,
    };
    let goes = near.moved_mm.abs() <= threshold(near, present).0;
    let moved = mm(near.moved_mm.abs());
    let other = &near.neighbour;
    Some(Mixed {
        part: part.to_string(),
        neighbour: other.clone(),
        goes,
        moved_mm: near.moved_mm,
        words: if goes {
            format!(
                "{part} and {other}{fit}: old and new may be mixed; the face between them moved {moved}"
            )
        } else if stays {
            format!(
                "{part} and {other}{fit}: the new {part} goes with the {other} you have, the old one does not go \
                 with it as this revision means it; the face between them moved {moved}"
            )
        } else {
            format!(
                "{part} and {other}{fit}: take both from one revision; the face between them moved {moved}"
            )
        },
    })
}
