//! A finding in two pictures: the part with the place ringed, and the place from near.

use findings::Place;
use mesh::vector::Vec3;

use crate::camera::{ScaleBar, View, cell, from_pose, posed_box};
use crate::canvas::{Canvas, Image};
use crate::ground::Ground;
use crate::marker::{Mark, mark};
use crate::raster::{self, NOTHING};
use crate::render::{SAMPLES, Scene, paint, render, silhouette_box};
use crate::sight::{Outlook, Sights};

/// The near picture shows at least this share of the part's diagonal, and this many times the reach of
/// the fault, and this many millimetres.
const LEAST_SHARE: f64 = 0.14;
const REACHES: f64 = 7.0;
const LEAST_MM: f64 = 2.0;
/// Directions that are tried in the near picture before a place counts as hidden.
const TRIES: usize = 5;
/// A place is in sight when nothing nearer than this many pixels' worth of depth lies before it.
const DEPTH_PX: f64 = 4.0;
/// Radii of rings, pixels.
const NEAR_RING_PX: f64 = 26.0;
const LEAST_RING_PX: f64 = 13.0;
const ALSO_RING_PX: f64 = 6.0;
/// At most this many other places are ringed.
const ALSO_PLACES: usize = 40;

/// One picture of a pair.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// The picture, marks included.
    pub image: Image,
    /// The view: projects places to pixels.
    pub view: View,
    /// Where the worst place is, pixels.
    pub place_px: [f64; 2],
    /// Radius of its ring, pixels.
    pub ring_px: f64,
    /// A scale bar for the picture plane.
    pub scale_bar: ScaleBar,
}

/// A finding in pictures.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingPicture {
    /// The whole part with the place ringed, and the finding's other places with small rings.
    pub wide: Shown,
    /// The place from near.
    pub near: Shown,
    /// Whether the worst place is in sight; else its ring is dashed, and a section shows it better.
    pub in_sight: bool,
}

/// Pictures of a finding's places, the worst first, from the direction that shows the worst place best.
/// `wide_px` and `near_px` are width and height. `None` without a place or a mesh.
pub fn finding_picture(
    scene: &Scene,
    sights: &Sights,
    places: &[Place],
    wide_px: [usize; 2],
    near_px: [usize; 2],
) -> Option<FindingPicture> {
    let worst = places.first()?;
    let (posed, _) = posed_box(scene.mesh, &scene.to_pose)?;
    let diagonal = posed.diagonal();
    let span = (LEAST_SHARE * diagonal)
        .max(REACHES * worst.reach_mm)
        .max(LEAST_MM)
        .min(1.2 * diagonal.max(LEAST_MM));
    let outlooks = sights.outlooks(scene.mesh, worst.at, worst.outward);
    let (near, in_sight) = best_near(scene, &outlooks, worst.at, near_px, span)?;
    let (near_view, near_canvas) = near;

    let wide_view = {
        let upward = from_pose(&scene.to_pose, [0.0, 0.0, 1.0]);
        let blank = View {
            width_px: wide_px[0].max(1),
            height_px: wide_px[1].max(1),
            ..near_view
        };
        let mut points = silhouette_box(scene.mesh, &blank)?;
        points.extend(
            scene
                .ground
                .iter()
                .flat_map(Ground::corners)
                .filter(|_| mesh::vector::dot(blank.toward, upward) > 0.05),
        );
        points.push(worst.at);
        let whole = blank.aimed_at(&points, 0.05);
        // Again with the ring, which must not leave the picture where the place lies at the part's rim.
        let ring_mm = ring_px(&whole, span) / whole.px_per_mm;
        for (axis, by) in [whole.right, whole.up]
            .into_iter()
            .flat_map(|axis| [(axis, ring_mm), (axis, -ring_mm)])
        {
            points.push([0, 1, 2].map(|k| worst.at[k] + by * axis[k]));
        }
        blank.aimed_at(&points, 0.05)
    };
    let wide_canvas = render(scene, &wide_view);
    let kind = if in_sight { Mark::Worst } else { Mark::Hidden };
    let ring = ring_px(&wide_view, span);
    Some(FindingPicture {
        wide: shown(wide_canvas, wide_view, places, ring, kind),
        near: shown(near_canvas, near_view, places, NEAR_RING_PX, kind),
        in_sight,
    })
}

