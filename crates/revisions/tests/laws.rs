//! Laws: what is only stored or placed otherwise is the same part; analytic shapes have the change they were given.

use mesh::shapes::{Soup, cuboid, moved, revolved, shuffled, torus, welded};
use mesh::tree::Tree;
use mesh::{Mesh, tree};
use revisions::{Asks, Body, Dimension, PartChange, Rigid, compare};

fn asks() -> Asks {
    Asks {
        same_mm: 0.02,
        sample_mm: 0.5,
        region_gap_mm: 1.0,
        regions_at_most: 32,
        caliper_least_mm: 0.1,
    }
}

fn between(base: &Soup, present: &Soup) -> PartChange {
    let (base, base_tree) = Tree::build(welded(base));
    let (present, present_tree) = Tree::build(welded(present));
    compare(
        Body {
            mesh: &base,
            tree: &base_tree,
        },
        Body {
            mesh: &present,
            tree: &present_tree,
        },
        &asks(),
    )
}

fn turned(soup: &Soup, by: &Rigid) -> Soup {
    soup.iter()
        .map(|t| t.map(|p| by.at(p.map(f64::from)).map(|x| x as f32)))
        .collect()
}

/// A block with a step, nothing of it symmetric.
fn bracket() -> Soup {
    let outline = [
        [0.0, 0.0],
        [40.0, 0.0],
        [40.0, 8.0],
        [14.0, 8.0],
        [14.0, 30.0],
        [0.0, 30.0],
    ];
    extruded(&outline, &[], 12.0)
}

/// Stands an outline (counter-clockwise, convex corners fanned by ears) up along z; holes are not cut.
fn extruded(outline: &[[f64; 2]], _holes: &[()], height: f64) -> Soup {
    let at = |p: [f64; 2], z: f64| [p[0] as f32, p[1] as f32, z as f32];
    let mut out = Soup::new();
    let n = outline.len();
    for i in 0..n {
        let (p, q) = (outline[i], outline[(i + 1) % n]);
        out.push([at(p, 0.0), at(q, 0.0), at(q, height)]);
        out.push([at(p, 0.0), at(q, height), at(p, height)]);
    }
    for [a, b, c] in ears(outline) {
        out.push([at(a, height), at(b, height), at(c, height)]);
        out.push([at(a, 0.0), at(c, 0.0), at(b, 0.0)]);
    }
    out
}

