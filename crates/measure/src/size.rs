//! A part's size and how it lies on a plate: as placed, turned by a quarter, turned by the best angle.
//!
//! The part stands in its print pose, a rotation of the mesh, and is set down on the plate. What must
//! fit is the shadow of the whole part, not only its foot; a brim grows the foot. Every answer is a
//! length (slack, below 0 where the part is over); whether that is a fault is not this module's matter.

use mesh::Mesh;
use mesh::vector::{Vec3, dot, wide};
use serde::{Deserialize, Serialize};

use crate::hull2::{convex_hull, polygon_area_mm2};
use crate::turning::{self, Turned};

/// Vertices are projected in pieces of this many.
const CHUNK: usize = 1 << 15;
/// Sides of the polygon that stands for the round corner of a brim. Drawn around the circle, it is too
/// large by 1/cos(pi/64) - 1 = 0.12 %: 0.006 mm on a brim of 5 mm, nothing along x and y.
const BRIM_SIDES: u32 = 64;
/// Steps of an angle that a person dials in, coarsest first, degrees.
const PLAIN_STEPS_DEG: [f64; 5] = [45.0, 15.0, 5.0, 1.0, 0.1];
/// Share of the best slack that a plainer angle must keep.
const PLAIN_KEPT: f64 = 0.7;

/// A rotation from the mesh's frame to the print pose: rows of a matrix, so that pose = m * mesh.
pub type Rotation = [Vec3; 3];

/// No rotation: printed as modelled.
pub const AS_MODELLED: Rotation = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// What is known of a part's size, all lengths mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Size {
    /// Extents along the mesh's own axes.
    pub mesh_mm: Vec3,
    /// Extents in the print pose; the third is the printed height.
    pub pose_mm: Vec3,
    /// Lowest corner of the box in the print pose, before the part is set down on the plate.
    pub pose_min_mm: Vec3,
    /// Convex hull of the whole part's shadow in the print pose, counter-clockwise.
    pub shadow: Vec<[f64; 2]>,
    /// Convex hull of what lies within the height of the first layer, counter-clockwise.
    pub foot: Vec<[f64; 2]>,
    /// Area of the shadow's hull, mm2.
    pub shadow_area_mm2: f64,
    /// Longer and shorter side of the least rectangle around the shadow.
    pub rectangle_mm: [f64; 2],
    /// Shadow and height when another axis of the mesh points up: x, y, z in turn.
    pub other_up: [Upright; 3],
}

/// The part standing with one of the mesh's own axes upright.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Upright {
    /// Convex hull of the shadow along that axis, counter-clockwise.
    pub shadow: Vec<[f64; 2]>,
    /// Extent along that axis, mm.
    pub height_mm: f64,
}

/// The space a machine offers, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plate {
    /// Along x.
    pub width_mm: f64,
    /// Along y.
    pub depth_mm: f64,
    /// Along z.
    pub height_mm: f64,
    /// Kept free along every edge of the plate.
    pub edge_margin_mm: f64,
}

/// A part against one plate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OnPlate {
    /// In the print pose, not turned.
    pub as_placed: Placed,
    /// Turned by 90 degrees.
    pub quarter: Placed,
    /// Turned by the angle with the most room.
    pub best: Placed,
    /// A plainer angle that keeps most of that room; the best angle where there is none.
    pub plain: Placed,
    /// Ranges of angles at which it fits, degrees within 0 to 180.
    pub ranges_deg: Vec<[f64; 2]>,
    /// Plate height less printed height, mm; below 0 it is too tall by that much.
    pub height_slack_mm: f64,
    /// What would fit in place of the pose: the mesh axes (0 x, 1 y, 2 z) that could point up.
    /// Empty where the pose fits already.
    pub would_fit_up: Vec<usize>,
}

/// A part at one angle on a plate; brim included, edge margin taken off the plate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Placed {
    /// Degrees counter-clockwise seen from above.
    pub turn_deg: f64,
    /// Extents along the plate's x and y, mm.
    pub size_mm: [f64; 2],
    /// Usable plate less extent along x and y, mm; below 0 it is over.
    pub slack_mm: [f64; 2],
    /// Free width at each edge of the whole plate when the part is centred, mm: the lesser of x and y.
    pub margin_mm: f64,
}

