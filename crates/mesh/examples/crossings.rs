//! Reads a binary STL from standard input and prints, as JSON, what the search for self-intersections finds
//! and how long tree, search and a ray a facet take (least of some runs). The scripts in tests/witness compare it
//! with reference libraries.
//!
//! Run: cargo run --release -p mesh --example crossings < file.stl

use std::io::Read;
use std::time::Instant;

use mesh::Mesh;
use mesh::crossing::{Limits, crossings};
use mesh::decode::{DecodeLimits, Format, decode};
use mesh::tree::Tree;
use mesh::vector::scale;

const RUNS: usize = 3;

fn ray_a_facet(mesh: &Mesh, tree: &Tree) -> usize {
    parallel::chunks(mesh.triangles.len(), 1024, |range| {
        range
            .filter(|&t| {
                mesh.normal(t).is_some_and(|n| {
                    tree.first_hit(mesh.triangle_centroid(t), scale(n, -1.0), 1e9, t as u32)
                        .is_some()
                })
            })
            .count()
    })
    .into_iter()
    .sum()
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut bytes = Vec::new();
    std::io::stdin().read_to_end(&mut bytes)?;
    let room = DecodeLimits {
        max_triangles: 100_000_000,
        max_unpacked_bytes: 0,
    };
    let decoded = decode(&bytes, Format::Stl, None, &room)?;
    let welded = mesh::weld(decoded.vertices, decoded.triangles, false).mesh;
    let shells = mesh::Topology::build(&welded).shells;
    let limits = Limits {
        steps: 1 << 40,
        pairs: 0,
    };
    let mut best = [f64::INFINITY; 3];
    let mut lines = String::new();
    for _ in 0..RUNS {
        let fresh = welded.clone();
        let start = Instant::now();
        let (sorted, tree) = Tree::build(fresh);
        let built = start.elapsed().as_secs_f64();
        // A mesh that is built in the order of its file has filed numbers 0, 1, 2 ...
        let shell_of: Vec<u32> = sorted
            .filed
            .iter()
            .map(|&f| {
                let at = welded.filed.binary_search(&f).unwrap_or(0);
                shells.of_triangle[at]
            })
            .collect();
        let start = Instant::now();
        let found = crossings(&sorted, &tree, &shell_of, &limits);
        let searched = start.elapsed().as_secs_f64();
        let start = Instant::now();
        let hits = ray_a_facet(&sorted, &tree);
        let cast = start.elapsed().as_secs_f64();
        for (least, now) in best.iter_mut().zip([built, searched, cast]) {
            *least = least.min(now);
        }
        lines = format!(
            "\"triangles\": {}, \"crossing_within\": {}, \"crossing_between\": {}, \"touching_within\": {}, \
             \"touching_between\": {}, \"total\": {}, \"steps\": {}, \"hits\": {hits}",
            sorted.triangles.len(),
            found.crossing_within,
            found.crossing_between,
            found.touching_within,
            found.touching_between,
            found.total(),
            found.steps,
        );
    }
    println!(
        "{{{lines}, \"tree_s\": {:.4}, \"search_s\": {:.4}, \"rays_s\": {:.4}, \"threads\": {}}}",
        best[0],
        best[1],
        best[2],
        parallel::threads()
    );
    Ok(())
}
