//! Slices against reference libraries (tests/witness/slices.txt) and against closed forms.

use std::f64::consts::PI;

use layers::{Posed, Slicer, Turn};
use mesh::Edges;
use mesh::shapes::{Soup, cuboid, moved, welded};

mod made;
use made::{ball, lathe, made, tilted, wedge};

const UPRIGHT: Turn = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// Areas of all layers.
fn areas(soup: &Soup, layer_mm: f64) -> Vec<f64> {
    let mesh = welded(soup);
    let edges = Edges::build(&mesh);
    let posed = Posed::new(&mesh, &UPRIGHT);
    let stack = Slicer::new(&posed, &edges).stack(layer_mm);
    stack.each(16, |layer| {
        assert_eq!(layer.open(), 0);
        layer.area_mm2()
    })
}

/// Library, version and command stand at the head of the file. Both libraries cut the same f32 mesh in doubles;
/// manifold3d and trimesh agree with each other within 2e-9 of a layer's area.
#[test]
fn areas_of_reference_libraries() {
    let table = include_str!("../../../tests/witness/slices.txt");
    let mut seen: Vec<&str> = Vec::new();
    let mut present = (String::new(), Vec::new());
    for line in table.lines().filter(|l| !l.starts_with('#')) {
        let words: Vec<&str> = line.split(' ').collect();
        let [name, layer_mm, layer, manifold, trimesh] = words[..] else {
            panic!("five columns: {line}");
        };
        if present.0 != name {
            let soup = made(name).expect("a shape of the tests");
            let layer_mm = layer_mm.parse().expect("a number");
            present = (name.to_string(), areas(&soup, layer_mm));
            seen.push(name);
        }
        let got = present.1[layer.parse::<usize>().expect("a layer")];
        for theirs in [manifold, trimesh] {
            let theirs: f64 = theirs.parse().expect("an area");
            assert!((got - theirs).abs() < 1e-6 * theirs, "{line}: {got}");
        }
    }
    assert_eq!(seen, made::NAMES);
}

/// A regular n-gon of circumradius r has the area n/2 sin(2 pi / n) r^2 (Bronstein, Taschenbuch der Mathematik).
fn polygon(n: f64, r: f64) -> f64 {
    0.5 * n * libm::sin(2.0 * PI / n) * r * r
}

#[test]
fn prism_cone_and_wedge_in_closed_form() {
    for area in areas(&made("prism").expect("a shape"), 0.2) {
        assert!((area - polygon(96.0, 10.0)).abs() < 1e-6 * area);
    }
    for (k, area) in areas(&made("cone").expect("a shape"), 0.2)
        .into_iter()
        .enumerate()
    {
        let r = 8.0 * (1.0 - (k as f64 + 0.5) * 0.2 / 25.0);
        assert!((area - polygon(64.0, r)).abs() < 1e-5 * area + 1e-5, "{k}");
    }
    for (k, area) in areas(&wedge(30.0, 20.0, 6.0), 0.2).into_iter().enumerate() {
        let long = 30.0 * (1.0 - (k as f64 + 0.5) * 0.2 / 6.0);
        assert!((area - 20.0 * long).abs() < 1e-5 * area, "{k}");
    }
}

/// Archimedes: a ball is cut at height z in a circle of pi (r^2 - z^2). A ball of n steps lies within
/// r (1 - cos(pi / n)) of it, so finer ones come nearer by the square.
#[test]
fn balls_come_nearer_to_the_circle_by_the_square_of_the_steps() {
    let worst = |n: usize| -> f64 {
        let cut = areas(&ball(15.0, n), 0.3);
        assert_eq!(cut.len(), 100);
        cut.iter()
            .enumerate()
            .map(|(k, area)| {
                let z = (k as f64 + 0.5) * 0.3 - 15.0;
                (PI * (225.0 - z * z) - area).abs()
            })
            .fold(0.0, f64::max)
    };
    let (coarse, fine) = (worst(48), worst(192));
    assert!(fine < 0.075 * coarse, "{coarse} {fine}");
    assert!(fine < 2e-3 * PI * 225.0);
}

