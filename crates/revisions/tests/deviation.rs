//! Distances of all vertices from the other surface, both ways, against another library: `deviation_witness.json`, which
//! `tests/witness/deviation.py` makes and which names library and version. Published parts are read from the folder
//! that KITPROOF_OPEN_DATA names; the test says so where it is unset.

mod pairs;

use std::path::PathBuf;

use mesh::Mesh;
use mesh::decode::{DecodeLimits, Format, decode};
use mesh::tree::Tree;
use revisions::{Asks, Body, Rigid, compare, vertex_distances};
use serde_json::Value;

/// What two exact computations in double precision may differ by, mm.
const WITHIN_MM: f64 = 1e-5;

fn witness() -> Value {
    serde_json::from_str(include_str!("deviation_witness.json")).expect("JSON")
}

fn assert_alike(name: &str, base: Mesh, present: Mesh) {
    let witness = witness();
    let said = &witness["pairs"][name];
    let (base, base_tree) = Tree::build(base);
    let (present, present_tree) = Tree::build(present);
    let base = Body {
        mesh: &base,
        tree: &base_tree,
    };
    let present = Body {
        mesh: &present,
        tree: &present_tree,
    };
    for (way, from, to) in [("there", base, present), ("back", present, base)] {
        let found = vertex_distances(from.mesh, to, &Rigid::IDENTITY).distances_mm;
        let count = found.len() as f64;
        assert_eq!(
            Some(found.len() as u64),
            said[way]["vertices"].as_u64(),
            "{name}, {way}"
        );
        let mean = found.iter().sum::<f64>() / count;
        let rms = (found.iter().map(|d| d * d).sum::<f64>() / count).sqrt();
        let max = found.iter().copied().fold(0.0, f64::max);
        for (what, value) in [("max", max), ("mean", mean), ("rms", rms)] {
            let expected = said[way][what].as_f64().expect("a number");
            assert!(
                (value - expected).abs() <= WITHIN_MM,
                "{name}, {way}: {what} {value}, the witness says {expected}"
            );
        }
    }
}

#[test]
fn made_pairs_are_as_far_apart_as_another_library_says() {
    let pairs = pairs::made();
    assert_eq!(pairs.len(), 5);
    for (name, base, present) in pairs {
        assert_alike(name, pairs::mesh(&base), pairs::mesh(&present));
    }
}

#[test]
fn published_pairs_are_as_far_apart_as_another_library_says() {
    let Some(folder) = std::env::var_os("KITPROOF_OPEN_DATA").map(PathBuf::from) else {
        println!("not run: KITPROOF_OPEN_DATA is unset");
        return;
    };
    let read = |path: &str| {
        let bytes = std::fs::read(folder.join(path)).expect("a published part");
        let limits = DecodeLimits {
            max_triangles: 10_000_000,
            max_unpacked_bytes: 0,
        };
        let found = decode(&bytes, Format::Stl, None, &limits).expect("an STL");
        mesh::weld(found.vertices, found.triangles, found.indexed).mesh
    };
    for pair in pairs::PUBLISHED {
        assert_alike(&pair.join(" "), read(pair[0]), read(pair[1]));
    }
}

/// A bell of 0.3 mm along z: the vertex moved by 0.3 mm, the surface by less wherever it leans; the comparison finds
/// what the other library finds, one region of it, about where it was made.
#[test]
fn a_bump_is_one_region_as_deep_as_the_surface_moved() {
    let (name, base, present) = pairs::made().swap_remove(0);
    let said = &witness()["pairs"][name];
    let centre = base[0][0].map(f64::from);
    let (base, base_tree) = Tree::build(pairs::mesh(&base));
    let (present, present_tree) = Tree::build(pairs::mesh(&present));
    let change = compare(
        Body {
            mesh: &base,
            tree: &base_tree,
        },
        Body {
            mesh: &present,
            tree: &present_tree,
        },
        &Asks {
            same_mm: 0.02,
            sample_mm: 0.5,
            region_gap_mm: 1.0,
            regions_at_most: 32,
            caliper_least_mm: 0.1,
        },
    );
    let way = |name: &str| said[name]["max"].as_f64().expect("a number");
    let most = way("there").max(way("back"));
    assert!(most < 0.3, "the surface leans there");
    // Large facets are sampled between their corners, where they may lie farther off than these; never farther than
    // the vertices were moved.
    assert!(
        change.max_mm >= most - WITHIN_MM && change.max_mm < 0.3,
        "{} {most}",
        change.max_mm
    );
    assert!(
        !change.moved && change.regions_total == 1,
        "{}",
        change.regions_total
    );
    let region = &change.regions[0];
    assert!(region.depth_mm.abs() <= change.max_mm + 1e-9);
    let off: f64 = (0..3).map(|k| (region.at[k] - centre[k]).powi(2)).sum();
    assert!(off.sqrt() < 6.0, "{:?} is far from {centre:?}", region.at);
}
