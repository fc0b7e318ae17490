//! `first-layer.small`: a piece of the first layer too small to hold.

use findings::{Level, Place, Rule, Worse};
use measure::print::first_layer::ContactPiece;

use crate::mesh::debris;
use crate::stability::{Printed, printed, promises};
use crate::words::of_promises;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "first-layer.small",
        title: "stands on a spot too small to hold",
        level: Level::Warn,
        worse: Worse::Lower,
        measures: "The separate pieces of the first layer, shells that overlap taken as one, each with its area and \
                   the brim around it. Pieces that half a millimetre up are one with a piece that holds, and \
                   dots on which no line is laid, do not count. The value is the least area.",
        why: "The nozzle drags a spot off the plate before the next layer comes, and what stood on it is printed \
              in the air.",
        fix: "Widen the foot, join it to its neighbour on the plate, or print it with a brim.",
        source: "common practice, no source",
        limits: &[
            "first-layer.toml small.piece",
            "first-layer.toml small.joined",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let least = limits::first_layer().piece.value;
    let brim = case.case.kit.settings_of(case.part).brim_mm;
    let all = printed(case);
    // Loose specks are `mesh.debris`.
    let soundness = case.facts.soundness.as_ref();
    let speck = |c: &ContactPiece| soundness.is_some_and(|s| debris::speck_at(s, c.at));
    let loose = |p: &Printed| -> Vec<ContactPiece> {
        let pieces = &p.facts.first_layer.pieces;
        // No line is laid on less than its own square, so nothing is dragged off: unless there is nothing else.
        let dot = p.facts.height.bead_mm * p.facts.height.bead_mm;
        let laid = pieces.iter().any(|c| c.area_mm2 >= dot);
        pieces
            .iter()
            .filter(|c| !laid || c.area_mm2 >= dot)
            .filter(|c| c.with_brim_mm2(brim) < least && c.held_by_mm2 < least)
            .filter(|c| !speck(c))
            .copied()
            .collect()
    };
    let hits: Vec<&Printed> = all.iter().filter(|p| !loose(p).is_empty()).collect();
    let area = |p: &Printed| loose(p).first().map_or(f64::INFINITY, |c| c.area_mm2);
    let Some(worst) = hits
        .iter()
        .copied()
        .reduce(|a, b| if area(b) < area(a) { b } else { a })
    else {
        return Vec::new();
    };
    let pieces = loose(worst);
    let Some(smallest) = pieces.first() else {
        return Vec::new();
    };
    let broken = promises(&hits);
    let offered = case.case.kit.promises_for(case.part).len();
    let whole = worst.facts.first_layer.pieces_total;
    let held = smallest.with_brim_mm2(brim);
    vec![Departure {
        measured: Some(held),
        limit: Some(least),
        unit: "mm2",
        reading: format!(
            "{held:.1} mm2{}, needs {least} mm2{}",
            if brim > 0.0 { " with its brim" } else { "" },
            of_promises(broken.len(), offered)
        ),
        promises: broken,
        places: pieces
            .iter()
            .map(|c| Place {
                reach_mm: c.extent_mm,
                outward: Some(case.part.orientation.up.map(|x| -x)),
                ..Place::at(c.at).measuring(c.area_mm2)
            })
            .collect(),
        places_total: pieces.len(),
        message: if whole == pieces.len() {
            format!("stands on {:.1} mm2 of plate only", smallest.area_mm2)
        } else {
            format!(
                "{} of {whole} pieces of its first layer are too small to hold, the least {:.1} mm2",
                pieces.len(),
                smallest.area_mm2
            )
        },
        fix: format!(
            "widen it to {least} mm2 on the plate, join it to its neighbour there, or give it a brim"
        ),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use crate::sample;
    use crate::{Departure, print};
    use measure::{Beside, walls};
    use mesh::Edges;
    use mesh::shapes::{Soup, cuboid, welded};

    fn found(soup: &Soup) -> Vec<Departure> {
        let kit = sample::kit("");
        let mut facts = sample::facts(0.0);
        let (mesh, tree) = mesh::tree::Tree::build(welded(soup));
        let part = &kit.parts[0];
        let walls = walls::measure(&mesh, &tree, &crate::wall::asks(&kit, part));
        let asks = print::asks(&kit, part, &walls).expect("filament");
        let edges = Edges::build(&mesh);
        facts[0].print = Some(measure::print::measure(
            &mesh,
            &edges,
            &part.orientation.turn,
            &asks,
        ));
        sample::found("first-layer.small", &kit, &facts, &Beside::default())
    }

    fn post(side: f32) -> Soup {
        cuboid([0.0; 3], [side, side, 8.0])
    }

    #[test]
    fn a_post_of_a_millimetre_and_a_half_warns_and_one_of_two_does_not() {
        let got = found(&post(1.5));
        assert_eq!(got.len(), 1);
        assert!(
            got[0].message.contains("2.3 mm2 of plate only"),
            "{}",
            got[0].message
        );
        assert!(found(&post(2.0)).is_empty());
    }

    #[test]
    fn a_dot_beside_a_foot_is_nothing_and_a_spot_is_told_with_its_number() {
        let beside =
            |side: f32| [post(5.0), cuboid([9.0, 0.0, 0.0], [9.0 + side, side, 8.0])].concat();
        assert!(found(&beside(0.3)).is_empty());
        let got = found(&beside(1.0));
        assert!(
            got[0].message.starts_with("1 of 2 pieces"),
            "{}",
            got[0].message
        );
    }
}
