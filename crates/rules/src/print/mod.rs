//! What is asked of a part's layers, and which of its heights a promise is judged by.

mod fold;
pub mod unmeasured;

use kit::{Kit, Machine, Mode, Part, Process, Promise, Settings};
use measure::PartFacts;
use measure::print::{
    Asks, Cooling, Height, PrintFacts, first_layer, overhang, single_line, stability, strings,
};
use measure::walls::Walls;

use crate::wall::layered;

pub(crate) use fold::{Hit, Printed, fold, from_below, hits};

/// Everything that is to be measured on a part's layers for the rules to judge it; `None` where the part is not
/// printed in layers of filament.
///
/// `walls` are what was measured on its walls: the layers are looked at there.
pub fn asks(kit: &Kit, part: &Part, walls: &Walls) -> Option<Asks> {
    if kit.material_of(part).process != Process::Filament {
        return None;
    }
    let limits = limits::layers();
    let settings = kit.settings_of(part);
    let mut heights = vec![own(settings)];
    for promise in kit.promises_for(part) {
        for height in ends(settings, promise) {
            if !heights.contains(&height) {
                heights.push(height);
            }
        }
    }
    Some(Asks {
        heights,
        crack_mm: crack_mm(),
        most_layers: limits.most_layers.value as usize,
        overhang: hanging(settings),
        lines: layered::asks(kit, part, walls),
        stability: standing(settings),
        first_layer: touching(),
        strings: stringy(),
        single_line: (settings.mode == Mode::SingleLine).then(|| in_one_line(settings)),
        cooling: cooling(kit, part),
    })
}

/// Gaps of a layer's outline up to this width are closed: cracks of the mesh.
pub fn crack_mm() -> f64 {
    limits::layers().crack.value
}

/// What is asked of overhangs, whichever way a part lies.
pub(crate) fn hanging(settings: &Settings) -> overhang::Asks {
    let limits = limits::layers();
    overhang::Asks {
        allowed_deg: settings.overhang_deg,
        slack_deg: limits.steep_slack.value,
        held_lines: limits.held.value,
        loose_lines: limits.loose.value,
        pixel_mm: limits.pixel.value,
        most_pixels: limits.most_pixels.value,
        sag_lines: limits.sag.value,
        drop_lines: limits.fall.value,
        reach_mm: limits.reach.value,
        area_mm2: limits.area.value,
        island_mm2: limits.island_area.value,
        island_layers: limits.island_layers.value as usize,
        way_out_mm: limits.way_out.value,
    }
}

/// What is asked of standing.
fn standing(settings: &Settings) -> stability::Asks {
    let limits = limits::stability();
    stability::Asks {
        brim_mm: settings.brim_mm,
        lean_deg: limits.lean.value,
        grip_mm2: limits.grip.value,
        least_column_mm: limits.column.value,
        ratio: limits.slender.value,
    }
}

/// What is asked of the first layer.
fn touching() -> first_layer::Asks {
    let limits = limits::first_layer();
    first_layer::Asks {
        feature_mm: limits.feature.value,
        opening_mm: crate::first_layer::closes_mm(),
        steepest: limits.spread_steepest.value,
        relief_height_mm: limits.chamfer_height.value,
        relief_mm: limits.spread_least.value,
        joined_mm: limits.joined.value,
        pixel_mm: limits.pixel.value,
        most_places: limits.most_places.value as usize,
    }
}

/// What is asked of small pieces side by side.
fn stringy() -> strings::Asks {
    let limits = limits::strings();
    strings::Asks {
        piece_mm2: limits.piece.value,
        least_gap_mm: limits.least_gap.value,
        gap_mm: limits.gap.value,
        pieces: limits.pieces.value as usize,
    }
}

/// What is asked of a part printed in one line.
fn in_one_line(settings: &Settings) -> single_line::Asks {
    let limits = limits::single_line();
    single_line::Asks {
        floor_mm: settings.floor_mm,
        wall_beads: limits.wall.value,
        strip: limits.strip.value,
        step_beads: limits.step.value,
    }
}

/// How a part's material cools, where both its numbers are known.
fn cooling(kit: &Kit, part: &Part) -> Option<Cooling> {
    let material = kit.material_of(part);
    Some(Cooling {
        cte_per_k: material.cte_per_k?,
        tg_c: material.tg_c?,
        chamber_c: limits::stability().chamber.value,
    })
}

/// The facts by which a promise is judged: at both ends of its range, and at the settings' own height where the
/// promise admits it with the same line.
pub(crate) fn on<'a>(
    facts: &'a PartFacts,
    settings: &Settings,
    promise: &Promise,
) -> Vec<&'a PrintFacts> {
    let Some(Ok(print)) = &facts.print else {
        return Vec::new();
    };
    let there = settings.on(promise);
    let mut wanted = vec![Height {
        layer_mm: there.layer_mm,
        bead_mm: there.bead_mm,
    }];
    wanted.extend(ends(settings, promise));
    print
        .iter()
        .filter(|p| wanted.contains(&p.height))
        .collect()
}

fn own(settings: &Settings) -> Height {
    Height {
        layer_mm: settings.layer_mm,
        bead_mm: settings.bead_mm,
    }
}

/// Both ends of a promise's range of heights, the line scaled to its nozzle.
fn ends(settings: &Settings, promise: &Promise) -> Vec<Height> {
    match promise.machine {
        Machine::Filament {
            nozzle_mm,
            layers_mm,
        } => layers_mm
            .map(|layer_mm| Height {
                layer_mm,
                bead_mm: settings.bead_on_mm(nozzle_mm),
            })
            .to_vec(),
        Machine::Vat { .. } => Vec::new(),
    }
}

/// What is wrong with a part's layers, where their volume is not that of the facets they are cut from.
pub(crate) fn wrong_volume(facts: &PartFacts) -> Option<String> {
    let Some(Ok(print)) = &facts.print else {
        return None;
    };
    let share = limits::ambiguity_limits().volume.value;
    let (height, volume) = print
        .iter()
        .filter_map(|p| Some((p.height, p.volume?)))
        .find(|(_, v)| v.apart() > share)?;
    Some(format!(
        "at layers of {} mm their outlines add up to {:.1} mm3, the facets to {:.1} mm3: report this",
        height.layer_mm, volume.slices_mm3, volume.facets_mm3
    ))
}
