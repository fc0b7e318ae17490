//! From where a place can be seen: small depth pictures of a part from all around, asked for each place.
//!
//! The pictures are taken once a part and serve all its findings; the close picture of a place then
//! decides whether the place is really in sight.

use mesh::Mesh;
use mesh::vector::{Vec3, dot, unit};

use crate::camera::{Rotation, View, cell, from_pose, pose_direction, posed_box};
use crate::raster::{self, NOTHING, Seen};
use crate::render::three_quarter;

/// Side of a depth picture, pixels.
const SIDE_PX: usize = 160;
/// Elevations of the ring of directions and how well each is liked, degrees and share.
/// The lowest ring shows a flat underside as well as the view from straight below, and what it belongs to besides.
const ELEVATIONS: [(f64, f64); 4] = [(28.0, 1.0), (60.0, 0.92), (-28.0, 0.72), (-50.0, 0.8)];
/// Directions of a ring, and the azimuth of the first, degrees.
const AROUND: usize = 8;
const FIRST_AZIMUTH_DEG: f64 = -58.0;
/// How well the views from straight above and below are liked.
const ABOVE: f64 = 0.85;
const BELOW: f64 = 0.65;
/// Liking lost by the view that lies furthest around from the usual one.
const AROUND_LOSS: f64 = 0.12;
/// A surface further turned away than this cosine hardly shows the place.
const LEAST_FACING: f64 = 0.12;
/// A surface facing the eye better than this cosine shows no better.
const ENOUGH_FACING: f64 = 0.75;

/// Depth pictures of a part from all around.
pub struct Sights {
    shots: Vec<Shot>,
}

struct Shot {
    view: View,
    liked: f64,
    seen: Seen,
}

/// A direction to see a place from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlook {
    /// Towards the eye, mesh frame, unit.
    pub toward: Vec3,
    /// Turned to the top of the picture, mesh frame, unit.
    pub upward: Vec3,
    /// How well it shows the place, from 0 to 1; 0 where the place seems hidden.
    pub worth: f64,
}

impl Sights {
    /// Takes the pictures.
    pub fn of(mesh: &Mesh, to_pose: &Rotation) -> Sights {
        let directions = directions(to_pose);
        let corners = posed_box(mesh, to_pose).map(|(_, corners)| corners);
        let shots = parallel::map(&directions, |_, &(toward, upward, liked)| {
            let view = View::from_direction(toward, upward, SIDE_PX, SIDE_PX);
            let view = match &corners {
                Some(points) => view.aimed_at(points, 0.02),
                None => view,
            };
            Shot {
                seen: raster::look(mesh, &view, 1),
                view,
                liked,
            }
        });
        Sights { shots }
    }

    /// Directions for a place, best first: visible ones by how well they show it, then hidden ones by
    /// how well they are liked. `outward` is the outward direction of the surface there, if known.
    pub fn outlooks(&self, mesh: &Mesh, at: Vec3, outward: Option<Vec3>) -> Vec<Outlook> {
        let mut found: Vec<Outlook> = self
            .shots
            .iter()
            .map(|shot| Outlook {
                toward: shot.view.toward,
                upward: shot.view.up,
                worth: shot.worth(mesh, at, outward),
            })
            .collect();
        // The shots stand in the order of liking, and the sort keeps the order of equals.
        found.sort_by(|a, b| b.worth.total_cmp(&a.worth));
        found
    }
}

impl Shot {
    fn worth(&self, mesh: &Mesh, at: Vec3, outward: Option<Vec3>) -> f64 {
        let [x, y, depth] = self.view.project(at);
        let mm_per_px = 1.0 / self.view.px_per_mm;
        let (col, row) = (cell(x), cell(y));
        let mut open = 0.0;
        let mut facing: f64 = 0.0;
        for (i, j) in (-1..=1).flat_map(|j| (-1..=1).map(move |i| (i, j))) {
            let (px, py) = (col + i, row + j);
            let side = SIDE_PX as i64;
            if !(0..side).contains(&px) || !(0..side).contains(&py) {
                open += 1.0;
                continue;
            }
            let s = self.seen.at(px as usize, py as usize);
            if s.facet == NOTHING || f64::from(s.depth) <= depth + 2.5 * mm_per_px {
                open += 1.0;
                if s.facet != NOTHING
                    && let Some(n) = mesh.normal(s.facet as usize)
                {
                    facing = facing.max(dot(n, self.view.toward));
                }
            }
        }
        if let Some(n) = outward.and_then(unit) {
            facing = dot(n, self.view.toward);
        }
        if open < 4.0 || facing < LEAST_FACING {
            return 0.0;
        }
        let shown = facing.min(ENOUGH_FACING) / ENOUGH_FACING;
        self.liked * (0.25 + 0.75 * shown) * (0.5 + 0.5 * open / 9.0)
    }
}

/// Directions and tops of all pictures with how well each is liked, best liked first.
fn directions(to_pose: &Rotation) -> Vec<(Vec3, Vec3, f64)> {
    let top = from_pose(to_pose, [0.0, 0.0, 1.0]);
    let back = from_pose(to_pose, [0.0, 1.0, 0.0]);
    let mut all = vec![(three_quarter(to_pose), top, 1.0)];
    for (elevation, liked) in ELEVATIONS {
        for k in 0..AROUND {
            let azimuth = FIRST_AZIMUTH_DEG + 360.0 * k as f64 / AROUND as f64;
            let round = k.min(AROUND - k) as f64 / (AROUND / 2) as f64;
            if k > 0 || elevation != ELEVATIONS[0].0 {
                let toward = from_pose(to_pose, pose_direction(azimuth, elevation));
                all.push((toward, top, liked - AROUND_LOSS * round));
            }
        }
    }
    all.push((top, back, ABOVE));
    all.push((top.map(|c| -c), back, BELOW));
    all.sort_by(|a, b| b.2.total_cmp(&a.2));
    all
}