impl Placed {
    /// The lesser slack of x and y, mm.
    pub fn least_slack_mm(&self) -> f64 {
        self.slack_mm[0].min(self.slack_mm[1])
    }
}

impl OnPlate {
    /// The turn to print at, degrees: none, a quarter, else the plain diagonal turn; `None` where the
    /// part is over by more than `rounding_mm` at every angle or in height.
    pub fn turn_deg(&self, rounding_mm: f64) -> Option<f64> {
        if self.height_slack_mm < -rounding_mm {
            return None;
        }
        [&self.as_placed, &self.quarter, &self.plain, &self.best]
            .into_iter()
            .find(|p| p.least_slack_mm() >= -rounding_mm)
            .map(|p| p.turn_deg)
    }

    /// The placement with that turn, or the best there is.
    pub fn placed(&self, rounding_mm: f64) -> &Placed {
        let turn = self.turn_deg(rounding_mm);
        [&self.as_placed, &self.quarter, &self.plain]
            .into_iter()
            .find(|p| Some(p.turn_deg) == turn)
            .unwrap_or(&self.best)
    }
}

/// Measures a part in its print pose. `first_layer_mm` is the height within which the part counts as
/// standing on the plate. `None` for a mesh without vertices.
pub fn measure(mesh: &Mesh, to_pose: Rotation, first_layer_mm: f64) -> Option<Size> {
    let own = mesh.bounds()?;
    let posed: Vec<Vec3> = parallel::chunks(mesh.vertices.len(), CHUNK, |range| {
        mesh.vertices[range]
            .iter()
            .map(|&v| turned(to_pose, wide(v)))
            .collect::<Vec<_>>()
    })
    .concat();
    let pose = mesh::Bounds::of(posed.iter().copied())?;
    let shadow_of = |i: usize, j: usize| {
        let flat: Vec<[f64; 2]> = mesh
            .vertices
            .iter()
            .map(|v| [f64::from(v[i]), f64::from(v[j])])
            .collect();
        convex_hull(&flat)
    };
    let flat: Vec<[f64; 2]> = posed.iter().map(|p| [p[0], p[1]]).collect();
    let shadow = convex_hull(&flat);
    let sides = own.size();
    let upright = |axis: usize| Upright {
        shadow: shadow_of((axis + 1) % 3, (axis + 2) % 3),
        height_mm: sides[axis],
    };
    let rectangle = turning::least_rectangle(&shadow)?;
    Some(Size {
        mesh_mm: sides,
        pose_mm: pose.size(),
        pose_min_mm: pose.min,
        shadow_area_mm2: polygon_area_mm2(&shadow),
        foot: convex_hull(&foot_points(mesh, &posed, pose.min[2] + first_layer_mm)),
        shadow,
        rectangle_mm: [rectangle.long_mm, rectangle.short_mm],
        other_up: [upright(0), upright(1), upright(2)],
    })
}

fn turned(m: Rotation, p: Vec3) -> Vec3 {
    m.map(|row| dot(row, p))
}

/// Corners of everything below `top`, in the plane: vertices, and where edges pass through the height.
fn foot_points(mesh: &Mesh, posed: &[Vec3], top: f64) -> Vec<[f64; 2]> {
    let mut points: Vec<[f64; 2]> = posed
        .iter()
        .filter(|p| p[2] <= top)
        .map(|p| [p[0], p[1]])
        .collect();
    for t in &mesh.triangles {
        let c = t.map(|v| posed[v as usize]);
        for (a, b) in [(c[0], c[1]), (c[1], c[2]), (c[2], c[0])] {
            if (a[2] <= top) != (b[2] <= top) {
                let s = (top - a[2]) / (b[2] - a[2]);
                points.push([a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])]);
            }
        }
    }
    points
}

