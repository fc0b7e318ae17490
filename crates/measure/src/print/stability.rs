//! How firmly a part stands while it grows: whether it tips on what touches the plate, and how slender its pieces are.
//!
//! Statics of a rigid body on the convex hull of its contact: at every height of a growing body, the tip angle is
//! atan(d / z) with z the height of its centroid and d the least distance from the centroid's foot to the hull's edge,
//! below 0 outside it. What holds a print is the plate's grip rather than weight: contact times the least distance
//! from its own middle to its hull's edge, over height, says how well a push at the top is held; a force over a
//! stress, so an area, mm2. Pieces that are not joined yet stand
//! each for itself; what begins in the air counts from where it is joined. Supports and the plate's texture are not
//! modelled. A brim widens the contact.
//!
//! It must not know limits: it returns angles, areas and lengths.

use layers::{Layer, Moments, Piece, Stack, pieces};
use serde::{Deserialize, Serialize};

use super::body::{Bodies, arm};
use super::column::{Column, Columns, Section};
use crate::hull2::convex_hull;
use crate::resting::{Resting, restings};

/// Layers a piece of work.
const CHUNK: usize = 32;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asks {
    /// Width of the brim the part is printed with, mm.
    pub brim_mm: f64,
    /// Tip angles are told apart in this, degrees; above 0.
    pub lean_deg: f64,
    /// Grips are told apart in this, mm2; above 0. The moment is the worst at which the better of both, each in its
    /// own measure, is least.
    pub grip_mm2: f64,
    /// Shorter columns are none, mm.
    pub least_column_mm: f64,
    /// Columns of a greater slenderness ratio are looked at for a way to lie down.
    pub ratio: f64,
}

/// What is known of a part standing on the plate while it grows.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Stability {
    /// Area of the first layer, mm2, the brim not counted.
    pub contact_mm2: f64,
    /// Convex hull of the first layer, print pose, counter-clockwise, the brim not counted.
    pub contact_hull: Vec<[f64; 2]>,
    /// Width of the brim that counts, mm.
    pub brim_mm: f64,
    /// Height of the part, mm.
    pub height_mm: f64,
    /// The body and the moment at which it is most easily tipped; `None` where nothing touches the plate.
    pub tip: Option<Tip>,
    /// The most slender piece of the growing part; `None` where no piece has a section.
    pub slender: Option<Column>,
    /// A way to lie on the plate with at least twice the contact and at most half the height; looked for only where
    /// a tip or a column is worse than asked for.
    pub lying: Option<Resting>,
}

/// A growing body that could tip.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tip {
    /// Height grown so far, mm.
    pub grown_mm: f64,
    /// Centroid of what has grown, print pose, mm.
    pub centroid_mm: [f64; 3],
    /// Least distance from the centroid's foot to the edge of its contact's hull, mm, the brim not counted;
    /// below 0 outside it.
    pub arm_mm: f64,
    /// The nearest point of that edge, mm.
    pub edge_mm: [f64; 2],
    /// What it stands on.
    pub foot: Foot,
}

/// What a body stands on, the brim not counted.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Foot {
    /// Area on the plate, mm2.
    pub contact_mm2: f64,
    /// Length around its pieces on the plate, mm: where a brim holds.
    pub rim_mm: f64,
    /// Separate pieces on the plate.
    pub pieces: usize,
    /// Their convex hull, print pose, counter-clockwise.
    pub hull: Vec<[f64; 2]>,
    /// Their area's centroid, print pose, mm.
    pub middle_mm: [f64; 2],
}

impl Foot {
    /// Least distance from the middle to the hull's edge, mm; below 0 outside it.
    pub fn reach_mm(&self) -> f64 {
        if self.hull.is_empty() {
            return 0.0;
        }
        arm(&self.hull, self.middle_mm).0
    }

    /// Area with a strip of that width around each piece, mm2: a strip along its rim and the rounds of its corners
    /// (Steiner).
    pub fn held_mm2(&self, brim_mm: f64) -> f64 {
        let round = std::f64::consts::PI * brim_mm * brim_mm * self.pieces as f64;
        self.contact_mm2 + self.rim_mm * brim_mm + round
    }
}

