//! A part in its print pose, on the first plate it is promised on.

use kit::{Kit, Part};
use picture::part_picture;
use report::Figure;

use super::frame::framed;
use crate::stages::inspect::Inspected;

/// Width and height, pixels.
const SIZE_PX: [usize; 2] = [560, 440];

/// The picture; `None` for a part without a mesh.
pub fn figure(kit: &Kit, part: &Part, inspected: &Inspected) -> Option<Figure> {
    if inspected.mesh.triangles.is_empty() {
        return None;
    }
    let plate = kit
        .promises_for(part)
        .first()
        .map(|p| [p.plate_mm[0], p.plate_mm[1]]);
    let shot = part_picture(&inspected.mesh, &part.orientation.turn, plate, SIZE_PX);
    let caption = format!("{} in its print pose", part.id);
    Some(Figure {
        svg: framed(&shot.image, shot.scale_bar, &caption)?,
        caption,
    })
}
