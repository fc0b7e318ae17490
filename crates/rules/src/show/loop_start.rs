//! `show.loop-start`: loops of layers that can start nowhere but on a smooth show face.

use findings::{Level, Place, Rule, Worse};
use measure::show::LoopStart;

use super::known;
use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "show.loop-start",
        title: "loops that can only start on a smooth show face",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "The height over which a layer's outer outline has no edge and is on show all round. Every loop \
                   starts and ends somewhere; an edge, or a stretch out of sight, hides the place.",
        why: "The starts stand above each other and make a seam, plain to see on a round wall.",
        fix: "Run a groove, a rib or an edge up its back, or name in `show` the side that is turned away; else plan to \
              sand the seam: wet or with a mask.",
        source: "common practice, no source",
        limits: &[
            "show.toml loop-start.height",
            "show.toml loop-start.corner",
            "show.toml loop-start.within",
            "show.toml loop-start.loop",
            "show.toml loop-start.hidden",
            "show.toml loop-start.layers",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let limits = limits::show();
    let Some(show) = known(case) else {
        return Vec::new();
    };
    let bare: Vec<&LoopStart> = show
        .starts
        .iter()
        .filter(|s| s.height_mm() >= limits.start_height.value)
        .collect();
    let Some(highest) = bare.first() else {
        return Vec::new();
    };
    let height: f64 = bare.iter().map(|s| s.height_mm()).sum();
    vec![Departure {
        measured: Some(height),
        limit: Some(limits.start_height.value),
        unit: "mm",
        reading: format!(
            "a seam {height:.1} mm high in all, from z {:.1} to {:.1} mm above the plate",
            highest.from_mm, highest.to_mm
        ),
        message: format!(
            "loops {:.0} mm round start on a show face",
            highest.around_mm
        ),
        fix: format!(
            "an edge of {:.0} degrees up its back hides them; or name in show the side turned away",
            limits.start_corner.value
        ),
        places: bare
            .iter()
            .map(|s| Place {
                measured: Some(s.height_mm()),
                outward: Some(s.outward),
                note: format!("from {} to {} of height", mm(s.from_mm), mm(s.to_mm)),
                ..Place::at(s.at)
            })
            .collect(),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(heights: &[[f64; 2]]) -> Vec<Departure> {
        super::super::judged(ENTRY.rule.id, |show| {
            show.starts = heights
                .iter()
                .map(|&[from_mm, to_mm]| LoopStart {
                    at: [0.0; 3],
                    outward: [0.0, -1.0, 0.0],
                    from_mm,
                    to_mm,
                    around_mm: 80.0,
                })
                .collect();
        })
    }

    #[test]
    fn high_seams_add_up_and_low_ones_do_not_count() {
        let got = found(&[[20.0, 50.0], [0.0, 12.0], [60.0, 64.0]]);
        assert_eq!(got.len(), 1);
        assert_eq!(got[0].measured, Some(42.0));
        assert_eq!(got[0].places.len(), 2);
        assert!(found(&[[60.0, 64.0]]).is_empty());
    }
}
