//! A direction measured on the part itself: supports on its layers, the rest on its facets.

use layers::{Posed, Slicer};
use mesh::vector::{Vec3, dot};
use mesh::{Edges, Mesh};

use super::candidates::Candidate;
use super::columns::{Grid, Lean, Room, footing};
use super::normal_image::NormalImage;
use super::slender::{Slender, least_section_mm2};
use super::surface::{Surface, frame};
use super::{Asks, Way};
use crate::hull2::convex_hull;
use crate::print::{Height, overhang};
use crate::size::outline_with_brim;
use crate::turning::best_turn;

/// A part as it is measured.
pub(super) struct Part<'a> {
    pub mesh: &'a Mesh,
    pub edges: &'a Edges,
    pub surface: &'a Surface,
    pub image: &'a NormalImage,
    pub slender: &'a [Slender],
    pub centroid: Vec3,
    pub lean: Lean,
    pub grid: Grid,
}

/// Measures a direction; `None` where its layers cannot be.
pub(super) fn way(part: &Part, candidate: &Candidate, asks: &Asks) -> Option<Way> {
    let up = candidate.up;
    let rows = frame(up);
    let posed = Posed::new(part.mesh, &rows);
    if posed.height_mm / asks.layer_mm > asks.most_layers as f64 {
        return None;
    }
    let slicer = Slicer::new(&posed, part.edges);
    let stack = slicer.stack(asks.layer_mm).closing(asks.crack_mm);
    let height = Height {
        layer_mm: asks.layer_mm,
        bead_mm: asks.bead_mm,
    };
    let hangs = overhang::measure(&stack, &height, &asks.overhang).ok()?;
    let needs_support = !hangs.islands.is_empty()
        || hangs.places.iter().any(|p| {
            let far = p.air_mm > asks.air_mm && p.air_mm2 > asks.air_mm2;
            p.island || far || p.span_mm > asks.span_mm
        });
    let mut room = Room::default();
    let foot = footing(
        part.surface,
        up,
        part.centroid,
        part.lean,
        part.grid,
        &mut room,
    );
    Some(Way {
        up,
        origin: candidate.origin,
        overhang_mm2: hangs.area_mm2,
        needs_support,
        support_mm3: hangs.support.volume_mm3,
        contact_mm2: hangs.support.contact_mm2,
        landing_mm2: hangs.support.landing_mm2,
        scar_mm2: foot.scar_mm2,
        shown_mm2: part.image.shown_mm2(),
        step_mm: part.image.step_mm(up, asks.layer_mm),
        height_mm: foot.height_mm,
        first_layer_mm2: foot.first_layer_mm2,
        flat_mm2: foot.flat_mm2,
        tip_deg: foot.tip_deg,
        section_mm2: least_section_mm2(part.slender, up),
        fits: fits(part.surface, &rows, foot.height_mm, asks),
    })
}

/// Whether it lies within every plate, turned about the vertical as need be.
fn fits(surface: &Surface, rows: &[Vec3; 3], height_mm: f64, asks: &Asks) -> bool {
    if asks.plates.is_empty() {
        return true;
    }
    let points: Vec<[f64; 2]> = surface
        .corners
        .iter()
        .map(|&p| {
            let p = mesh::vector::wide(p);
            [dot(rows[0], p), dot(rows[1], p)]
        })
        .collect();
    let shadow = convex_hull(&points);
    // A brim grows the foot; around the whole shadow it is on the safe side.
    let hull = outline_with_brim(&shadow, &shadow, asks.brim_mm);
    let over = -asks.rounding_mm;
    asks.plates.iter().all(|&[width, depth, height]| {
        height - height_mm >= over
            && best_turn(&hull, width, depth).is_some_and(|turned| turned.slack_mm >= over)
    })
}
