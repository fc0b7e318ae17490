//! Shapes whose answers are known. Areas and volumes: plane geometry, with the definition that a support is the
//! vertical prism under a surface steeper than 45 degrees, down to the first surface it meets.

use layers::{Posed, Slicer, Turn};
use mesh::shapes::{Soup, cuboid, revolved, welded};
use mesh::{Edges, Mesh};

use super::{Asks, Overhangs};
use crate::print::Height;

const UPRIGHT: Turn = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
const OVER: Turn = [[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]];
/// +y becomes up.
const ON_SIDE: Turn = [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]];

pub(crate) fn asks() -> Asks {
    Asks {
        allowed_deg: 45.0,
        slack_deg: 0.5,
        held_lines: 1.0,
        loose_lines: 1.0,
        pixel_mm: 0.1,
        most_pixels: 2.5e6,
        sag_lines: 0.75,
        drop_lines: 0.75,
        reach_mm: 1.1,
        area_mm2: 4.0,
        island_mm2: 0.5,
        island_layers: 2,
        way_out_mm: 2.0,
    }
}

fn of(mesh: &Mesh, turn: &Turn, asks: &Asks) -> Overhangs {
    let edges = Edges::build(mesh);
    let posed = Posed::new(mesh, turn);
    let height = Height {
        layer_mm: 0.2,
        bead_mm: 0.42,
    };
    let stack = Slicer::new(&posed, &edges).stack(height.layer_mm);
    super::measure(&stack, &height, asks).expect("it is measured")
}

fn boxes(list: &[([f32; 3], [f32; 3])]) -> Mesh {
    let soup: Soup = list.iter().flat_map(|&(a, b)| cuboid(a, b)).collect();
    welded(&soup)
}

fn near(value: f64, exact: f64, share: f64, what: &str) {
    let off = (value - exact).abs();
    assert!(
        off <= share * exact.abs() + 1e-9,
        "{what}: {value}, not {exact}"
    );
}

fn t_piece() -> Mesh {
    boxes(&[
        ([10.0, 0.0, 0.0], [20.0, 10.0, 30.0]),
        ([0.0, 0.0, 30.0], [30.0, 10.0, 40.0]),
    ])
}