/// Radius of the worst place's ring in a view of the whole part, pixels.
fn ring_px(view: &View, span: f64) -> f64 {
    (0.5 * span * view.px_per_mm).clamp(LEAST_RING_PX, 0.12 * view.width_px as f64 + LEAST_RING_PX)
}

/// The near picture from the first direction in which the place is really in sight, else from the first.
fn best_near(
    scene: &Scene,
    outlooks: &[Outlook],
    at: Vec3,
    near_px: [usize; 2],
    span: f64,
) -> Option<((View, Canvas), bool)> {
    let view_of = |o: &Outlook| {
        View::from_direction(o.toward, o.upward, near_px[0], near_px[1]).zoomed(at, span)
    };
    for outlook in outlooks.iter().take(TRIES).filter(|o| o.worth > 0.0) {
        let view = view_of(outlook);
        let seen = raster::look(scene.mesh, &view, SAMPLES);
        if in_sight(&seen, &view, at) {
            let canvas = paint(scene, &view, &seen);
            return Some(((view, canvas), true));
        }
    }
    let view = view_of(outlooks.first()?);
    Some(((view, render(scene, &view)), false))
}

/// Whether nothing lies before a place, but for what touches it.
fn in_sight(seen: &raster::Seen, view: &View, at: Vec3) -> bool {
    let [x, y, depth] = view.project(at);
    let n = seen.per_px as f64;
    let room = DEPTH_PX / view.px_per_mm;
    let (cx, cy) = (cell(x * n), cell(y * n));
    let reach = seen.per_px as i64;
    let (mut free, mut all) = (0, 0);
    for j in -reach..=reach {
        for i in -reach..=reach {
            let (sx, sy) = (cx + i, cy + j);
            if sx < 0 || sy < 0 || sx >= seen.width as i64 || sy >= seen.height as i64 {
                continue;
            }
            all += 1;
            let s = seen.at(sx as usize, sy as usize);
            if s.facet == NOTHING || f64::from(s.depth) <= depth + room {
                free += 1;
            }
        }
    }
    2 * free >= all && all > 0
}

fn shown(mut canvas: Canvas, view: View, places: &[Place], ring: f64, kind: Mark) -> Shown {
    let at = |p: &Place| {
        let [x, y, _] = view.project(p.at);
        [x, y]
    };
    for place in places.iter().skip(1).take(ALSO_PLACES).rev() {
        mark(&mut canvas, at(place), ALSO_RING_PX, Mark::Also);
    }
    let place_px = places.first().map(at).unwrap_or_default();
    mark(&mut canvas, place_px, ring, kind);
    Shown {
        image: canvas.finish(),
        view,
        place_px,
        ring_px: ring,
        scale_bar: view.scale_bar(0.22),
    }
}

/// A block with sides along the axes, for the tests of this crate.
#[cfg(test)]
pub(crate) fn block(low: Vec3, high: Vec3) -> mesh::Mesh {
    let vertices: Vec<[f32; 3]> = (0..8u8)
        .map(|k| [0, 1, 2].map(|a| if k >> a & 1 == 1 { high[a] } else { low[a] } as f32))
        .collect();
    let quads = [
        [0u32, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let triangles = quads
        .iter()
        .flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]])
        .collect();
    mesh::Mesh::new(vertices, triangles)
}

#[cfg(test)]
mod tests {
    use super::*;