fn ears(outline: &[[f64; 2]]) -> Vec<[[f64; 2]; 3]> {
    let mut rest = outline.to_vec();
    let mut out = Vec::new();
    let turn = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| {
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    while rest.len() > 3 {
        let n = rest.len();
        let ear = (0..n).find(|&i| {
            let (a, b, c) = (rest[(i + n - 1) % n], rest[i], rest[(i + 1) % n]);
            turn(a, b, c) > 0.0
                && rest.iter().all(|&p| {
                    p == a
                        || p == b
                        || p == c
                        || !(turn(a, b, p) >= 0.0 && turn(b, c, p) >= 0.0 && turn(c, a, p) >= 0.0)
                })
        });
        let i = ear.expect("a simple outline has an ear");
        out.push([rest[(i + n - 1) % n], rest[i], rest[(i + 1) % n]]);
        rest.remove(i);
    }
    out.push([rest[0], rest[1], rest[2]]);
    out
}

/// A block 30 x 20 x 10 with a slot of a width along x, 6 deep.
fn slotted(width: f64) -> Soup {
    let (l, r) = (15.0 - width / 2.0, 15.0 + width / 2.0);
    let outline = [
        [0.0, 0.0],
        [30.0, 0.0],
        [30.0, 16.0],
        [r, 16.0],
        [r, 6.0],
        [l, 6.0],
        [l, 16.0],
        [0.0, 16.0],
    ];
    extruded(&outline, &[], 10.0)
}

/// A ring with a bore.
fn bored(bore: f64, outer: f64, sides: usize) -> Soup {
    revolved(
        &[
            [bore / 2.0, 0.0],
            [outer / 2.0, 0.0],
            [outer / 2.0, 8.0],
            [bore / 2.0, 8.0],
            [bore / 2.0, 0.0],
        ],
        sides,
    )
}

#[test]
fn another_order_is_identical() {
    let soup = torus(64, 32, 20.0, 5.0);
    let got = between(&soup, &shuffled(&soup, 3));
    assert!(got.identical && !got.moved && got.max_mm == 0.0);
}

#[test]
fn moved_in_its_file_is_the_same() {
    for d in [[12.5, -3.25, 40.0], [0.3, 0.0, 0.0], [500.0, 0.0, -80.0]] {
        let got = between(&bracket(), &moved(&bracket(), d));
        assert!(got.moved && got.moved_only, "{d:?}: {got:?}");
        assert!(got.max_mm < 1e-3);
        for k in 0..3 {
            assert!((got.onto.move_mm[k] - f64::from(d[k])).abs() < 1e-3);
        }
    }
}

#[test]
fn turned_in_its_file_is_the_same() {
    for by in [
        [0.0, 0.0, std::f64::consts::FRAC_PI_2],
        [std::f64::consts::FRAC_PI_2, 0.0, 0.0],
        [0.4, -0.9, 1.3],
        [0.0, 0.0, 0.5],
    ] {
        let by = Rigid::about([3.0, 4.0, 5.0], by);
        let got = between(&bracket(), &turned(&bracket(), &by));
        assert!(got.moved_only, "{by:?}: {} {:?}", got.max_mm, got.onto);
        assert!(got.max_mm < 1e-3);
    }
}

#[test]
fn a_symmetric_body_is_not_turned() {
    let cube = cuboid([0.0; 3], [20.0; 3]);
    let finer: Soup = cube
        .iter()
        .flat_map(|[a, b, c]| {
            let m = [0, 1, 2].map(|k| (a[k] + b[k]) / 2.0);
            [[*a, m, *c], [m, *b, *c]]
        })
        .collect();
    let got = between(&cube, &finer);
    assert!(!got.moved && !got.moved_only && !got.identical && got.max_mm < 1e-6);
    let taller = between(&cube, &cuboid([0.0; 3], [20.0, 20.0, 21.0]));
    assert!(!taller.moved, "{:?}", taller.onto);
}

#[test]
fn moved_and_changed_lies_on_what_did_not_change() {
    let mut outline = vec![
        [0.0, 0.0],
        [40.0, 0.0],
        [40.0, 8.0],
        [14.0, 8.0],
        [14.0, 30.0],
        [0.0, 30.0],
    ];
    outline[1][0] = 43.0;
    outline[2][0] = 43.0;
    let present = moved(&extruded(&outline, &[], 12.0), [100.0, 7.0, -5.0]);
    let got = between(&bracket(), &present);
    assert!(got.moved && !got.moved_only);
    assert!((got.max_mm - 3.0).abs() < 0.01, "{}", got.max_mm);
    for (got, want) in got.onto.move_mm.into_iter().zip([100.0, 7.0, -5.0]) {
        assert!((got - want).abs() < 0.01);
    }
    assert_eq!(got.regions_total, 1);
    assert!((got.regions[0].depth_mm - 3.0).abs() < 0.01);
}

#[test]
fn a_slot_of_12_4_and_12_8() {
    let got = between(&slotted(12.4), &slotted(12.8));
    let bench = got.bench.expect("a caliper shows it");
    assert_eq!(
        (bench.dimension, bench.outside),
        (Dimension::Flats, false),
        "{bench:?}"
    );
    assert!((bench.base_mm - 12.4).abs() < 1e-4 && (bench.present_mm - 12.8).abs() < 1e-4);
    assert_eq!(got.regions_total, 2);
    assert!(
        got.regions.iter().all(|r| (r.depth_mm + 0.2).abs() < 1e-4),
        "plastic went"
    );
    assert!((got.max_mm - 0.2).abs() < 1e-4);
    // Each wall 10 x 10, both surfaces; the ends of the block gave a strip of 0.2 each.
    assert!(
        (got.regions[0].area_mm2 - 100.0).abs() < 8.0,
        "{}",
        got.regions[0].area_mm2
    );
}

#[test]
fn a_bore_of_3_2_and_4_0_and_a_boss() {
    let got = between(&bored(3.2, 12.0, 48), &bored(4.0, 12.0, 48));
    let bench = got.bench.expect("a caliper shows it");
    assert_eq!(
        (bench.dimension, bench.outside),
        (Dimension::Diameter, false)
    );
    assert!(
        (bench.base_mm - 3.2).abs() < 1e-4 && (bench.present_mm - 4.0).abs() < 1e-4,
        "{bench:?}"
    );
    assert!(bench.along[2].abs() > 0.9999);
    let got = between(&bored(3.2, 12.0, 64), &bored(3.2, 12.3, 48));
    let bench = got.bench.expect("a caliper shows it");
    assert_eq!(
        (bench.dimension, bench.outside),
        (Dimension::Diameter, true)
    );
    assert!(
        (bench.base_mm - 12.0).abs() < 1e-4 && (bench.present_mm - 12.3).abs() < 1e-4,
        "{bench:?}"
    );
}

#[test]
fn a_box_grown_longer() {
    let got = between(
        &cuboid([0.0; 3], [40.0, 30.0, 20.0]),
        &cuboid([0.0; 3], [41.0, 30.0, 20.0]),
    );
    let bench = got.bench.expect("a caliper shows it");
    assert_eq!((bench.dimension, bench.outside), (Dimension::Length, true));
    assert_eq!((bench.base_mm, bench.present_mm), (40.0, 41.0));
    assert_eq!(got.volume_delta_mm3, 600.0);
    let region = &got.regions[0];
    assert_eq!((region.depth_mm, got.regions_total), (1.0, 1));
    assert_eq!(region.size_mm[1..], [30.0, 20.0]);
    // Under 0.1 mm nothing can be told.
    let got = between(
        &cuboid([0.0; 3], [40.0, 30.0, 20.0]),
        &cuboid([0.0; 3], [40.0625, 30.0, 20.0]),
    );
    assert!(got.bench.is_none() && got.max_mm == 0.0625);
}

#[test]
fn nothing_against_something() {
    let (empty, empty_tree) = Tree::build(Mesh::default());
    let (cube, cube_tree) = Tree::build(welded(&cuboid([0.0; 3], [1.0; 3])));
    let (a, b) = (
        Body {
            mesh: &empty,
            tree: &empty_tree,
        },
        Body {
            mesh: &cube,
            tree: &cube_tree,
        },
    );
    assert!(compare(a, a, &asks()).identical);
    for got in [compare(a, b, &asks()), compare(b, a, &asks())] {
        assert!(!got.identical && (got.max_mm - 3f64.sqrt()).abs() < 1e-12);
    }
    let _ = tree::NONE;
}

/// A tube: bore, outer diameter and height, mm, beside a block that stands still.
fn tube(bore: f64, outer: f64, height: f64, beside: f32) -> Soup {
    let outline = [
        [bore / 2.0, 0.0],
        [outer / 2.0, 0.0],
        [outer / 2.0, height],
        [bore / 2.0, height],
        [bore / 2.0, 0.0],
    ];
    let mut soup = revolved(&outline, 64);
    soup.extend(cuboid([30.0, -5.0, 0.0], [40.0, 5.0, beside]));
    soup
}

/// Said only where it is so: a tube that is also longer, or a block that also grew, changed in more than its bore.
#[test]
fn nothing_but_bores_is_said_where_nothing_but_bores_changed() {
    let rounds = |base: &Soup, present: &Soup| between(base, present).only_rounds;
    let base = tube(4.2, 8.0, 10.0, 10.0);
    let wider = rounds(&base, &tube(4.4, 8.0, 10.0, 10.0)).expect("a bore");
    assert_eq!(wider.len(), 1, "{wider:?}");
    assert!(
        wider[0].hollow && wider[0].count == 1 && !wider[0].rim,
        "{wider:?}"
    );
    assert!((wider[0].base_mm - 4.2).abs() < 1e-3 && (wider[0].present_mm - 4.4).abs() < 1e-3);
    let both = rounds(&base, &tube(4.4, 8.5, 10.0, 10.0)).expect("a bore and a boss");
    assert_eq!(
        both.iter().map(|r| r.hollow).collect::<Vec<_>>(),
        [true, false]
    );
    for (what, other) in [
        ("longer only", tube(4.2, 8.0, 12.0, 10.0)),
        ("wider and longer", tube(4.4, 8.0, 12.0, 10.0)),
        ("wider, and the block grew", tube(4.4, 8.0, 10.0, 11.0)),
        (
            "wider, and the block shrank by little",
            tube(4.4, 8.0, 10.0, 9.9),
        ),
    ] {
        assert_eq!(rounds(&base, &other), None, "{what}");
    }
    // A nub of 1.5 mm on the rim of a bore that grew.
    let nub = |soup: Soup| -> Soup {
        let mut soup = soup;
        soup.extend(cuboid([2.6, -0.5, 9.5], [3.6, 0.5, 11.5]));
        soup
    };
    assert_eq!(rounds(&base, &nub(tube(4.4, 8.0, 10.0, 10.0))), None);
}