fn about_z(deg: f64) -> Turn {
    let (c, s) = (libm::cos(deg.to_radians()), libm::sin(deg.to_radians()));
    [[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]
}

/// Stem 10 x 10 x 30 under a bar 30 x 10 x 10: two arms of 10 x 10, 30 up.
#[test]
fn a_t_has_two_arms() {
    for turn in [UPRIGHT, about_z(90.0), about_z(33.0)] {
        let o = of(&t_piece(), &turn, &asks());
        near(o.area_mm2, 200.0, 0.02, "area");
        near(o.support.volume_mm3, 6000.0, 0.02, "volume");
        assert_eq!(o.total, 2);
        for arm in &o.places {
            assert!((arm.reach_mm - 10.0).abs() < 0.3, "{arm:?}");
            assert!((arm.air_mm - arm.reach_mm).abs() < 0.3, "{arm:?}");
            assert!((arm.height_mm - 30.0).abs() < 1e-9);
            assert!((arm.at[2] - 30.0).abs() < 1e-9);
            assert!((arm.at[0] - 15.0).abs() > 14.0, "{arm:?}");
        }
        assert!(o.bridges.is_empty() && o.islands.is_empty());
        assert_eq!(o.support.landing_mm2, 0.0);
    }
    for turn in [OVER, ON_SIDE] {
        assert_eq!(of(&t_piece(), &turn, &asks()), Overhangs::default());
    }
}

/// Base 40 x 20 x 5, wall 5 x 20 x 35 on it. Upside down the base hangs over 35 x 20, 35 up.
#[test]
fn an_l_in_every_pose() {
    let l = boxes(&[
        ([0.0, 0.0, 0.0], [40.0, 20.0, 5.0]),
        ([0.0, 0.0, 5.0], [5.0, 20.0, 40.0]),
    ]);
    assert_eq!(of(&l, &UPRIGHT, &asks()).area_mm2, 0.0);
    assert_eq!(of(&l, &ON_SIDE, &asks()).area_mm2, 0.0);
    let o = of(&l, &OVER, &asks());
    near(o.area_mm2, 700.0, 0.02, "area");
    near(o.support.volume_mm3, 24_500.0, 0.02, "volume");
    assert!((o.places[0].air_mm - 35.0).abs() < 0.5, "{:?}", o.places);
}

/// Two legs 10 x 10 x 20, 30 apart, under a deck 50 x 10 x 5.
#[test]
fn a_table_bridges_thirty() {
    let table = boxes(&[
        ([0.0, 0.0, 0.0], [10.0, 10.0, 20.0]),
        ([40.0, 0.0, 0.0], [50.0, 10.0, 20.0]),
        ([0.0, 0.0, 20.0], [50.0, 10.0, 25.0]),
    ]);
    for deg in [0.0, 7.5, 33.0, 90.0, 141.7] {
        let o = of(&table, &about_z(deg), &asks());
        near(o.area_mm2, 300.0, 0.02, "area");
        near(o.support.volume_mm3, 6000.0, 0.02, "volume");
        assert_eq!(o.bridges.len(), 1);
        let b = &o.bridges[0];
        assert!((b.span_mm - 30.0).abs() < 0.3, "{deg}: {b:?}");
        near(b.area_mm2, 300.0, 0.04, "area of the bridge");
        assert!(b.along[0].abs() > 0.999, "{deg}: {b:?}");
        assert!((b.at[0] - 25.0).abs() < 0.3 && (b.at[2] - 20.0).abs() < 1e-9);
        let mut xs = b.ends.map(|e| e[0]);
        xs.sort_by(f64::total_cmp);
        assert!(
            (xs[0] - 10.0).abs() < 0.3 && (xs[1] - 40.0).abs() < 0.3,
            "{b:?}"
        );
        assert!(o.places[0].air_mm < 0.5, "{deg}: {:?}", o.places);
    }
    assert_eq!(of(&table, &OVER, &asks()), Overhangs::default());
}

/// A deck wider than its legs: the strips beside the legs lean on the bridge.
#[test]
fn what_lies_beside_a_bridge_reaches_from_it() {
    let table = boxes(&[
        ([0.0, 0.0, 0.0], [10.0, 10.0, 20.0]),
        ([40.0, 0.0, 0.0], [50.0, 10.0, 20.0]),
        ([0.0, -1.5, 20.0], [50.0, 11.5, 25.0]),
    ]);
    let o = of(&table, &UPRIGHT, &asks());
    assert!((o.bridges[0].span_mm - 30.0).abs() < 0.2);
    assert!((o.places[0].air_mm - 1.5).abs() < 0.25, "{:?}", o.places);
}

/// A right prism, legs 20 x 20, 10 deep: its slope at exactly 45 degrees, underneath.
fn wedge() -> Soup {
    let (a, b, c) = (
        [0.0f32, 0.0, 0.0],
        [0.0f32, 0.0, 20.0],
        [20.0f32, 0.0, 20.0],
    );
    let [d, e, f] = [a, b, c].map(|[x, _, z]| [x, 10.0, z]);
    vec![
        [a, c, b],
        [d, e, f],
        [a, d, f],
        [a, f, c],
        [b, c, f],
        [b, f, e],
        [a, b, e],
        [a, e, d],
    ]
}

/// 282.842712 mm2 of slope are 200 mm2 projected; the prism under it is 2000 mm3.
#[test]
fn a_slope_of_45_degrees_is_allowed_and_at_44_is_not() {
    let wedge = welded(&wedge());
    assert_eq!(of(&wedge, &UPRIGHT, &asks()).area_mm2, 0.0);
    assert_eq!(of(&wedge, &OVER, &asks()).area_mm2, 0.0);
    let strict = Asks {
        allowed_deg: 44.0,
        ..asks()
    };
    let o = of(&wedge, &UPRIGHT, &strict);
    near(o.area_mm2, 200.0, 0.02, "area");
    near(o.support.volume_mm3, 2000.0, 0.02, "volume");
    assert!((o.places[0].reach_mm - 20.0).abs() < 0.6, "{:?}", o.places);
    assert_eq!(o.places[0].air_mm, 0.0);
}

/// 100 turns about z, baked into f32, which moves every corner by its own rounding.
#[test]
fn exactly_45_degrees_stays_allowed_when_turned_and_rounded() {
    for turn in 0..100u32 {
        // Angles by the golden ratio: no two alike, none near a multiple.
        let deg = 360.0 * (f64::from(turn) * 0.618_033_988_749_895).fract();
        let rows = about_z(deg);
        let soup: Soup = wedge()
            .iter()
            .map(|t| {
                t.map(|p| {
                    let [x, y, z] = p.map(f64::from);
                    [
                        (rows[0][0] * x + rows[0][1] * y + 150.0) as f32,
                        (rows[1][0] * x + rows[1][1] * y + 150.0) as f32,
                        z as f32,
                    ]
                })
            })
            .collect();
        let o = of(&welded(&soup), &UPRIGHT, &asks());
        assert_eq!(o.area_mm2, 0.0, "turned by {deg}: {:?}", o.places);
    }
}

/// Radius 20, dome down: under the 45-degree circle (radius 14.142) 628.318531 mm2 projected and 1735.053713 mm3 of
/// support, less what the first layer covers and the second, which comes down on the plate: a disc of radius
/// sqrt(2 20 0.3 - 0.09) = 3.451, 37.4 mm2.
#[test]
fn a_dome_stands_on_its_pole() {
    let outline: Vec<[f64; 2]> = (0..=120)
        .map(|k| std::f64::consts::FRAC_PI_2 * f64::from(k) / 120.0)
        .map(|u| [20.0 * libm::sin(u), 20.0 - 20.0 * libm::cos(u)])
        .chain([[0.0, 20.0]])
        .collect();
    let dome = welded(&revolved(&outline, 180));
    let exact = Asks {
        slack_deg: 0.0,
        ..asks()
    };
    let o = of(&dome, &UPRIGHT, &exact);
    near(o.area_mm2, 628.318_531 - 37.4, 0.02, "area");
    near(o.support.volume_mm3, 1_735.053_713, 0.02, "volume");
    assert_eq!(o.total, 1);
    assert!(
        (o.places[0].reach_mm - (14.142 - 3.451)).abs() < 0.5,
        "{:?}",
        o.places
    );
    // Lines lie in the air where a layer reaches 0.42 mm further: from 64.5 degrees, radius 8.6.
    assert!(
        (o.places[0].air_mm - (8.6 - 3.451)).abs() < 0.8,
        "{:?}",
        o.places
    );
    assert!(o.bridges.is_empty(), "{:?}", o.bridges);
    assert_eq!(of(&dome, &OVER, &exact).area_mm2, 0.0);
}

#[test]
fn a_cube_hangs_nowhere() {
    let cube = boxes(&[([0.0; 3], [10.0; 3])]);
    for turn in [UPRIGHT, OVER, ON_SIDE, about_z(45.0)] {
        assert_eq!(of(&cube, &turn, &asks()), Overhangs::default());
    }
}

/// A block with a hole of a diameter along y, `n` sides, from wall to wall.
fn drilled(diameter: f64, n: usize) -> Mesh {
    let half = 20.0f32;
    let ring: Vec<[f32; 2]> = (0..n)
        .map(|k| std::f64::consts::TAU * (k as f64 + 0.5) / n as f64)
        .map(|a| [0.5 * diameter * libm::cos(a), 0.5 * diameter * libm::sin(a)])
        .map(|[x, z]| [x as f32, z as f32 + half])
        .collect();
    let square = |[x, z]: [f32; 2]| {
        let [dx, dz] = [x, z - half];
        let long = dx.abs().max(dz.abs());
        [dx / long * half, dz / long * half + half]
    };
    let mut soup = Soup::new();
    let mut quad = |a: [f32; 3], b: [f32; 3], c: [f32; 3], d: [f32; 3]| {
        soup.push([a, c, b]);
        soup.push([a, d, c]);
    };
    for k in 0..n {
        let (p, q) = (ring[k], ring[(k + 1) % n]);
        let (s, t) = (square(p), square(q));
        let at = |[x, z]: [f32; 2], y: f32| [x, y, z];
        quad(at(p, 0.0), at(p, 30.0), at(q, 30.0), at(q, 0.0));
        quad(at(s, 0.0), at(t, 0.0), at(t, 30.0), at(s, 30.0));
        quad(at(p, 0.0), at(q, 0.0), at(t, 0.0), at(s, 0.0));
        quad(at(p, 30.0), at(s, 30.0), at(t, 30.0), at(q, 30.0));
    }
    welded(&soup)
}

#[test]
fn a_small_horizontal_hole_is_none_and_a_large_one_is_a_bridge() {
    assert_eq!(
        of(&drilled(3.0, 32), &UPRIGHT, &asks()),
        Overhangs::default()
    );
    let o = of(&drilled(24.0, 96), &UPRIGHT, &asks());
    assert_eq!(o.total, 1);
    // Steep from 45.5 degrees: 24 sin 44.5 = 16.82 mm wide, 30 mm deep.
    near(o.area_mm2, 16.82 * 30.0, 0.03, "area");
    // In the air from 64.5 degrees: 24 cos 64.5 = 10.3 mm from side to side.
    assert_eq!(o.bridges.len(), 1, "{:?}", o.bridges);
    assert!((o.bridges[0].span_mm - 10.3).abs() < 1.0, "{:?}", o.bridges);
    assert!(o.places[0].air_mm < 0.5, "{:?}", o.places);
    near(o.support.landing_mm2, o.area_mm2, 1e-9, "landing");
}

/// A pocket's roof held on four sides spans its shorter width.
#[test]
fn a_roof_spans_its_shorter_width() {
    let room = boxes(&[
        ([0.0, 0.0, 0.0], [44.0, 2.0, 10.0]),
        ([0.0, 22.0, 0.0], [44.0, 24.0, 10.0]),
        ([0.0, 2.0, 0.0], [2.0, 22.0, 10.0]),
        ([42.0, 2.0, 0.0], [44.0, 22.0, 10.0]),
        ([0.0, 0.0, 10.0], [44.0, 24.0, 12.0]),
    ]);
    let o = of(&room, &UPRIGHT, &asks());
    near(o.area_mm2, 800.0, 0.02, "area");
    assert_eq!(o.bridges.len(), 1);
    assert!((o.bridges[0].span_mm - 20.0).abs() < 0.3, "{:?}", o.bridges);
    assert!(o.places[0].air_mm < 0.5);
}

/// A hook: a block 4 x 4 hangs from an arm, down to 5 above the plate.
#[test]
fn a_hook_begins_in_the_air() {
    let hook = boxes(&[
        ([0.0, 0.0, 0.0], [4.0, 4.0, 30.0]),
        ([4.0, 0.0, 26.0], [20.0, 4.0, 30.0]),
        ([16.0, 0.0, 5.0], [20.0, 4.0, 26.0]),
    ]);
    let o = of(&hook, &UPRIGHT, &asks());
    assert_eq!(o.islands.len(), 1);
    let i = &o.islands[0];
    near(i.area_mm2, 16.0, 0.02, "area");
    assert!((i.height_mm - 5.0).abs() < 1e-9, "{i:?}");
    assert!((i.joined_mm.expect("it is joined") - 26.0).abs() < 1e-9);
    assert!((i.at[0] - 18.0).abs() <= 2.0 && (i.at[2] - 5.0).abs() < 1e-9);
    // Its lower side and the arm, 12 long between the post and the block.
    near(o.area_mm2, 16.0 + 48.0, 0.02, "area");
    assert!(o.places.iter().any(|p| p.island));
    // The arm lies on the post and on the block.
    assert!((o.bridges[0].span_mm - 12.0).abs() < 0.2);
}

/// The tip of a cone that hangs, 60 degrees steep: no facet of it is an overhang, its tip is an island.
#[test]
fn a_hanging_tip_begins_in_the_air() {
    let mut soup = Soup::new();
    for (a, b) in [
        ([0.0f32, 0.0, 0.0], [4.0f32, 20.0, 30.0]),
        ([4.0, 0.0, 26.0], [20.0, 20.0, 30.0]),
    ] {
        soup.extend(cuboid(a, b));
    }
    let n = 24;
    let at = |k: usize| {
        let a = std::f64::consts::TAU * (k % n) as f64 / n as f64;
        [
            (14.0 + 4.0 * libm::cos(a)) as f32,
            (10.0 + 4.0 * libm::sin(a)) as f32,
            26.5,
        ]
    };
    let (tip, top) = ([14.0f32, 10.0, 18.0], [14.0f32, 10.0, 26.5]);
    for k in 0..n {
        soup.push([tip, at(k + 1), at(k)]);
        soup.push([top, at(k), at(k + 1)]);
    }
    let o = of(&welded(&soup), &UPRIGHT, &asks());
    assert_eq!(o.islands.len(), 1, "{:?}", o.islands);
    assert!((o.islands[0].height_mm - 18.0).abs() < 0.4);
}

/// A closed room 20 x 20 x 10 keeps all the support under its roof; with a door of 8 mm, none; with a slit of 1 mm, all.
#[test]
fn support_in_a_closed_room_is_trapped() {
    let room = |door: f32| {
        let mut list = vec![
            ([0.0, 0.0, 0.0], [24.0, 24.0, 2.0]),
            ([0.0, 0.0, 2.0], [24.0, 2.0, 12.0]),
            ([0.0, 22.0, 2.0], [24.0, 24.0, 12.0]),
            ([0.0, 2.0, 2.0], [2.0, 22.0, 12.0]),
            ([0.0, 0.0, 12.0], [24.0, 24.0, 14.0]),
        ];
        if door > 0.0 {
            list.push(([22.0, 2.0, 2.0], [24.0, 12.0 - door / 2.0, 12.0]));
            list.push(([22.0, 12.0 + door / 2.0, 2.0], [24.0, 22.0, 12.0]));
        } else {
            list.push(([22.0, 2.0, 2.0], [24.0, 22.0, 12.0]));
        }
        of(&boxes(&list), &UPRIGHT, &asks()).support
    };
    let shut = room(0.0);
    near(shut.volume_mm3, 4000.0, 0.02, "volume");
    near(shut.trapped_mm3, 4000.0, 0.02, "trapped");
    near(shut.landing_mm2, 400.0, 0.02, "landing");
    assert_eq!(shut.trapped.len(), 1);
    let p = shut.trapped[0].at;
    assert!(p.iter().zip([2.0, 2.0, 2.0]).all(|(x, low)| *x >= low));
    assert_eq!(room(8.0).trapped_mm3, 0.0);
    assert!(room(1.0).trapped_mm3 > 3900.0);
}

/// What hangs one layer above the plate comes down on it; so does what hangs one layer above the part.
#[test]
fn what_hangs_a_layer_high_lies_on_what_is_under_it() {
    let foot = boxes(&[
        ([0.0, 0.0, 0.0], [10.0, 10.0, 5.0]),
        ([10.0, 0.0, 0.2], [30.0, 10.0, 5.0]),
    ]);
    assert_eq!(of(&foot, &UPRIGHT, &asks()).area_mm2, 0.0);
    let higher = boxes(&[
        ([0.0, 0.0, 0.0], [10.0, 10.0, 5.0]),
        ([10.0, 0.0, 0.6], [30.0, 10.0, 5.0]),
    ]);
    near(of(&higher, &UPRIGHT, &asks()).area_mm2, 200.0, 0.02, "area");
}

/// Mirrored and moved, a part hangs as it did.
#[test]
fn mirroring_and_moving_change_nothing() {
    let plain = of(&t_piece(), &UPRIGHT, &asks());
    let mirrored = of(&t_piece().mirrored(0), &UPRIGHT, &asks());
    near(mirrored.area_mm2, plain.area_mm2, 1e-9, "area");
    near(
        mirrored.support.volume_mm3,
        plain.support.volume_mm3,
        1e-9,
        "volume",
    );
    assert_eq!(mirrored.total, plain.total);
    assert!((mirrored.places[0].air_mm - plain.places[0].air_mm).abs() < 0.1);
}

/// Pixels grow with the part, so that their number stays.
#[test]
fn a_large_part_keeps_its_areas_on_larger_pixels() {
    let few = Asks {
        most_pixels: 4e4,
        ..asks()
    };
    let o = of(&t_piece(), &UPRIGHT, &few);
    near(o.area_mm2, 200.0, 0.05, "area");
    near(o.support.volume_mm3, 6000.0, 0.05, "volume");
}