impl Tip {
    /// The angle by which it would have to lean to tip by its own weight, degrees, on a foot wider all around by
    /// that much, mm; below 0 where it tips at once.
    pub fn lean_deg(&self, brim_mm: f64) -> f64 {
        libm::atan2(self.arm_mm + brim_mm, self.centroid_mm[2]).to_degrees()
    }

    /// How well a push at the top is held by the plate's grip: contact times reach over height, mm2, on a foot wider
    /// all around by that much, mm.
    pub fn grip_mm2(&self, brim_mm: f64) -> f64 {
        self.foot.held_mm2(brim_mm) * (self.foot.reach_mm() + brim_mm) / self.grown_mm
    }
}

impl Stability {
    /// The angle by which the part would have to lean to tip by its own weight, degrees, the brim counted; below 0
    /// where it tips at once.
    pub fn tip_deg(&self) -> Option<f64> {
        self.tip.as_ref().map(|t| t.lean_deg(self.brim_mm))
    }

    /// How well a push at the top is held by the plate's grip, mm2, the brim counted.
    pub fn grip_mm2(&self) -> Option<f64> {
        self.tip.as_ref().map(|t| t.grip_mm2(self.brim_mm))
    }
}

/// Measures a part on its own layers.
pub fn measure(stack: &Stack, asks: &Asks) -> Stability {
    let runs = stack.runs(CHUNK, 1, |own, run| {
        let mut below: Option<Layer> = None;
        let mut sections = Vec::with_capacity(own.len());
        for layer in run {
            if own.contains(&layer.index) {
                sections.push(section(&layer, below.as_ref()));
            }
            below = Some(layer);
        }
        sections
    });
    let layer_mm = stack.layer_mm();
    let first = stack.layer(0);
    let feet: Vec<Foot> = pieces(&first).iter().map(foot).collect();
    let corners: Vec<[f64; 2]> = feet.iter().flat_map(|f| f.hull.iter().copied()).collect();
    let mut stability = Stability {
        contact_mm2: feet.iter().map(|f| f.contact_mm2).sum(),
        contact_hull: convex_hull(&corners),
        brim_mm: asks.brim_mm,
        height_mm: stack.posed().height_mm,
        ..Stability::default()
    };
    // How far from tipping: the better of angle and grip, each in its own measure.
    let firm = |t: &Tip| {
        (t.lean_deg(asks.brim_mm) / asks.lean_deg).max(t.grip_mm2(asks.brim_mm) / asks.grip_mm2)
    };
    let mut bodies = Bodies::on(feet);
    let mut columns = Columns::new(layer_mm, asks.least_column_mm);
    let mut worst = f64::INFINITY;
    for (k, sections) in runs.into_iter().flatten().enumerate() {
        let z = stack.z_mm(k);
        bodies.add(z, &sections);
        for tip in bodies.tips(z + 0.5 * layer_mm) {
            let how = firm(&tip);
            if how < worst {
                worst = how;
                stability.tip = Some(tip);
            }
        }
        columns.add(z, &sections);
    }
    stability.slender = columns.finish();
    if worst < 1.0 || stability.slender.is_some_and(|c| c.ratio > asks.ratio) {
        stability.lying = lying(stack, &stability);
    }
    stability
}

/// So many ways to rest are looked at.
const RESTINGS: usize = 6;

/// The lowest way to lie among those with at least twice the contact and at most half the height.
fn lying(stack: &Stack, stability: &Stability) -> Option<Resting> {
    restings(stack.posed().mesh, RESTINGS)
        .into_iter()
        .filter(|r| {
            r.contact_mm2 >= 2.0 * stability.contact_mm2 && 2.0 * r.height_mm <= stability.height_mm
        })
        .reduce(|a, b| if b.height_mm < a.height_mm { b } else { a })
}

fn foot(piece: &Piece) -> Foot {
    let moments = Moments::of(piece.rings());
    Foot {
        contact_mm2: moments.area_mm2,
        middle_mm: moments.centroid_mm,
        rim_mm: length(&piece.outer.points),
        pieces: 1,
        hull: convex_hull(&piece.outer.points),
    }
}

fn length(ring: &[[f64; 2]]) -> f64 {
    let last = ring.last().copied().unwrap_or_default();
    let mut from = last;
    ring.iter()
        .map(|&p| {
            let d = libm::hypot(p[0] - from[0], p[1] - from[1]);
            from = p;
            d
        })
        .sum()
}

