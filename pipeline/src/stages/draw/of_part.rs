//! A part in its print pose, on the first plate it is promised on.

use kit::{Kit, Part};
use measure::size::Rotation;
use mesh::Mesh;
use picture::part_picture;
use report::Figure;

use super::frame::framed;

/// Width and height, pixels.
const SIZE_PX: [usize; 2] = [560, 440];

/// The part laid another way, as a PNG.
///
/// # Errors
/// Where the picture cannot be encoded, in words.
pub fn laid(kit: &Kit, part: &Part, mesh: &Mesh, turn: &Rotation) -> Result<Vec<u8>, String> {
    part_picture(mesh, turn, plate(kit, part), SIZE_PX)
        .image
        .png()
}

fn plate(kit: &Kit, part: &Part) -> Option<[f64; 2]> {
    kit.promises_for(part)
        .first()
        .map(|p| [p.plate_mm[0], p.plate_mm[1]])
}

/// The picture; `None` for a part without a mesh.
pub fn figure(kit: &Kit, part: &Part, mesh: &Mesh) -> Option<Figure> {
    if mesh.triangles.is_empty() {
        return None;
    }
    let shot = part_picture(mesh, &part.orientation.turn, plate(kit, part), SIZE_PX);
    let caption = format!("{} in its print pose", part.id);
    Some(Figure {
        svg: framed(&shot.image, shot.scale_bar, &caption)?,
        caption,
    })
}
