//! Times of the tree on generated meshes of a million triangles: medians, and the counted work.
//! Run: cargo bench -p mesh --bench tree

#[path = "../tests/shapes/mod.rs"]
mod shapes;

use std::hint::black_box;
use std::time::Instant;

use mesh::Mesh;
use mesh::tree::Tree;
use mesh::vector::{add, scale};
use shapes::Dice;

/// Median seconds of some runs; `make` is not timed.
fn median<T, R>(runs: usize, mut make: impl FnMut() -> T, mut work: impl FnMut(T) -> R) -> f64 {
    let mut seconds: Vec<f64> = (0..runs)
        .map(|_| {
            let input = make();
            let start = Instant::now();
            black_box(work(input));
            start.elapsed().as_secs_f64()
        })
        .collect();
    seconds.sort_by(f64::total_cmp);
    seconds[runs / 2]
}

/// The same triangles in random order.
fn shuffled(mut mesh: Mesh) -> Mesh {
    let mut dice = Dice(5);
    for at in (1..mesh.triangles.len()).rev() {
        mesh.triangles
            .swap(at, (dice.unit() * (at + 1) as f64) as usize);
    }
    mesh
}

/// Depth of the material behind every facet: a ray from its centroid along the inward normal.
fn depths(mesh: &Mesh, tree: &Tree) -> f64 {
    parallel::sum(mesh.triangles.len(), 1024, |range| {
        let mut sum = 0.0;
        for t in range {
            if let Some(normal) = mesh.normal(t)
                && let Some(hit) = tree.first_hit(
                    mesh.triangle_centroid(t),
                    scale(normal, -1.0),
                    1e9,
                    t as u32,
                )
            {
                sum += hit.t;
            }
        }
        sum
    })
}

/// A closest point 0.2 mm off every fourth facet, itself not admitted.
fn nearby(mesh: &Mesh, tree: &Tree) -> f64 {
    parallel::sum(mesh.triangles.len() / 4, 1024, |range| {
        let mut sum = 0.0;
        for t in range.map(|t| 4 * t) {
            if let Some(normal) = mesh.normal(t) {
                let point = add(mesh.triangle_centroid(t), scale(normal, 0.2));
                if let Some(found) = tree.closest(point, 3.0, |id| id != t as u32) {
                    sum += found.distance;
                }
            }
        }
        sum
    })
}

fn main() {
    let runs = 5;
    println!(
        "{} threads; medians of {runs} runs, milliseconds",
        parallel::threads()
    );
    for (name, mesh) in [
        ("torus", shapes::bumpy_torus(1000, 500)),
        ("torus, shuffled", shuffled(shapes::bumpy_torus(1000, 500))),
        ("gyroid", shapes::gyroid(84)),
    ] {
        let count = mesh.triangles.len();
        let build = median(runs, || mesh.clone(), Tree::build);
        let (sorted, tree) = Tree::build(mesh);
        let rays = median(runs, || (), |()| depths(&sorted, &tree));
        let close = median(runs, || (), |()| nearby(&sorted, &tree));
        let mut dice = Dice(1);
        let points: Vec<_> = (0..20_000).map(|_| dice.point(40.0)).collect();
        tree.winding_number([0.0; 3]);
        let winding = median(
            runs,
            || (),
            |()| points.iter().map(|&p| tree.winding_number(p)).sum::<f64>(),
        );
        println!(
            "{name:16} {count:8} triangles, {:.2} a leaf: build {:6.1}, a ray a facet {:6.1} ({:.2} M/s), \
             closest {:6.1} ({:.2} M/s), winding {:.2} M/s on one thread",
            count as f64 / tree.leaves().len() as f64,
            1e3 * build,
            1e3 * rays,
            1e-6 * count as f64 / rays,
            1e3 * close,
            1e-6 * (count / 4) as f64 / close,
            1e-6 * points.len() as f64 / winding,
        );
    }
}
