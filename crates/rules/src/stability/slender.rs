//! `stability.slender`: a piece so slender that it sways while it grows.

use findings::{Level, Place, Rule, Worse};
use measure::print::Column;

use super::{Printed, lying, printed, promises};
use crate::words::{mm, of_promises};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "stability.slender",
        title: "a piece so slender that it sways while it grows",
        level: Level::Warn,
        worse: Worse::Higher,
        measures: "Each piece of the growing part as a column clamped at its root: its length over the radius of \
                   gyration of a plain wall that would bend as much under a push at the top, from the second moments \
                   of all its sections.",
        why: "The nozzle pushes the top of a tall thin wall aside. Lines miss those below; the top comes out ragged \
              or breaks off.",
        fix: "Thicken it, put a rib across it, tie its top to something, or lay it down.",
        source: "Euler and Bernoulli's beam; limit: common practice, no source",
        limits: &[
            "stability.toml slender.ratio",
            "stability.toml slender.length",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let most = limits::stability().slender.value;
    let all = printed(case);
    let hits: Vec<&Printed> = all
        .iter()
        .filter(|p| column(p).is_some_and(|c| c.ratio > most))
        .collect();
    let ratio = |p: &Printed| column(p).map_or(0.0, |c| c.ratio);
    let Some(worst) = hits
        .iter()
        .copied()
        .reduce(|a, b| if ratio(b) > ratio(a) { b } else { a })
    else {
        return Vec::new();
    };
    let Some(c) = column(worst) else {
        return Vec::new();
    };
    let frame = &worst.facts.frame;
    let across = frame.direction([c.bends[0], c.bends[1], 0.0]);
    let broken = promises(&hits);
    let offered = case.case.kit.promises_for(case.part).len();
    let half = (c.root_mm + c.top_mm) / (1.0 + 1.0);
    let mut ways = vec![format!(
        "thicken it to {} (now as {}), or put a rib across it at half its height, {:.0} mm up",
        mm(c.wall_of_mm(most)),
        mm(c.wall_mm()),
        half
    )];
    ways.extend(lying(worst.facts.stability.lying.as_ref()));
    vec![Departure {
        measured: Some(c.ratio),
        limit: Some(most),
        unit: "length / radius of gyration",
        reading: format!(
            "slenderness {:.0}, at most {most:.0}{}",
            c.ratio,
            of_promises(broken.len(), offered)
        ),
        promises: broken,
        places: vec![Place {
            outward: Some(across),
            note: format!("its top; its root lies {:.1} mm lower", c.length_mm()),
            ..Place::at(frame.to_mesh([c.at_mm[0], c.at_mm[1], c.top_mm]))
        }],
        message: format!(
            "a piece {:.1} mm tall, as slender as a wall of {}, sways while it grows",
            c.length_mm(),
            mm(c.wall_mm())
        ),
        fix: ways.join(", or "),
        ..Departure::default()
    }]
}

fn column<'a>(printed: &Printed<'a>) -> Option<&'a Column> {
    printed.facts.stability.slender.as_ref()
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::sample;
    use kit::Kit;
    use measure::Beside;
    use measure::print::{self, PrintFacts, Unmeasured};
    use measure::walls::Walls;
    use mesh::shapes::{cuboid, welded};

    /// A box from the origin, measured on its layers as the kit's first part.
    pub(crate) fn printed_box(kit: &Kit, size: [f32; 3]) -> Result<Vec<PrintFacts>, Unmeasured> {
        let mesh = welded(&cuboid([0.0; 3], size));
        let edges = mesh::Edges::build(&mesh);
        let part = &kit.parts[0];
        let asks =
            crate::print::asks(kit, part, &Walls::default()).expect("it is printed in layers");
        print::measure(&mesh, &edges, &part.orientation.turn, &asks)
    }

    fn found(size: [f32; 3]) -> Vec<Departure> {
        let kit = sample::kit("");
        let mut facts = sample::facts(0.0);
        facts[0].print = Some(printed_box(&kit, size));
        sample::found(ENTRY.rule.id, &kit, &facts, &Beside::default())
    }

    /// The handbook's L / i with i = t / sqrt 12: 173 for a wall of 0.8 mm and 40 mm; 139 for one of 1 mm.
    #[test]
    fn a_pane_sways_and_a_thicker_one_does_not() {
        let got = found([30.0, 0.8, 40.0]);
        assert_eq!(got.len(), 1);
        let ratio = got[0].measured.expect("a ratio");
        assert!((ratio - 173.2).abs() < 0.3, "{ratio}");
        // 40 sqrt 12 / 160.
        assert!(
            got[0]
                .fix
                .contains("thicken it to 0.87 mm (now as 0.80 mm)"),
            "{}",
            got[0].fix
        );
        assert!((got[0].places[0].at[2] - 40.0).abs() < 0.2);
        assert!(found([30.0, 1.0, 40.0]).is_empty());
    }
}