/// A torus is cut at height z in a ring of area 4 pi R sqrt(r^2 - z^2). The mesh lies within the torus, and around the
/// one whose tube is thinner by the height of its facets' arcs, r (1 - cos(pi / m)), in both ways round.
#[test]
fn a_torus_is_cut_in_rings() {
    let cut = areas(&mesh::shapes::torus(512, 256, 20.0, 5.0), 0.1);
    assert_eq!(cut.len(), 100);
    for (k, area) in cut.into_iter().enumerate() {
        let z = (k as f64 + 0.5) * 0.1 - 5.0;
        let ring = |r: f64| 4.0 * PI * 20.0 * (r * r - z * z).sqrt();
        let inner = ring(5.0 * libm::cos(PI / 256.0)) * polygon(512.0, 1.0) / PI;
        assert!(inner - 1e-3 < area && area < ring(5.0) + 1e-3, "{k} {area}");
    }
}

/// The pose undoes the way the mesh was exported: the same part modelled upright and modelled tilted.
#[test]
fn a_part_exported_tilted_is_cut_like_one_exported_upright() {
    let shape = || lathe(&[[10.0, 0.0], [4.0, 6.0], [4.0, 14.0], [9.0, 20.0]], 48);
    let angle = 0.8;
    let upright = areas(&shape(), 0.2);
    let mesh = welded(&tilted(&shape(), angle));
    let edges = Edges::build(&mesh);
    // The inverse of a turn about (1, 1, 0), by Rodrigues' formula.
    let (s, c, h) = (-libm::sin(angle), libm::cos(angle), 0.5f64.sqrt());
    let axis = [h, h, 0.0];
    let skew = [[0.0, 0.0, h], [0.0, 0.0, -h], [-h, h, 0.0]];
    let turn: Turn = [0, 1, 2].map(|i| {
        [0, 1, 2].map(|j| {
            let one = if i == j { c } else { 0.0 };
            one + s * skew[i][j] + (1.0 - c) * axis[i] * axis[j]
        })
    });
    let posed = Posed::new(&mesh, &turn);
    assert!((posed.height_mm - 20.0).abs() < 1e-5);
    let stack = Slicer::new(&posed, &edges).stack(0.2);
    let back = stack.each(8, |l| l.area_mm2());
    assert_eq!(back.len(), upright.len());
    for (a, b) in back.iter().zip(&upright) {
        assert!((a - b).abs() < 1e-5 * b, "{a} {b}");
    }
    assert!((stack.volume_mm3() - upright.iter().sum::<f64>() * 0.2).abs() < 0.01);
}

/// Solids that share an edge, a face or a corner come apart: every slice is as if each stood alone.
#[test]
fn solids_that_touch_are_cut_as_if_alone() {
    let box_of = |d: [f32; 3]| moved(&cuboid([0.0; 3], [10.0, 10.0, 4.0]), d);
    for (name, d) in [
        ("edge", [10.0, 10.0, 0.0]),
        ("face", [10.0, 0.0, 0.0]),
        ("corner", [10.0, 10.0, 4.0]),
        ("on top", [0.0, 0.0, 4.0]),
        ("on its rim", [10.0, 0.0, 4.0]),
    ] {
        let mut soup = box_of([0.0; 3]);
        soup.extend(box_of(d));
        let cut = areas(&soup, 0.25);
        let expected = if d[2] > 0.0 { 100.0 } else { 200.0 };
        assert_eq!(cut.len(), if d[2] > 0.0 { 32 } else { 16 }, "{name}");
        for area in cut {
            assert!((area - expected).abs() < 1e-9, "{name} {area}");
        }
    }
}

/// A vertex pulled 20 nm away on one of its facets leaves a crack; within the layer it closes again.
#[test]
fn a_crack_is_closed_within_the_layer() {
    let mut soup = cuboid([0.0; 3], [20.0; 3]);
    soup[9][0][0] += 2e-5;
    let mesh = welded(&soup);
    let edges = Edges::build(&mesh);
    assert!(!edges.closed());
    let posed = Posed::new(&mesh, &UPRIGHT);
    let stack = Slicer::new(&posed, &edges).stack(0.3);
    let mut joined = 0;
    for mut layer in stack.run(0..stack.count()) {
        joined += layers::join::close(&mut layer, 0.05);
        assert_eq!(layer.open(), 0);
        assert!((layer.area_mm2() - 400.0).abs() < 1e-3);
    }
    assert!(joined > 0);
    let stack = stack.closing(0.05);
    assert!(
        stack
            .each(9, |layer| layer.open())
            .iter()
            .all(|&open| open == 0)
    );
    assert!((stack.volume_mm3() - 8000.0 / 20.0 * 0.3 * stack.count() as f64).abs() < 1e-2);
}
