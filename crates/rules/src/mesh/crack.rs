//! `mesh.crack`: open as stored, yet it prints closed.

use findings::{Level, Rule, Worse};
use measure::soundness::{Rim, Soundness};

use super::{open_edge, sound};
use crate::words::{count, mm};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.crack",
        title: "a crack that closes by itself",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Rims that vanish when vertices a hundred-thousandth of the box's diagonal apart are one, and \
                   rims whose two sides lie closer than a slit (a vertex of one side on an edge of the other). The \
                   value is the distance across.",
        why: "Exporters round the two sides of a seam differently, or split one side only. The outlines of the \
              layers meet within less than a machine can place, so it prints as drawn; a strict reader may still \
              refuse the file. A slit wider than the merge tolerance warns: mending it is not left to chance.",
        fix: "Export with one tolerance for the whole body, or let the modeller stitch the seam.",
        source: "common practice, no source",
        limits: &["soundness.toml slit", "soundness.toml merge-share"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let slit = limits::soundness_limits().slit.value;
    let openings = &facts.openings;
    let cracks: Vec<&Rim> = openings
        .rims
        .iter()
        .filter(|r| !open_edge::is_hole(r))
        .collect();
    let edges: usize = cracks.iter().map(|r| r.edges).sum();
    if cracks.is_empty() {
        return None;
    }
    let closes_at = openings.merging.and_then(|m| m.closes_at_mm);
    let widest = cracks.iter().filter_map(|r| r.gap_mm).fold(0.0, f64::max);
    let across = closes_at.unwrap_or(widest);
    let reading = match closes_at {
        Some(at) => format!(
            "{} that close at {}",
            count(edges as u64, "open edge", "open edges"),
            mm(at)
        ),
        None => format!(
            "{}, at most {} across; a slit is {}",
            count(edges as u64, "open edge", "open edges"),
            mm(widest),
            mm(slit)
        ),
    };
    // A slit that merging leaves open is mended by each program in its own way.
    let tolerance = openings.merging.map_or(0.0, |m| m.tolerance_mm);
    let slit_stays = |r: &&Rim| !r.closes_on_merge && r.gap_mm.is_some_and(|g| g > tolerance);
    let stays = cracks.iter().any(slit_stays);
    Some(Departure {
        level: stays.then_some(Level::Warn),
        measured: Some(across),
        limit: Some(slit),
        unit: "mm",
        reading,
        places: cracks
            .iter()
            .take(limits::soundness_limits().most_places.value as usize)
            .map(|r| sound::rim(r))
            .collect(),
        places_total: cracks.len(),
        message: if stays {
            format!(
                "{} that no merging of vertices closes",
                count(cracks.len() as u64, "slit", "slits")
            )
        } else {
            let n = cracks.len() as u64;
            format!(
                "has {}",
                count(n, "crack that prints closed", "cracks that print closed")
            )
        },
        fix: if stays {
            "stitch the seam in CAD and export again: programs mend it each in its own way, or refuse it"
        } else {
            "nothing is needed to print it; stitch the seam to please strict readers"
        }
        .into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;

    #[test]
    fn a_crack_says_at_which_distance_it_closes() {
        let mut b = block();
        b[0][0][0] += 2e-5;
        let got = departures(&facts(&b, &[])).expect("a crack");
        assert!((got.measured.unwrap_or(0.0) - 2e-5).abs() < 1e-9);
        assert!(
            got.reading.contains("4 open edges that close at 2.0e-5 mm"),
            "{}",
            got.reading
        );
    }

    #[test]
    fn a_slit_of_a_hundredth_of_a_millimetre_warns() {
        let mut b = block();
        b[0][0][0] += 0.01;
        let got = departures(&facts(&b, &[])).expect("a slit");
        assert_eq!(got.level, Some(Level::Warn));
        assert!(
            got.fix.starts_with("stitch"),
            "a warning asks for something: {}",
            got.fix
        );
    }

    #[test]
    fn a_t_junction_is_a_crack_and_a_hole_or_a_sound_block_is_none() {
        let mut junction = block();
        let [p, q, r] = junction.remove(0);
        let m = [0, 1, 2].map(|k| 0.5 * (p[k] + q[k]));
        junction.extend([[p, m, r], [m, q, r]]);
        let got = departures(&facts(&junction, &[])).expect("a T-junction");
        assert_eq!(got.level, None);
        assert!(departures(&facts(&block()[1..], &[])).is_none());
        assert!(departures(&facts(&block(), &[])).is_none());
    }
}
