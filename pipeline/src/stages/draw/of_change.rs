//! A changed part before and after, side by side in the present print pose: on the new one the depth of what changed,
//! in the colours of a published scale; the deepest place ringed on both.

use kit::Part;
use mesh::Mesh;
use picture::scale::{STEPS, step_colour};
use picture::{Eye, marked_picture, scaled_picture};
use report::Figure;
use revisions::PartChange;

use super::frame::{Legend, beside, explained, framed};

/// Width and height of each half, pixels.
const SIZE_PX: [usize; 2] = [480, 380];
/// Places that are ringed, at most.
const RINGS: usize = 3;

/// The picture; `None` where nothing changed, or a mesh is missing. `depths` holds the unsigned distance of every
/// facet of the new part from the old one, mm; negative where it did not change.
pub fn figure(
    part: &Part,
    (old, old_name): (&Mesh, &str),
    (new, new_name): (&Mesh, &str),
    change: &PartChange,
    depths: &[f32],
) -> Option<Figure> {
    let places: Vec<[f64; 3]> = change.regions.iter().take(RINGS).map(|r| r.at).collect();
    let turn = &part.orientation.turn;
    // The old part in the present frame, so that both stand alike.
    let turned = carried(old, change);
    let eye = eye_of(new, turn, &places);
    let before = marked_picture(&turned, turn, eye, &[], &places, SIZE_PX)?;
    let top = change.max_mm;
    let after = scaled_picture(new, turn, eye, depths, top, &places, SIZE_PX)?;
    let edge = |k: usize| top * k as f64 / STEPS as f64;
    let rows = (0..STEPS)
        .map(|k| {
            let words = format!("{:.2} to {:.2} mm", edge(k), edge(k + 1));
            (Some(step_colour(k)), words)
        })
        .chain([
            (None, "pale, without colour: the same as before".to_string()),
            (None, "large ring: the deepest place".to_string()),
        ])
        .collect();
    let legend = Legend {
        title: format!("{new_name}: distance from the surface of {old_name}"),
        rows,
    };
    let caption = format!("{} in {old_name} (left) and in {new_name} (right)", part.id);
    let left = framed(
        &before.image,
        before.scale_bar,
        &format!("{} in {old_name}", part.id),
    )?;
    let right = explained(
        &after.image,
        after.scale_bar,
        &format!("{} in {new_name}", part.id),
        &[],
        &legend,
    )?;
    Some(Figure {
        svg: beside(&left, &right, &caption, SIZE_PX)?,
        caption,
    })
}

/// From above, unless the deepest place lies on the part's lower side.
fn eye_of(mesh: &Mesh, turn: &[[f64; 3]; 3], places: &[[f64; 3]]) -> Eye {
    let height = |p: [f64; 3]| turn[2][0] * p[0] + turn[2][1] * p[1] + turn[2][2] * p[2];
    let Some(deepest) = places.first() else {
        return Eye::Above;
    };
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for v in &mesh.vertices {
        let h = height(v.map(f64::from));
        (least, most) = (least.min(h), most.max(h));
    }
    /// The lowest tenth of a part is better seen from below.
    const LOW: f64 = 0.1;
    if height(*deepest) < least + LOW * (most - least) {
        Eye::Below
    } else {
        Eye::Above
    }
}

/// A mesh of the base where it lies over the present one.
fn carried(mesh: &Mesh, change: &PartChange) -> Mesh {
    let vertices = mesh
        .vertices
        .iter()
        .map(|v| change.onto.at(v.map(f64::from)).map(|x| x as f32))
        .collect();
    Mesh::new(vertices, mesh.triangles.clone())
}
