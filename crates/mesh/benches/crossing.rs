//! Times of the search for self-intersections on generated meshes of a million triangles: medians, steps.
//! Run: cargo bench -p mesh --bench crossing

#[path = "../tests/shapes/mod.rs"]
mod shapes;

use std::hint::black_box;
use std::time::Instant;

use mesh::Mesh;
use mesh::crossing::{Limits, crossings};
use mesh::tree::Tree;

fn median(mut seconds: Vec<f64>) -> f64 {
    seconds.sort_by(f64::total_cmp);
    1e3 * seconds[seconds.len() / 2]
}

fn main() {
    let limits = Limits {
        steps: 1 << 40,
        pairs: 100,
    };
    println!(
        "{} threads; medians of 5 runs, milliseconds",
        parallel::threads()
    );
    for (name, mesh) in [
        ("torus", shapes::bumpy_torus(1000, 500)),
        ("gyroid", shapes::gyroid(84)),
    ] as [(&str, Mesh); 2]
    {
        let shell_of = vec![0; mesh.triangles.len()];
        let (mut build, mut search) = (Vec::new(), Vec::new());
        let mut last = None;
        for _ in 0..5 {
            let fresh = mesh.clone();
            let start = Instant::now();
            let (sorted, tree) = Tree::build(fresh);
            build.push(start.elapsed().as_secs_f64());
            let start = Instant::now();
            last = Some(black_box(crossings(&sorted, &tree, &shell_of, &limits)));
            search.push(start.elapsed().as_secs_f64());
        }
        let found = last.expect("five runs");
        println!(
            "{name:8} {:8} triangles: tree {:6.1}, search {:6.1}; {} pairs, {:.1} steps a triangle",
            mesh.triangles.len(),
            median(build),
            median(search),
            found.total(),
            found.steps as f64 / mesh.triangles.len() as f64,
        );
    }
}
