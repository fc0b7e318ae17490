//! Draw: pictures of parts and of findings, as inline SVG for the page; arrow solids for CAD.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use base64::Engine;
use kit::Kit;
use picture::{PartPicture, part_picture};
use report::{Figure, Figures};

use crate::proof::Proof;
use crate::stages::inspect::Inspected;

/// Width and height of a part's picture, pixels.
const PART_PX: [usize; 2] = [560, 440];

/// The pictures of a report. A picture that fails is left out: the report stands without it.
pub fn figures(proof: &Proof) -> Figures {
    let _span = tracing::info_span!("draw").entered();
    let kit = &proof.kit;
    let drawn = parallel::map_caught(&proof.inspected, |i, inspected| {
        part_figure(kit, &kit.parts[i], inspected)
    });
    let parts: BTreeMap<String, Figure> = kit
        .parts
        .iter()
        .zip(drawn)
        .filter_map(|(part, figure)| Some((part.id.clone(), figure.ok()??)))
        .collect();
    Figures {
        parts,
        findings: BTreeMap::new(),
    }
}

fn part_figure(kit: &Kit, part: &kit::Part, inspected: &Inspected) -> Option<Figure> {
    if inspected.mesh.triangles.is_empty() {
        return None;
    }
    let _span = tracing::debug_span!("picture", part = part.id.as_str()).entered();
    let plate = kit
        .promises_for(part)
        .first()
        .map(|p| [p.plate_mm[0], p.plate_mm[1]]);
    let shot = part_picture(&inspected.mesh, &part.orientation.turn, plate, PART_PX);
    let svg = framed(&shot, &part.id)?;
    Some(Figure {
        svg,
        caption: format!("{} in its print pose", part.id),
    })
}

/// A picture with its scale bar, as an SVG element that holds the PNG.
fn framed(shot: &PartPicture, title: &str) -> Option<String> {
    let png = shot.image.png().ok()?;
    let data = base64::engine::general_purpose::STANDARD.encode(png);
    let (w, h) = (shot.image.width_px, shot.image.height_px);
    let mut svg = String::new();
    let _ = write!(
        svg,
        "<svg viewBox=\"0 0 {w} {h}\" role=\"img\" aria-label=\"{title}\">\
         <image width=\"{w}\" height=\"{h}\" href=\"data:image/png;base64,{data}\"/>"
    );
    let bar = shot.scale_bar;
    let (x, y) = (14.0, h as f64 - 14.0);
    let _ = write!(
        svg,
        "<path d=\"M{x} {top}V{y}H{end}V{top}\" fill=\"none\" stroke=\"#1c2430\" stroke-width=\"1.6\"/>\
         <text x=\"{tx}\" y=\"{ty}\" font-size=\"15\" fill=\"#1c2430\" font-family=\"sans-serif\">{mm} mm</text></svg>",
        top = y - 6.0,
        end = x + bar.length_px,
        tx = x + bar.length_px + 7.0,
        ty = y + 1.0,
        mm = bar.length_mm,
    );
    Some(svg)
}

/// Arrow solids at the places of findings, a binary STL a part.
pub fn marks(_proof: &Proof) -> Vec<(String, Vec<u8>)> {
    Vec::new()
}