    const AS_MODELLED: [Vec3; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    /// A block of 40 x 40 x 30 open at nothing, beside a second that hides its right side.
    fn two_blocks() -> mesh::Mesh {
        let mut a = block([0.0; 3], [40.0, 40.0, 30.0]);
        let b = block([41.0, -20.0, 0.0], [60.0, 60.0, 80.0]);
        let base = a.vertices.len() as u32;
        a.vertices.extend(b.vertices);
        a.triangles
            .extend(b.triangles.iter().map(|t| t.map(|v| v + base)));
        mesh::Mesh::new(a.vertices, a.triangles)
    }

    fn picture(mesh: &mesh::Mesh, place: Place) -> FindingPicture {
        let scene = Scene {
            mesh,
            to_pose: AS_MODELLED,
            ground: None,
            marked: &[],
        };
        let sights = Sights::of(mesh, &AS_MODELLED);
        finding_picture(&scene, &sights, &[place], [240, 180], [160, 160]).expect("a place")
    }

    #[test]
    fn a_place_on_each_side_is_seen_from_that_side() {
        let mesh = block([0.0; 3], [40.0, 40.0, 30.0]);
        for (at, n) in [
            ([20.0, 20.0, 30.0], [0.0, 0.0, 1.0]),
            ([20.0, 20.0, 0.0], [0.0, 0.0, -1.0]),
            ([40.0, 20.0, 15.0], [1.0, 0.0, 0.0]),
            ([0.0, 20.0, 15.0], [-1.0, 0.0, 0.0]),
            ([20.0, 40.0, 15.0], [0.0, 1.0, 0.0]),
            ([20.0, 0.0, 15.0], [0.0, -1.0, 0.0]),
        ] {
            for outward in [Some(n), None] {
                let place = Place {
                    outward,
                    ..Place::at(at)
                };
                let got = picture(&mesh, place);
                assert!(got.in_sight, "{at:?} {outward:?}");
                let facing = mesh::vector::dot(got.near.view.toward, n);
                assert!(facing > 0.1, "{at:?} {outward:?}: {facing}");
                let p = got.wide.place_px;
                assert!(p[0] > 0.0 && p[0] < 240.0 && p[1] > 0.0 && p[1] < 180.0);
            }
        }
    }

    #[test]
    fn a_place_in_a_narrow_slit_or_inside_is_hidden_and_one_above_it_is_not() {
        let mesh = two_blocks();
        let slit = Place::at([40.0, 20.0, 5.0]).outward([1.0, 0.0, 0.0]);
        assert!(!picture(&mesh, slit).in_sight);
        assert!(!picture(&mesh, Place::at([20.0, 20.0, 15.0])).in_sight);
        let top = Place::at([20.0, 20.0, 30.0]).outward([0.0, 0.0, 1.0]);
        assert!(picture(&mesh, top).in_sight);
    }

    #[test]
    fn the_bytes_are_the_same_with_any_number_of_threads() {
        let mesh = two_blocks();
        let draw = |threads| {
            parallel::with_threads(threads, || {
                let got = picture(
                    &mesh,
                    Place::at([20.0, 0.0, 15.0]).outward([0.0, -1.0, 0.0]),
                );
                [got.wide, got.near].map(|s| s.image.png().expect("it encodes"))
            })
            .expect("threads start")
        };
        let one = draw(1);
        assert_eq!(one, draw(2));
        assert_eq!(one, draw(8));
    }

    #[test]
    fn a_place_that_is_no_number_or_far_away_is_drawn_without_complaint() {
        let mesh = block([0.0; 3], [40.0, 40.0, 30.0]);
        for at in [[f64::NAN; 3], [f64::INFINITY, 0.0, 0.0], [1e30; 3]] {
            let got = picture(&mesh, Place::at(at).outward([f64::NAN; 3]));
            assert_eq!(got.wide.image.indices.len(), 240 * 180);
        }
    }

    #[test]
    fn no_place_and_no_mesh_give_no_picture() {
        let empty = mesh::Mesh::default();
        let scene = Scene {
            mesh: &empty,
            to_pose: AS_MODELLED,
            ground: None,
            marked: &[],
        };
        let sights = Sights::of(&empty, &AS_MODELLED);
        let got = finding_picture(&scene, &sights, &[Place::at([0.0; 3])], [64, 48], [48, 48]);
        assert!(got.is_none());
        assert!(finding_picture(&scene, &sights, &[], [64, 48], [48, 48]).is_none());
    }
}
