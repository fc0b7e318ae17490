//! `show.layer-lines`: coarse steps of layers on a show face.

use findings::{Level, Place, Rule, Worse};
use measure::show::{MM2_PER_CM2, Region, roughness_um};

use super::{abrasive, known};
use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "show.layer-lines",
        title: "coarse steps of layers on a show face",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "The step of a layer, its height times the upright component of the face's normal in the print \
                   pose, on the faces that see outside in the assembled kit or are declared to be on show. Exactly \
                   flat faces have none.",
        why: "Gentle slopes print as terraces that catch the light, and show through paint.",
        fix: "Print it in finer layers, turn it so that the face stands steep or lies flat, or sand it. Dust: sand \
              wet, wear a mask, and follow the safety data sheet.",
        source: "Dolenc, Makela 1994, Computer-Aided Design 26(2); abrasives FEPA 43 / ISO 6344; limits: common \
                 practice, no source",
        limits: &[
            "show.toml layer-lines.step",
            "show.toml layer-lines.area",
            "show.toml layer-lines.share",
            "show.toml layer-lines.sand",
            "show.toml seen.share",
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
    let coarse: Vec<&Region> = show
        .coarse
        .iter()
        .filter(|r| {
            r.area_mm2 >= limits.step_area.value
                && r.area_mm2 >= limits.step_share.value * show.area_mm2
        })
        .collect();
    let Some(worst) = coarse.first() else {
        return Vec::new();
    };
    let area: f64 = coarse.iter().map(|r| r.area_mm2).sum();
    let highest = coarse.iter().map(|r| r.worst).fold(0.0, f64::max);
    // Two decimals, rounded down: what is proposed must do.
    let finer = hundredths(show.layer_mm * limits.step.value / highest);
    let mut fix = format!(
        "layers of {finer:.2} mm keep it under {}",
        mm(limits.step.value)
    );
    if let Some(grade) = abrasive(show) {
        fix = format!(
            "{fix}; or sand {:.0} cm2, first with {grade}, wet or with a mask",
            show.sanding_mm2 / MM2_PER_CM2
        );
    }
    vec![Departure {
        measured: Some(highest),
        limit: Some(limits.step.value),
        unit: "mm",
        reading: format!(
            "steps of {} in layers of {} mm (Ra {:.0} um); over {} shows",
            mm(highest),
            show.layer_mm,
            roughness_um(highest),
            mm(limits.step.value)
        ),
        places: coarse.iter().map(|r| place(r)).collect(),
        message: format!(
            "layer lines on {:.0} cm2 of show face, most on a slope {:.0} degrees from level",
            area / MM2_PER_CM2,
            worst.from_level_deg(case.part.orientation.up)
        ),
        fix,
        ..Departure::default()
    }]
}

fn hundredths(mm: f64) -> f64 {
    (mm * measure::show::MM2_PER_CM2).floor() / measure::show::MM2_PER_CM2
}

fn place(region: &Region) -> Place {
    Place {
        measured: Some(region.worst),
        outward: Some(region.outward),
        reach_mm: region.reach_mm,
        note: format!("over {:.0} mm2", region.area_mm2),
        ..Place::at(region.at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;
    use measure::Beside;
    use measure::show::{self, Which};

    /// A wedge 60 mm long and `rise` mm high on show, printed on its base.
    fn found(rise: f32, show: &str) -> Vec<Departure> {
        let kit = sample::kit("");
        let [a, b, c] = [[0.0f32, 0.0, 0.0], [60.0, 0.0, 0.0], [0.0, 0.0, rise]];
        let [d, e, f] = [a, b, c].map(|[x, _, z]| [x, 30.0, z]);
        let soup = [
            [a, b, c],
            [d, f, e],
            [a, d, e],
            [a, e, b],
            [b, e, f],
            [b, f, c],
            [a, c, f],
            [a, f, d],
        ];
        let mesh = mesh::shapes::welded(&soup);
        let edges = mesh::Edges::build(&mesh);
        let part = &kit.parts[0];
        let which = if show == "all" {
            Which::Every
        } else {
            Which::Nothing
        };
        let asks = super::super::asks(&kit, part);
        let mut facts = sample::facts(0.0);
        facts[0].show = Some(show::measure(
            &mesh,
            &edges,
            &part.orientation.turn,
            &which,
            &asks,
        ));
        sample::found(ENTRY.rule.id, &kit, &facts, &Beside::default())
    }

    /// A slope of 15 degrees at 0.2 mm: steps of 193.19 um, Ra 48.30 um (geometry); the first grade is P100 with a
    /// grain of 162 um, and layers of 0.2 x 0.15 / 0.19319 = 0.155 mm would do.
    #[test]
    fn a_gentle_slope_shows_its_layers() {
        let got = found(60.0 * 0.267_949_2, "all");
        assert_eq!(got.len(), 1);
        assert!((got[0].measured.expect("a step") - 0.193_19).abs() < 1e-4);
        assert!(got[0].reading.contains("Ra 48 um"), "{}", got[0].reading);
        assert!(got[0].fix.contains("layers of 0.15 mm"), "{}", got[0].fix);
        assert!(got[0].fix.contains("first with P100"), "{}", got[0].fix);
        assert!(
            got[0].message.contains("15 degrees from level"),
            "{}",
            got[0].message
        );
        assert!(found(60.0, "all").is_empty(), "45 degrees is everyday");
        assert!(found(60.0 * 0.267_949_2, "none").is_empty());
    }
}
