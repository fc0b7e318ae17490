//! Compares two STL files and prints what changed as JSON, a line: for trials on real parts, and for
//! `tests/witness/deviation.py`, which asks `vertices`: the exact distances of all vertices, both ways.
//!
//!   cargo run --release -p revisions --example compare -- BASE PRESENT [vertices]

use std::process::ExitCode;

use mesh::Mesh;
use mesh::decode::{DecodeLimits, Format, decode};
use mesh::tree::Tree;
use revisions::{Asks, Body, Rigid, compare, vertex_distances};

const ASKS: Asks = Asks {
    same_mm: 0.02,
    sample_mm: 0.5,
    region_gap_mm: 1.0,
    regions_at_most: 32,
    caliper_least_mm: 0.1,
};

fn read(path: &str) -> Result<Mesh, String> {
    let bytes = std::fs::read(path).map_err(|e| format!("{path}: {e}"))?;
    let limits = DecodeLimits {
        max_triangles: 10_000_000,
        max_unpacked_bytes: 0,
    };
    let found = decode(&bytes, Format::Stl, None, &limits).map_err(|e| format!("{path}: {e}"))?;
    Ok(mesh::weld(found.vertices, found.triangles, found.indexed).mesh)
}

fn run() -> Result<(), String> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [base, present, rest @ ..] = arguments.as_slice() else {
        return Err("two STL files are expected: BASE PRESENT".to_string());
    };
    let (base, base_tree) = Tree::build(read(base)?);
    let (present, present_tree) = Tree::build(read(present)?);
    let base = Body {
        mesh: &base,
        tree: &base_tree,
    };
    let present = Body {
        mesh: &present,
        tree: &present_tree,
    };
    if rest.iter().any(|word| word == "vertices") {
        for (from, to) in [(base, present), (present, base)] {
            let way = vertex_distances(from.mesh, to, &Rigid::IDENTITY).distances_mm;
            let count = way.len() as f64;
            let mean = way.iter().sum::<f64>() / count;
            let rms = (way.iter().map(|d| d * d).sum::<f64>() / count).sqrt();
            let max = way.iter().copied().fold(0.0, f64::max);
            println!("{} {max} {mean} {rms}", way.len());
        }
        return Ok(());
    }
    let mut change = compare(base, present, &ASKS);
    change.moved_at.truncate(1);
    let text = serde_json::to_string(&change).map_err(|e| e.to_string())?;
    println!("{text}");
    Ok(())
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(words) => {
            eprintln!("{words}");
            ExitCode::FAILURE
        }
    }
}