/// The hull of the shadow and of the foot grown all around by a brim.
pub fn outline_with_brim(shadow: &[[f64; 2]], foot: &[[f64; 2]], brim_mm: f64) -> Vec<[f64; 2]> {
    if brim_mm <= 0.0 {
        return shadow.to_vec();
    }
    let mut points = shadow.to_vec();
    let step = std::f64::consts::TAU / f64::from(BRIM_SIDES);
    let reach = brim_mm / libm::cos(0.5 * step);
    for k in 0..BRIM_SIDES {
        let angle = (f64::from(k) + 0.5) * step;
        let (x, y) = (reach * libm::cos(angle), reach * libm::sin(angle));
        points.extend(foot.iter().map(|p| [p[0] + x, p[1] + y]));
    }
    convex_hull(&points)
}

/// Lays a part on a plate with a brim of `brim_mm` around its foot.
pub fn on_plate(size: &Size, plate: &Plate, brim_mm: f64) -> OnPlate {
    let outline = outline_with_brim(&size.shadow, &size.foot, brim_mm);
    let [w, d] = usable(plate);
    let best = turning::best_turn(&outline, w, d).unwrap_or(Turned {
        turn_deg: 0.0,
        width_mm: 0.0,
        depth_mm: 0.0,
        slack_mm: w.min(d),
    });
    let plain = turning::plain_turn(&outline, best, w, d, &PLAIN_STEPS_DEG, PLAIN_KEPT);
    let placed = |t: Turned| place(t, plate);
    let height_slack_mm = plate.height_mm - size.pose_mm[2];
    let would_fit_up = if best.slack_mm >= 0.0 && height_slack_mm >= 0.0 {
        Vec::new()
    } else {
        (0..3)
            .filter(|&axis| {
                let other = &size.other_up[axis];
                let grown = outline_with_brim(&other.shadow, &other.shadow, brim_mm);
                other.height_mm <= plate.height_mm
                    && turning::best_turn(&grown, w, d).is_some_and(|t| t.slack_mm >= 0.0)
            })
            .collect()
    };
    OnPlate {
        as_placed: placed(turning::at(&outline, 0.0, w, d)),
        quarter: placed(turning::at(&outline, 90.0, w, d)),
        best: placed(best),
        plain: placed(plain),
        ranges_deg: turning::fitting_ranges_deg(&outline, w, d),
        height_slack_mm,
        would_fit_up,
    }
}

fn usable(plate: &Plate) -> [f64; 2] {
    [plate.width_mm, plate.depth_mm].map(|side| side - 2.0 * plate.edge_margin_mm)
}

