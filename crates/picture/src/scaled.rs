//! A part whose facets have a measured value each, in the colours of a scale, with the worst place ringed.

use mesh::Mesh;
use mesh::vector::Vec3;

use crate::camera::{Rotation, View, from_pose, pose_direction};
use crate::canvas::{Canvas, Image};
use crate::marker::{Mark, mark};
use crate::palette::tone_colour;
use crate::raster::{self, NOTHING};
use crate::render::{PartPicture, SAMPLES, Scene, paint, silhouette_box};
use crate::scale::{STEPS, lit, step_colour, step_of};

/// Tones of each colour.
const TONES: usize = 32;
/// Radius of the ring around the worst place, pixels.
const RING_PX: f64 = 15.0;
/// How far above or below level the eye stands, degrees, and how far around.
const ELEVATION_DEG: f64 = 28.0;
const AZIMUTH_DEG: f64 = -58.0;

/// From where a part is looked at, in the print pose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Eye {
    /// From above.
    Above,
    /// From below: the plate is left out.
    Below,
}

/// The view of a whole part.
fn view_of(mesh: &Mesh, to_pose: &Rotation, eye: Eye, size_px: [usize; 2]) -> Option<View> {
    let up = from_pose(to_pose, [0.0, 0.0, 1.0]);
    let elevation = match eye {
        Eye::Above => ELEVATION_DEG,
        Eye::Below => -ELEVATION_DEG,
    };
    let toward = from_pose(to_pose, pose_direction(AZIMUTH_DEG, elevation));
    let blank = View::from_direction(toward, up, size_px[0], size_px[1]);
    Some(blank.aimed_at(&silhouette_box(mesh, &blank)?, 0.06))
}

fn drawn(mesh: &Mesh, to_pose: &Rotation, view: &View, marked: &[u32]) -> (Canvas, raster::Seen) {
    let scene = Scene {
        mesh,
        to_pose: *to_pose,
        ground: None,
        marked,
    };
    let seen = raster::look(mesh, view, SAMPLES);
    (paint(&scene, view, &seen), seen)
}

/// A part with facets hatched and places ringed: the first with a large ring, the others with small ones. `None`
/// for a mesh without facets.
pub fn marked_picture(
    mesh: &Mesh,
    to_pose: &Rotation,
    eye: Eye,
    marked: &[u32],
    places: &[Vec3],
    size_px: [usize; 2],
) -> Option<PartPicture> {
    let view = view_of(mesh, to_pose, eye, size_px)?;
    let (mut canvas, _) = drawn(mesh, to_pose, &view, marked);
    ring(&mut canvas, &view, places);
    Some(PartPicture {
        image: canvas.finish(),
        view,
        scale_bar: view.scale_bar(0.2),
    })
}

fn ring(canvas: &mut Canvas, view: &View, places: &[Vec3]) {
    for (k, &place) in places.iter().enumerate().rev() {
        let [x, y, _] = view.project(place);
        let kind = if k == 0 { Mark::Worst } else { Mark::Also };
        mark(
            canvas,
            [x, y],
            if k == 0 { RING_PX } else { 0.5 * RING_PX },
            kind,
        );
    }
}

/// A part with a value a facet: 0 to `top` in the steps of the scale, below 0 pale. `None` for a mesh
/// without facets.
pub fn scaled_picture(
    mesh: &Mesh,
    to_pose: &Rotation,
    eye: Eye,
    values: &[f32],
    top: f64,
    places: &[Vec3],
    size_px: [usize; 2],
) -> Option<PartPicture> {
    let view = view_of(mesh, to_pose, eye, size_px)?;
    let (mut canvas, seen) = drawn(mesh, to_pose, &view, &[]);
    let before = canvas.clone();
    ring(&mut canvas, &view, places);
    // Colour 0 is pale, apart from the grey in the middle of the scale; the last is the ring's accent over whatever is
    // beneath.
    let mut palette: Vec<[u8; 3]> = (0..TONES).map(|t| tone_colour(paled(share(t)))).collect();
    for step in 0..STEPS {
        palette.extend((0..TONES).map(|t| lit(step_colour(step), share(t))));
    }
    let accent = palette.len() as u8;
    palette.push(crate::palette::ACCENT);
    let class = |x: usize, y: usize| {
        let mut votes = [0u8; STEPS + 1];
        for j in 0..seen.per_px {
            for i in 0..seen.per_px {
                let facet = seen.at(x * seen.per_px + i, y * seen.per_px + j).facet;
                let value = values.get(facet as usize).copied().unwrap_or(-1.0);
                let k = if facet == NOTHING || value < 0.0 {
                    0
                } else {
                    1 + step_of(f64::from(value), top)
                };
                votes[k] += 1;
            }
        }
        (0..votes.len())
            .rev()
            .max_by_key(|&k| votes[k])
            .unwrap_or(0)
    };
    let indices = canvas
        .pixels
        .iter()
        .enumerate()
        .map(|(at, &[tone, over])| {
            if over > 127 {
                return accent;
            }
            let (x, y) = (at % view.width_px, at / view.width_px);
            let tone = (usize::from(tone) * (TONES - 1) + 127) / 255;
            // The light rim of a ring is paper, not colour.
            let class = if before.pixels[at][0] == canvas.pixels[at][0] {
                class(x, y)
            } else {
                0
            };
            (class * TONES + tone) as u8
        })
        .collect();
    Some(PartPicture {
        image: Image {
            width_px: view.width_px,
            height_px: view.height_px,
            indices,
            palette,
        },
        view,
        scale_bar: view.scale_bar(0.2),
    })
}

/// A tone nearer to paper, ink left as it is.
fn paled(tone: f64) -> f64 {
    const INK: f64 = 0.2;
    const PALE: f64 = 0.7;
    if tone < INK {
        tone * PALE / INK
    } else {
        PALE + (1.0 - PALE) * (tone - INK) / (1.0 - INK)
    }
}

fn share(tone: usize) -> f64 {
    tone as f64 / (TONES - 1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    const AS_MODELLED: Rotation = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    #[test]
    fn a_value_shows_in_its_colour_and_none_pale() {
        let mesh = crate::closeup::block([0.0; 3], [30.0, 20.0, 10.0]);
        let picture = |value: f32| {
            let values = vec![value; mesh.triangles.len()];
            scaled_picture(
                &mesh,
                &AS_MODELLED,
                Eye::Above,
                &values,
                0.2,
                &[],
                [120, 90],
            )
            .expect("a picture")
        };
        let classes = |value: f32| {
            let mut all: Vec<usize> = picture(value)
                .image
                .indices
                .iter()
                .map(|&i| usize::from(i) / TONES)
                .collect();
            all.sort_unstable();
            all.dedup();
            all
        };
        assert_eq!(classes(-1.0), [0]);
        assert_eq!(classes(0.01), [0, 1]);
        assert_eq!(classes(0.2), [0, STEPS]);
        assert!(picture(0.1).image.png().expect("it encodes").len() < 20_000);
        let empty = Mesh::default();
        assert!(
            scaled_picture(&empty, &AS_MODELLED, Eye::Above, &[], 0.2, &[], [40, 30]).is_none()
        );
        assert!(marked_picture(&empty, &AS_MODELLED, Eye::Below, &[], &[], [40, 30]).is_none());
        let below = marked_picture(
            &mesh,
            &AS_MODELLED,
            Eye::Below,
            &[0],
            &[[1.0; 3]],
            [120, 90],
        );
        assert!(below.expect("a picture").view.toward[2] < 0.0);
    }
}
