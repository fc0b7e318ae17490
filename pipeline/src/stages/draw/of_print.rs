//! A part in its print pose from below, with what hangs, bridges and begins in the air.

use kit::{Kit, Part};
use measure::PartFacts;
use measure::print::overhang::Overhangs;
use measure::print::undersides::undersides;
use mesh::Mesh;
use mesh::vector::Vec3;
use picture::{Eye, marked_picture};
use report::Figure;

use super::frame::{Legend, Letter, explained};

/// Width and height, pixels.
const SIZE_PX: [usize; 2] = [480, 380];
/// So many places get a letter.
const LETTERS: usize = 5;

/// The picture; `None` where nothing hangs.
pub fn figure(kit: &Kit, part: &Part, facts: &PartFacts, mesh: &Mesh) -> Option<Figure> {
    let own = facts.print.as_ref()?.as_ref().ok()?.first()?;
    let hangs = &own.overhang;
    let mut places = listed(hangs);
    if places.is_empty() {
        return None;
    }
    let more = places.len().saturating_sub(LETTERS);
    places.truncate(LETTERS);
    let allowed_deg = kit.settings_of(part).overhang_deg;
    let marked = undersides(mesh, &part.orientation.turn, hangs, allowed_deg);
    let at: Vec<Vec3> = places.iter().map(|p| p.0).collect();
    let shot = marked_picture(
        mesh,
        &part.orientation.turn,
        Eye::Below,
        &marked,
        &at,
        SIZE_PX,
    )?;
    let mut letters = Vec::new();
    let mut legend = Legend::default();
    for (k, (at, words)) in places.into_iter().enumerate() {
        let letter = char::from(b'A' + k as u8).to_string();
        let [x, y, _] = shot.view.project(at);
        legend.rows.push((None, format!("{letter}  {words}")));
        letters.push(Letter {
            at_px: [x, y],
            text: letter,
        });
    }
    if more > 0 {
        legend.rows.push((None, format!("and {more} more")));
    }
    let caption = format!(
        "{} in its print pose, from below, at {} mm layers: hatched, what hangs freely",
        part.id, own.height.layer_mm
    );
    Some(Figure {
        svg: explained(&shot.image, shot.scale_bar, &caption, &letters, &legend)?,
        caption,
    })
}

/// Every place with its words; an overhang that bridges carry is named by them.
fn listed(hangs: &Overhangs) -> Vec<(Vec3, String)> {
    let free = hangs.places.iter().filter(|o| o.span_mm == 0.0);
    let overhang = free.map(|o| {
        let words = format!(
            "overhang, reaches {:.1} mm over {:.0} mm2, {:.1} mm up",
            o.reach_mm, o.area_mm2, o.height_mm
        );
        (o.at, words)
    });
    let bridges = hangs.bridges.iter().map(|b| {
        let words = format!(
            "bridge, spans {:.1} mm, {:.1} mm up",
            b.span_mm, b.height_mm
        );
        (b.at, words)
    });
    let islands = hangs.islands.iter().map(|i| {
        (
            i.at,
            format!("island, begins in the air {:.1} mm up", i.height_mm),
        )
    });
    islands.chain(bridges).chain(overhang).collect()
}
