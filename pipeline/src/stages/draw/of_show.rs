//! The show faces of a part with the height of the layers' steps on them.

use kit::Part;
use measure::show::{Basis, ShowFacts};
use mesh::Mesh;
use picture::scale::{STEPS, step_colour};
use picture::{Eye, scaled_picture};
use report::Figure;

use super::frame::{Legend, Letter, explained};

/// Width and height, pixels.
const SIZE_PX: [usize; 2] = [480, 380];
/// Stretches of a smaller share of the show faces get no ring.
const SPECK: f64 = 0.02;

/// The picture; `None` where no step is seen anywhere.
pub fn figure(part: &Part, mesh: &Mesh, show: &ShowFacts) -> Option<Figure> {
    if show.step_mm_worst <= 0.0 {
        return None;
    }
    // A speck needs no ring.
    let worst = show
        .coarse
        .first()
        .filter(|r| r.area_mm2 > SPECK * show.area_mm2);
    let places: Vec<[f64; 3]> = worst.iter().map(|r| r.at).collect();
    let top = show.layer_mm;
    let shot = scaled_picture(
        mesh,
        &part.orientation.turn,
        Eye::Above,
        &show.steps,
        top,
        &places,
        SIZE_PX,
    )?;
    let letters: Vec<Letter> = worst
        .iter()
        .map(|r| {
            let [x, y, _] = shot.view.project(r.at);
            Letter {
                at_px: [x, y],
                text: format!("{:.2} mm", r.worst),
            }
        })
        .collect();
    let edge = |k: usize| top * k as f64 / STEPS as f64;
    let rows = (0..STEPS)
        .map(|k| {
            let words = format!("{:.2} to {:.2} mm", edge(k), edge(k + 1));
            (Some(step_colour(k)), words)
        })
        .chain([(None, "pale, without colour: not on show".to_string())])
        .collect();
    let legend = Legend {
        title: format!("Step of a layer at {} mm layers", show.layer_mm),
        rows,
    };
    let basis = match show.basis {
        Basis::Assembled => "faces seen in the assembled kit",
        Basis::Alone => "faces seen on the part alone, which has no place in the kit",
        Basis::Declared => "faces along the declared directions",
        Basis::Every | Basis::Nothing => "every face",
    };
    let caption = format!("Layer lines of {} on {basis}", part.id);
    Some(Figure {
        svg: explained(&shot.image, shot.scale_bar, &caption, &letters, &legend)?,
        caption,
    })
}
