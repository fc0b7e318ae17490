//! Whether another way to lay a part on the plate would serve it better.

mod weigh;
mod words;

pub mod dominated;

use kit::{Kit, Part, Process};
use measure::orientation::{Asks, Shown, SlenderAsk};
use measure::print::overhang;
use measure::show::ShowFacts;

pub use weigh::{dominates, offered};
pub(crate) use words::volume;
pub use words::{compared, on_a_flat, up_line};

/// What is asked of a part's orientations; `None` where it is not printed in layers of filament. `thorough` where the
/// search was asked for by name.
pub fn asks(kit: &Kit, part: &Part, show: Option<&ShowFacts>, thorough: bool) -> Option<Asks> {
    if kit.material_of(part).process != Process::Filament {
        return None;
    }
    let limits = limits::orientation();
    let layers = limits::layers();
    let settings = kit.settings_of(part);
    let plates = kit
        .promises_for(part)
        .into_iter()
        .map(|promise| {
            let [width, depth, height] = promise.plate_mm;
            let edge = promise.edge_margin_mm + promise.edge_margin_mm;
            [width - edge, depth - edge, height]
        })
        .collect();
    let uniform = if thorough {
        limits.uniform_thorough.value
    } else {
        limits.uniform.value
    };
    Some(Asks {
        intended: part.orientation.up,
        shown: show.map_or(Shown::All, |show| Shown::of_steps(&show.steps)),
        layer_mm: settings.layer_mm,
        bead_mm: settings.bead_mm,
        crack_mm: crate::print::crack_mm(),
        most_layers: layers.most_layers.value as usize,
        overhang: overhang::Asks {
            most_pixels: limits.pixels.value,
            ..crate::print::hanging(settings)
        },
        air_mm: layers.air.value,
        air_mm2: layers.air_area.value,
        span_mm: layers.bridge_block.value,
        plates,
        brim_mm: settings.brim_mm,
        rounding_mm: limits::size_limits().rounding.value,
        slender: SlenderAsk {
            most_mm2: limits.slender_section.value,
            least_ratio: limits.slender_ratio.value,
        },
        uniform: uniform as usize,
        kept: limits.kept.value as usize,
        triangles: limits.triangles.value as usize,
        column_mm: limits.column.value,
        exact: limits.exact.value as usize,
        stands_deg: limits.stands.value,
        footing_mm2: limits.footing.value,
        height_mm2: limits.height_worth.value,
        steps: limits.steps_worth.value,
        apart_deg: limits.apart.value,
    })
}
