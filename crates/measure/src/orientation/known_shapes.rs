//! Shapes whose costs are known, pose by pose. Areas and volumes: plane geometry, with the definition that a support is
//! the vertical prism under a surface steeper than 45 degrees, down to the first surface it meets.

use mesh::shapes::{Soup, cuboid, revolved, torus, welded};
use mesh::tree::Tree;
use mesh::vector::{Vec3, dot};
use mesh::{Edges, Mesh};

use super::candidates::sphere;
use super::columns::{Footing, Grid, Lean, Room, footing};
use super::normal_image::{Flats, NormalImage};
use super::proxy::proxy;
use super::surface::Surface;
use super::tests::{asks, of};
use super::*;

const UP: Vec3 = [0.0, 0.0, 1.0];
const DOWN: Vec3 = [0.0, 0.0, -1.0];

fn boxes(list: &[([f32; 3], [f32; 3])]) -> Soup {
    list.iter().flat_map(|&(a, b)| cuboid(a, b)).collect()
}

fn t_piece() -> Soup {
    boxes(&[
        ([10.0, 0.0, 0.0], [20.0, 10.0, 30.0]),
        ([0.0, 0.0, 30.0], [30.0, 10.0, 40.0]),
    ])
}

fn table() -> Soup {
    boxes(&[
        ([0.0, 0.0, 0.0], [10.0, 10.0, 20.0]),
        ([40.0, 0.0, 0.0], [50.0, 10.0, 20.0]),
        ([0.0, 0.0, 20.0], [50.0, 10.0, 25.0]),
    ])
}

/// Base 40 x 20 x 5 with a wall 5 x 20 x 35 on it.
fn l_piece() -> Soup {
    boxes(&[
        ([0.0, 0.0, 0.0], [40.0, 20.0, 5.0]),
        ([0.0, 0.0, 5.0], [5.0, 20.0, 40.0]),
    ])
}

/// A half ball of 20 mm, flat at z = 0, dome up.
fn half_ball(n: usize, m: usize) -> Soup {
    let arc = (0..=m).map(|j| {
        let lift = std::f64::consts::FRAC_PI_2 * j as f64 / m as f64;
        // The pole is one point, whatever the turn.
        let r = if j == m { 0.0 } else { 20.0 * libm::cos(lift) };
        [r, 20.0 * libm::sin(lift)]
    });
    let outline: Vec<[f64; 2]> = std::iter::once([0.0, 0.0]).chain(arc).collect();
    revolved(&outline, n)
}

/// A prism of legs 20 x 20 and depth 10: flat at z = 0 and at x = 0, the slope between.
fn wedge() -> Soup {
    let [a, b, c] = [[0.0, 0.0], [20.0, 0.0], [0.0, 20.0]];
    let at = |[x, z]: [f32; 2], y: f32| [x, y, z];
    let mut out = vec![
        [at(a, 0.0), at(b, 0.0), at(c, 0.0)],
        [at(a, 10.0), at(c, 10.0), at(b, 10.0)],
    ];
    for (p, q) in [(a, b), (b, c), (c, a)] {
        out.push([at(p, 0.0), at(p, 10.0), at(q, 10.0)]);
        out.push([at(p, 0.0), at(q, 10.0), at(q, 0.0)]);
    }
    out
}

fn turned(soup: &Soup, rows: [Vec3; 3]) -> Soup {
    soup.iter()
        .map(|t| t.map(|p| rows.map(|r| dot(r, p.map(f64::from)) as f32)))
        .collect()
}

