//! The demo's three revisions, part by part: each has changed by what its generator says (crates/demo,
//! `revisions.rs`), and by nothing else. Lengths are those of the drawing.

use std::path::Path;

use mesh::Mesh;
use mesh::decode::{DecodeLimits, Format, decode};
use mesh::tree::Tree;
use revisions::{Asks, Body, PartChange, alike, compare, moved_near, shape_of};

fn read(revision: &str, part: &str) -> (Mesh, Tree) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../kits/revisions/skerry-light")
        .join(revision)
        .join(format!("meshes/{part}.stl"));
    let bytes = std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let room = DecodeLimits {
        max_triangles: 1_000_000,
        max_unpacked_bytes: 0,
    };
    let decoded = decode(&bytes, Format::Stl, None, &room).expect("a mesh");
    Tree::build(mesh::weld(decoded.vertices, decoded.triangles, false).mesh)
}

fn between(base: (&str, &str), present: (&str, &str)) -> PartChange {
    let (b, p) = (read(base.0, base.1), read(present.0, present.1));
    let body = |one| {
        let (mesh, tree): &(Mesh, Tree) = one;
        Body { mesh, tree }
    };
    let asks = Asks {
        same_mm: 0.02,
        sample_mm: 0.5,
        region_gap_mm: 1.0,
        regions_at_most: 32,
        caliper_least_mm: 0.1,
    };
    compare(body(&b), body(&p), &asks)
}

fn first(part: &str) -> PartChange {
    between(("1.0", part), ("1.1", part))
}

fn second(part: &str) -> PartChange {
    between(("1.1", part), ("2.0", part))
}

#[test]
fn what_is_filed_otherwise_is_the_same_part() {
    // Another order of triangles, back again, and parts that no revision touched.
    for change in [
        first("tower-top"),
        second("tower-top"),
        first("gallery"),
        first("vent-ball"),
        second("railing"),
        second("lantern-frame"),
        second("pane"),
        second("roof"),
        between(("1.0", "railing-jig"), ("1.1", "setting-jig")),
        between(("1.1", "vent-ball"), ("2.0", "finial")),
    ] {
        assert!(change.identical && change.regions.is_empty(), "{change:?}");
    }
    let roof = first("roof");
    assert!(!roof.identical && !roof.moved);
    // Middles of edges lie on a grid of 1/1024 mm.
    assert!(roof.max_mm < 0.001 && roof.regions.is_empty(), "{roof:?}");
    let railing = first("railing");
    assert!(railing.moved_only && railing.max_mm < 0.001, "{railing:?}");
    assert_eq!(railing.onto.move_mm.map(f64::round), [20.0, 30.0, 0.0]);
}

#[test]
fn what_changed_changed_by_as_much_as_drawn() {
    // The seat: from 24.36 to 24.49 mm; its wall is a prism of 56 sides, which leans by nothing.
    let gallery = second("gallery");
    assert!((gallery.max_mm - 0.13).abs() < 0.01, "{}", gallery.max_mm);
    assert!(gallery.volume_delta_mm3 < 0.0);
    // The rib reaches 2.5 mm from the middle of a sheet of 1 mm: 2 mm over its face.
    let pane = first("pane");
    assert!((pane.max_mm - 2.0).abs() < 0.05, "{}", pane.max_mm);
    assert_eq!(pane.regions_total, 1);
    assert!(pane.regions[0].depth_mm > 0.0);
    // Four ventilators, cut away.
    let frame = first("lantern-frame");
    assert_eq!(frame.regions_total, 4);
    assert!(frame.regions.iter().all(|r| r.depth_mm < 0.0));
    // The column: from 3.4 to 4.7 mm.
    let stand = second("lamp-stand");
    assert!((stand.max_mm - 1.3).abs() < 0.02, "{}", stand.max_mm);
}

/// The seat lies within 1 mm of the tower's lip, the pane's rib of no part of the frame.
#[test]
fn only_the_seat_lies_by_a_neighbour() {
    let reach = |change: &PartChange, revision: &str, other: &str, away: [f64; 3]| {
        let (mesh, tree) = read(revision, other);
        let body = Body {
            mesh: &mesh,
            tree: &tree,
        };
        let to_neighbour = revisions::Rigid::shift(away);
        moved_near(&change.moved_at, &body, &to_neighbour, 1.0)
    };
    // Poses of the manifest: the gallery stands 24 mm up, the pane 25 mm off the axis and 12 mm up in the frame.
    let (depth, _) = reach(&second("gallery"), "2.0", "tower-top", [0.0, 0.0, 24.0])
        .expect("the lip lies in the seat");
    assert!(depth.abs() > 0.1, "over half of 0.15 to 0.35 mm: {depth}");
    let pane = reach(&first("pane"), "1.1", "lantern-frame", [0.0, -25.0, 12.0]);
    assert!(pane.is_none(), "{pane:?}");
}

/// A part that goes by another name is found by its shape, and by no other part's.
#[test]
fn renamed_parts_have_one_shape() {
    let shape = |revision: &str, part: &str| shape_of(&read(revision, part).0);
    assert!(alike(
        &shape("1.1", "vent-ball"),
        &shape("2.0", "finial"),
        0.001
    ));
    for other in ["roof", "pane", "lamp-stand", "tower-top"] {
        let there = shape("2.0", other);
        assert!(!alike(&shape("1.1", "vent-ball"), &there, 0.001), "{other}");
    }
}