fn place(t: Turned, plate: &Plate) -> Placed {
    let [w, d] = usable(plate);
    let slack_mm = [w - t.width_mm, d - t.depth_mm];
    Placed {
        turn_deg: t.turn_deg,
        size_mm: [t.width_mm, t.depth_mm],
        slack_mm,
        margin_mm: 0.5 * slack_mm[0].min(slack_mm[1]) + plate.edge_margin_mm,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(x: f32, y: f32, z: f32) -> Mesh {
        let vertices = (0..8u8)
            .map(|k| {
                [
                    if k & 1 == 0 { 0.0 } else { x },
                    if k & 2 == 0 { 0.0 } else { y },
                    if k & 4 == 0 { 0.0 } else { z },
                ]
            })
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
        Mesh::new(vertices, triangles)
    }

    const PLATE: Plate = Plate {
        width_mm: 220.0,
        depth_mm: 220.0,
        height_mm: 240.0,
        edge_margin_mm: 0.0,
    };

    /// Axis y up: the mesh's y becomes z.
    const Y_UP: Rotation = [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]];

    #[test]
    fn a_block_has_the_size_of_its_sides_in_either_frame() {
        let size = measure(&block(30.0, 20.0, 10.0), Y_UP, 0.2).expect("it has vertices");
        assert_eq!(size.mesh_mm, [30.0, 20.0, 10.0]);
        assert_eq!(size.pose_mm, [30.0, 10.0, 20.0]);
        assert_eq!(size.shadow_area_mm2, 300.0);
        assert_eq!(size.rectangle_mm, [30.0, 10.0]);
        assert!(measure(&Mesh::default(), AS_MODELLED, 0.2).is_none());
    }

    #[test]
    fn a_part_over_the_plate_says_by_how_much_and_which_way_up_would_fit() {
        // 264 upright on a machine of 240: too tall by 24 mm, and 264 x 40 lies on the 260 x 220
        // plate's diagonal (340.6 mm long).
        let plate = Plate {
            width_mm: 260.0,
            depth_mm: 220.0,
            ..PLATE
        };
        let tall = measure(&block(220.0, 40.0, 264.0), AS_MODELLED, 0.2).expect("vertices");
        let got = on_plate(&tall, &plate, 0.0);
        assert_eq!(got.height_slack_mm, -24.0);
        assert_eq!(got.turn_deg(0.001), None);
        assert_eq!(got.would_fit_up, vec![0], "40 x 264 lies on the diagonal");
        let flat = measure(&block(275.0, 210.0, 98.0), AS_MODELLED, 0.2).expect("vertices");
        let got = on_plate(&flat, &PLATE, 0.0);
        assert_eq!(got.as_placed.slack_mm, [-55.0, 10.0]);
        assert!(got.best.least_slack_mm() < 0.0 && got.ranges_deg.is_empty());
    }

    #[test]
    fn the_edge_margin_is_taken_off_the_plate_and_given_back_in_the_margin() {
        let size = measure(&block(200.0, 100.0, 10.0), AS_MODELLED, 0.2).expect("vertices");
        let plate = Plate {
            edge_margin_mm: 5.0,
            ..PLATE
        };
        let got = on_plate(&size, &plate, 0.0);
        assert_eq!(got.as_placed.slack_mm, [10.0, 110.0]);
        assert_eq!(got.as_placed.margin_mm, 10.0);
        assert_eq!(got.turn_deg(0.0), Some(0.0));
    }

    #[test]
    fn a_brim_grows_what_stands_on_the_plate_and_nothing_above() {
        // A block of 216 with a brim of 5 needs 226; the same width overhanging a foot of 100 needs 216.
        let wide = measure(&block(216.0, 50.0, 10.0), AS_MODELLED, 0.2).expect("vertices");
        let got = on_plate(&wide, &PLATE, 5.0);
        assert!((got.as_placed.size_mm[0] - 226.0).abs() < 1e-9);
        assert!((got.as_placed.size_mm[1] - 60.0).abs() < 1e-9);
        let mut mushroom = block(216.0, 50.0, 10.0);
        for v in &mut mushroom.vertices {
            if v[2] == 0.0 {
                v[0] = 58.0 + v[0] * (100.0 / 216.0);
            }
        }
        let size = measure(&mushroom, AS_MODELLED, 0.2).expect("vertices");
        let got = on_plate(&size, &PLATE, 5.0);
        assert!((got.as_placed.size_mm[0] - 216.0).abs() < 1e-9);
        // Within the first layer of 0.2 the foot has widened by 0.2 / 10 of the way on each side.
        let foot = size.foot.iter().map(|p| p[0]).fold(f64::INFINITY, f64::min);
        assert!((foot - 58.0 * 0.98).abs() < 1e-5, "{foot}");
    }

    #[test]
    fn a_neck_longer_than_the_plate_fits_on_the_diagonal_and_says_the_angle() {
        // 234.5 x 40 on 220 x 220: the condition of Carver (1957) asks for b >= 213.1.
        let size = measure(&block(234.5, 40.0, 20.0), AS_MODELLED, 0.2).expect("vertices");
        let got = on_plate(&size, &PLATE, 0.0);
        assert!(got.as_placed.least_slack_mm() < 0.0 && got.quarter.least_slack_mm() < 0.0);
        assert_eq!(got.turn_deg(0.001), Some(45.0));
        let free = 220.0 - (234.5 + 40.0) / 2f64.sqrt();
        assert!((got.best.least_slack_mm() - free).abs() < 1e-9);
        assert!(got.would_fit_up.is_empty());
    }

    #[test]
    fn coordinates_near_the_end_of_f32_give_numbers_not_panics() {
        let size = measure(&block(3e38, 1e38, 1.0), AS_MODELLED, 0.2).expect("vertices");
        let got = on_plate(&size, &PLATE, 5.0);
        assert!(got.best.least_slack_mm() < 0.0 && got.best.least_slack_mm().is_finite());
    }
}