fn about_z(deg: f64) -> [Vec3; 3] {
    let (s, c) = libm::sincos(deg.to_radians());
    [[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]
}

fn near(value: f64, exact: f64, share: f64, what: &str) {
    let off = (value - exact).abs();
    assert!(
        off <= share * exact.abs() + 1e-6,
        "{what}: {value}, not {exact}"
    );
}

fn at(soup: &Soup, up: Vec3, allowed_deg: f64) -> Footing {
    let mesh = welded(soup);
    let surface = Surface::of(&mesh, &Shown::All).expect("a surface");
    let centroid = mesh::vector::sub(mesh::MassProperties::of(&mesh).centroid_mm, surface.centre);
    let lean = Lean {
        sine: libm::sin((allowed_deg + 0.5f64).to_radians()),
        first_layer_mm: 0.2,
    };
    let grid = Grid {
        column_mm: 0.25,
        most: 60_000,
        least: 3000,
    };
    footing(&surface, up, centroid, lean, grid, &mut Room::default())
}

/// Columns on the shapes of known answer, each pose: overhang, support, height. Of the dome's 628.3 mm2 the pole, a disc
/// of 25 mm2, lies within the first layer.
#[test]
fn columns_know_the_known_shapes() {
    let x = [1.0, 0.0, 0.0];
    let y = [0.0, 1.0, 0.0];
    let cases: [(&str, Soup, Vec3, f64, [f64; 3]); 14] = [
        ("T upright", t_piece(), UP, 45.0, [200.0, 6000.0, 40.0]),
        ("T bar down", t_piece(), DOWN, 45.0, [0.0, 0.0, 40.0]),
        ("T on its side", t_piece(), y, 45.0, [0.0, 0.0, 10.0]),
        ("L base down", l_piece(), UP, 45.0, [0.0, 0.0, 40.0]),
        ("L base up", l_piece(), DOWN, 45.0, [700.0, 24_500.0, 40.0]),
        (
            "L outline on the plate",
            l_piece(),
            y,
            45.0,
            [0.0, 0.0, 20.0],
        ),
        (
            "half ball flat down",
            half_ball(256, 64),
            UP,
            45.0,
            [0.0, 0.0, 20.0],
        ),
        (
            "half ball dome down",
            half_ball(256, 64),
            DOWN,
            44.5,
            [603.3, 1_735.053_712_758, 20.0],
        ),
        ("wedge slope up", wedge(), UP, 45.0, [0.0, 0.0, 20.0]),
        ("wedge slope down", wedge(), DOWN, 45.0, [0.0, 0.0, 20.0]),
        (
            "the same at 44 degrees",
            wedge(),
            DOWN,
            44.0,
            [200.0, 2000.0, 20.0],
        ),
        ("table upright", table(), UP, 45.0, [300.0, 6000.0, 25.0]),
        ("table deck down", table(), DOWN, 45.0, [0.0, 0.0, 25.0]),
        (
            "cube",
            cuboid([0.0; 3], [10.0; 3]),
            x,
            45.0,
            [0.0, 0.0, 10.0],
        ),
    ];
    for (name, soup, up, allowed, [area, volume, height]) in cases {
        let got = at(&soup, up, allowed);
        near(got.overhang_mm2, area, 0.02, &format!("{name}, area"));
        near(got.support_mm3, volume, 0.02, &format!("{name}, volume"));
        near(got.height_mm, height, 1e-6, &format!("{name}, height"));
    }
}

/// Statics: a box of 10 x 10 x 60 tips at atan(5 / 30) = 9.4623 degrees; a wedge on its edge and a dome on its pole
/// do not stand.
#[test]
fn tipping_follows_statics() {
    near(
        at(&cuboid([0.0; 3], [10.0, 10.0, 60.0]), UP, 45.0).tip_deg,
        9.4623,
        1e-4,
        "box",
    );
    assert!(at(&wedge(), DOWN, 45.0).tip_deg < 5.0);
    // A ball of 20 mm is cut 0.1 mm above its pole at a radius of 1.9975 mm; the centroid is 3/8 of 20 mm from the flat.
    near(
        at(&half_ball(256, 64), DOWN, 45.0).tip_deg,
        9.0793,
        0.02,
        "dome",
    );
}

/// Exactly 45 degrees needs no support, however the part is turned about z.
#[test]
fn exactly_45_degrees_is_stable() {
    for k in 0..100 {
        let soup = turned(&wedge(), about_z(3.6 * f64::from(k) + 0.123));
        assert_eq!(at(&soup, DOWN, 45.0).support_mm3, 0.0, "turn {k}");
    }
}

/// A table is turned over, a half ball set on its flat.
#[test]
fn the_best_way_up_is_found() {
    let got = of(&table(), &asks(UP));
    near(got.intended.support_mm3, 6000.0, 0.02, "table");
    assert_eq!(got.others[0].needed_mm3(), 0.0);
    let got = of(&half_ball(128, 32), &asks(DOWN));
    let best = &got.others[0];
    assert!(dot(best.up, UP) > 1.0 - 1e-9, "{best:?}");
    near(
        best.flat_mm2,
        std::f64::consts::PI * 400.0,
        0.01,
        "it stands on its flat",
    );
    // Flat down there is nothing to gain; an L and a wedge are lower on their outlines, and need no support there.
    assert!(of(&half_ball(128, 32), &asks(UP)).others.is_empty());
    for (soup, depth) in [(l_piece(), 20.0), (wedge(), 10.0)] {
        let got = of(&soup, &asks(UP));
        assert_eq!(got.intended.needed_mm3(), 0.0);
        let best = &got.others[0];
        near(best.height_mm, depth, 1e-5, "height");
        assert_eq!(
            (best.needed_mm3(), best.up[1].abs()),
            (0.0, 1.0),
            "{best:?}"
        );
    }
}

/// Turned about the vertical by any angle, a part costs the same, within the sampling of pixels and columns.
#[test]
fn a_turn_about_z_changes_nothing() {
    let plain = of(&t_piece(), &asks(UP));
    for deg in [17.0, 45.0, 123.4] {
        let got = of(&turned(&t_piece(), about_z(deg)), &asks(UP));
        let pairs = [
            (&plain.intended, &got.intended),
            (&plain.others[0], &got.others[0]),
        ];
        for (a, b) in pairs {
            near(b.support_mm3, a.support_mm3, 0.02, "support");
            near(b.height_mm, a.height_mm, 1e-4, "height");
            near(b.first_layer_mm2, a.first_layer_mm2, 1e-3, "first layer");
            near(b.tip_deg, a.tip_deg, 1e-2, "tip");
            assert_eq!(b.needs_support, a.needs_support);
        }
    }
}

/// A part drawn askew is laid down exactly: its flats are candidates, though no uniform set holds them.
#[test]
fn a_part_drawn_askew_is_set_straight() {
    let (s, c) = libm::sincos(0.4f64);
    let tilt = [[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]];
    let got = of(&turned(&t_piece(), tilt), &asks(UP));
    let side = tilt.map(|row| row[1]);
    let found = got
        .others
        .iter()
        .find(|w| dot(w.up, side).abs() > 1.0 - 1e-9)
        .expect("on its side");
    assert_eq!(found.needed_mm3(), 0.0);
    near(found.height_mm, 10.0, 1e-5, "height");
}

#[test]
fn what_has_no_volume_is_not_searched() {
    let inside_out = welded(&mesh::shapes::reversed(&cuboid([0.0; 3], [10.0; 3])));
    for mesh in [inside_out, Mesh::default()] {
        let (mesh, tree) = Tree::build(mesh);
        let edges = Edges::build(&mesh);
        let mass = mesh::MassProperties::of(&mesh).into();
        assert_eq!(search(&mesh, &tree, &edges, &mass, &asks(UP)), None);
    }
}

/// C. Spearman, "The proof and measurement of association between two things", 1904: the correlation of ranks.
fn spearman(a: &[f64], b: &[f64]) -> f64 {
    let ranks = |x: &[f64]| -> Vec<f64> {
        x.iter()
            .map(|&v| {
                let below = x.iter().filter(|&&w| w < v).count() as f64;
                let same = x.iter().filter(|&&w| w == v).count() as f64;
                below + 0.5 * (same - 1.0)
            })
            .collect()
    };
    let (a, b) = (ranks(a), ranks(b));
    let mean = 0.5 * (a.len() as f64 - 1.0);
    let product = |p: &[f64], q: &[f64]| -> f64 {
        p.iter().zip(q).map(|(x, y)| (x - mean) * (y - mean)).sum()
    };
    product(&a, &b) / (product(&a, &a) * product(&b, &b)).sqrt()
}

/// The stand-in ranks directions as the part itself does on its layers: a torus with a bar through it, simplified
/// to a tenth, against supports on the layers.
#[test]
fn the_stand_in_ranks_as_the_layers_do() {
    let mut soup = torus(240, 120, 20.0, 6.0);
    soup.extend(cuboid([-30.0, -3.0, -2.0], [30.0, 3.0, 3.0]));
    let mesh = welded(&soup);
    let surface = Surface::of(&mesh, &Shown::All).expect("a surface");
    let flats = Flats::of(&surface);
    let image = NormalImage::of(&surface, &flats);
    let light = proxy(&surface, &flats, &image, 6000).expect("it has more triangles");
    assert!(light.triangles.len() < 9000, "{}", light.triangles.len());
    let edges = Edges::build(&mesh);
    let asks = asks(UP);
    let lean = Lean {
        sine: libm::sin(45.5f64.to_radians()),
        first_layer_mm: 0.2,
    };
    let grid = Grid {
        column_mm: 1.0,
        most: 12_000,
        least: 3000,
    };
    let height = crate::print::Height {
        layer_mm: 0.2,
        bead_mm: 0.42,
    };
    let (mut by_columns, mut by_layers) = (Vec::new(), Vec::new());
    for up in sphere(24) {
        let room = &mut Room::default();
        by_columns.push(footing(&light, up, [0.0; 3], lean, grid, room).support_mm3);
        let posed = layers::Posed::new(&mesh, &surface::frame(up));
        let stack = layers::Slicer::new(&posed, &edges).stack(0.2);
        let coarse = overhang::Asks {
            pixel_mm: 0.2,
            ..asks.overhang.clone()
        };
        let layers = overhang::measure(&stack, &height, &coarse).expect("layers");
        by_layers.push(layers.support.volume_mm3);
    }
    let rho = spearman(&by_columns, &by_layers);
    assert!(rho > 0.97, "{rho}");
}

/// A post of 4 x 4 on a plate, drawn upright, has 16 mm2 across its layers; a way in which it has more is among the
/// choices.
#[test]
fn a_slender_post_is_stronger_along_its_layers() {
    let mut soup = cuboid([0.0; 3], [20.0, 20.0, 4.0]);
    soup.extend(cuboid([8.0, 8.0, 4.0], [12.0, 12.0, 34.0]));
    let mut asks = asks(UP);
    // Lying, it stands on an edge of its plate and the end of the post.
    asks.footing_mm2 = 5.0;
    let got = of(&soup, &asks);
    near(
        got.intended.section_mm2.expect("a post"),
        16.0,
        0.1,
        "section",
    );
    let strong = |w: &Way| w.section_mm2.is_some_and(|s| s > 40.0);
    assert!(got.others.iter().any(strong), "{:#?}", got.others);
}