/// The pieces of a layer with their moments, and which pieces of the layer below each stands on.
fn section(layer: &Layer, below: Option<&Layer>) -> Vec<Section> {
    let under = below.map(pieces).unwrap_or_default();
    pieces(layer)
        .iter()
        .map(|piece| Section {
            moments: Moments::of(piece.rings()),
            stands_on: under
                .iter()
                .enumerate()
                .filter(|(_, u)| piece.meets(u))
                .map(|(i, _)| i as u32)
                .collect(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use layers::{Posed, Slicer, Turn};
    use mesh::shapes::{cuboid, revolved, welded};
    use mesh::{Edges, Mesh};

    const UPRIGHT: Turn = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn of(mesh: &Mesh, turn: &Turn, layer_mm: f64, brim_mm: f64) -> Stability {
        let edges = Edges::build(mesh);
        let posed = Posed::new(mesh, turn);
        let asks = Asks {
            brim_mm,
            lean_deg: 10.0,
            grip_mm2: 8.0,
            least_column_mm: 5.0,
            ratio: 160.0,
        };
        measure(&Slicer::new(&posed, &edges).stack(layer_mm), &asks)
    }

    fn boxed(min: [f32; 3], max: [f32; 3], layer_mm: f64, brim_mm: f64) -> Stability {
        of(&welded(&cuboid(min, max)), &UPRIGHT, layer_mm, brim_mm)
    }

    /// Statics: atan(5 / 30) = 9.4623 degrees for a box 10 x 10 x 60; contact 100 mm2 times 5 mm over 60 mm.
    #[test]
    fn a_box_tips_at_the_angle_of_statics_wherever_it_stands() {
        for at in [0.0f32, 1000.0] {
            let s = boxed([at, at, -7.0], [at + 10.0, at + 10.0, 53.0], 0.2, 0.0);
            assert!((s.tip_deg().expect("it stands") - 9.4623).abs() < 5e-5);
            assert!((s.grip_mm2().expect("it stands") - 100.0 * 5.0 / 60.0).abs() < 1e-9);
            assert!((s.contact_mm2 - 100.0).abs() < 1e-9);
            assert!((s.tip.as_ref().expect("it stands").foot.rim_mm - 40.0).abs() < 1e-9);
            assert!((s.height_mm - 60.0).abs() < 1e-9);
        }
    }

    /// A brim of 4 mm widens the arm to 9 mm: atan(9 / 30), and holds by 100 + 40 4 + pi 4^2 mm2 (Steiner's formula).
    #[test]
    fn a_brim_widens_the_foot() {
        let s = boxed([0.0; 3], [10.0, 10.0, 60.0], 0.2, 4.0);
        let exact = libm::atan2(9.0, 30.0).to_degrees();
        assert!((s.tip_deg().expect("it stands") - exact).abs() < 1e-6);
        let held = 260.0 + 16.0 * std::f64::consts::PI;
        assert!((s.grip_mm2().expect("it stands") - held * 9.0 / 60.0).abs() < 1e-9);
    }

    /// Statics: the centroid of a cone lies at a quarter of its height, atan(5 / 7.5) = 33.6901 degrees.
    /// The first layer is cut at its middle, where the cone has narrowed by h / 12.
    #[test]
    fn a_cone_stands_better_than_a_tower() {
        let cone = welded(&revolved(&[[0.0, 0.0], [5.0, 0.0], [0.0, 30.0]], 720));
        let at = |h: f64| of(&cone, &UPRIGHT, h, 0.0).tip_deg().expect("it stands");
        assert!((at(0.01) - 33.6901).abs() < 0.01, "{}", at(0.01));
        assert!((at(0.2) - 33.6901).abs() < 0.15, "{}", at(0.2));
    }

    /// A wedge on its edge and a ball on its pole: the first tips at once, the second by a hair.
    #[test]
    fn what_touches_in_a_line_or_a_point_is_found() {
        let p = |x: f32, y: f32, z: f32| [x, y, z];
        // A right prism: legs along x = 0 and z = 20, the slope underneath, 10 mm deep.
        let (a, b, c) = (p(0.0, 0.0, 0.0), p(0.0, 0.0, 20.0), p(20.0, 0.0, 20.0));
        let [d, e, f] = [a, b, c].map(|[x, _, z]| [x, 10.0, z]);
        let wedge = welded(&[
            [a, c, b],
            [d, e, f],
            [a, d, f],
            [a, f, c],
            [b, c, f],
            [b, f, e],
            [a, b, e],
            [a, e, d],
        ]);
        let s = of(&wedge, &UPRIGHT, 0.2, 0.0);
        assert!(s.tip_deg().expect("it touches") < -20.0, "{s:?}");
        let tip = s.tip.as_ref().expect("it touches");
        // The whole prism's centroid lies a third of the way from the right angle: x 20 / 3.
        assert!((tip.centroid_mm[0] - 20.0 / 3.0).abs() < 0.2, "{tip:?}");

        let outline: Vec<[f64; 2]> = (0..=60)
            .map(|k| std::f64::consts::FRAC_PI_2 * f64::from(k) / 60.0)
            .map(|u| [20.0 * libm::sin(u), 20.0 - 20.0 * libm::cos(u)])
            .chain([[0.0, 20.0]])
            .collect();
        let s = of(&welded(&revolved(&outline, 96)), &UPRIGHT, 0.2, 0.0);
        // The section at half a layer: radius sqrt(2 20 0.1 - 0.1^2) = 2.0 mm; the centroid 12.5 mm up.
        assert!(
            (s.tip_deg().expect("it touches") - 9.1).abs() < 0.2,
            "{s:?}"
        );
        assert!(s.grip_mm2().expect("it touches") < 1.5);
    }

    /// Turned about z, moved and mirrored, a part stands as it did.
    #[test]
    fn the_way_it_lies_on_the_plate_changes_nothing() {
        let mut soup = cuboid([0.0; 3], [20.0, 4.0, 30.0]);
        soup.extend(cuboid([14.0, 0.0, 30.0], [40.0, 4.0, 34.0]));
        let mesh = welded(&soup);
        let plain = of(&mesh, &UPRIGHT, 0.2, 0.0);
        let (c, s) = (libm::cos(0.7), libm::sin(0.7));
        let turned = of(
            &mesh,
            &[[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]],
            0.2,
            0.0,
        );
        let mirrored = of(&mesh.clone().mirrored(0), &UPRIGHT, 0.2, 0.0);
        for other in [turned, mirrored] {
            assert!(
                (other.tip_deg().expect("a tip") - plain.tip_deg().expect("a tip")).abs() < 1e-4
            );
            let slender = |s: &Stability| s.slender.as_ref().expect("a column").ratio;
            assert!((slender(&other) / slender(&plain) - 1.0).abs() < 1e-4);
        }
    }

    /// Four posts 4 x 4 x 40 under a deck: each stands for itself until the deck joins them, atan(2 / 20) at 40 mm.
    /// A block in the air beside a tower, joined to nothing, does not pull it over.
    #[test]
    fn bodies_stand_each_for_itself_until_they_are_joined() {
        let mut soup = cuboid([0.0, 0.0, 40.0], [30.0, 30.0, 42.0]);
        for (x, y) in [(0.0, 0.0), (26.0, 0.0), (0.0, 26.0), (26.0, 26.0)] {
            soup.extend(cuboid([x, y, 0.0], [x + 4.0, y + 4.0, 40.0]));
        }
        let s = of(&welded(&soup), &UPRIGHT, 0.2, 0.0);
        let exact = libm::atan2(2.0, 20.0).to_degrees();
        assert!((s.tip_deg().expect("a tip") - exact).abs() < 1e-6, "{s:?}");
        assert!((s.grip_mm2().expect("a tip") - 16.0 * 2.0 / 40.0).abs() < 1e-9);
        let mut soup = cuboid([0.0; 3], [10.0, 10.0, 60.0]);
        soup.extend(cuboid([40.0, 0.0, 30.0], [80.0, 40.0, 50.0]));
        let s = of(&welded(&soup), &UPRIGHT, 0.2, 0.0);
        assert!((s.tip_deg().expect("a tip") - 9.4623).abs() < 5e-5);
    }

    #[test]
    fn nothing_stands_nowhere() {
        let s = of(&Mesh::default(), &UPRIGHT, 0.2, 0.0);
        assert_eq!(s.tip, None);
        assert_eq!(s.slender, None);
    }
}
