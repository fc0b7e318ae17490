//! Walls of a hollow ball of one million triangles: rays, balls capped at 3 mm, and the whole survey.
//! Prints medians of wall time on the threads the machine offers; the tree's own time stands beside.

#[path = "../tests/shapes/mod.rs"]
mod shapes;

use std::time::Instant;

use measure::walls::{Ask, Asks, Ground, Side, ball_at, cones, measure, normals};
use mesh::tree::Tree;
use mesh::vector::scale;

const ROUNDS: usize = 5;

fn median(what: &str, mut work: impl FnMut() -> usize) {
    let mut times = Vec::new();
    let mut result = 0;
    for _ in 0..ROUNDS {
        let start = Instant::now();
        result = work();
        times.push(start.elapsed().as_secs_f64() * 1e3);
    }
    times.sort_by(f64::total_cmp);
    println!("{what:36} {:9.1} ms   {result}", times[ROUNDS / 2]);
}

fn main() {
    let welded = mesh::shapes::welded(&shapes::shell(158, 30.0, 28.4));
    println!(
        "{} triangles, {} threads",
        welded.triangles.len(),
        parallel::threads()
    );
    median("tree", || Tree::build(welded.clone()).0.triangles.len());
    let (mesh, tree) = Tree::build(welded);
    let normals = normals(&mesh);
    let cones = cones(&tree, &normals);
    let ground = Ground {
        mesh: &mesh,
        tree: &tree,
        normals: &normals,
        cones: &cones,
    };
    let count = |hits: &(dyn Fn(usize) -> bool + Sync)| {
        let parts = parallel::chunks(mesh.triangles.len(), 1024, |range| {
            range.filter(|&t| hits(t)).count()
        });
        parts.into_iter().sum::<usize>()
    };
    median("a ray a facet, 3 mm", || {
        count(&|t| {
            let way = scale(normals[t], -1.0).map(|x| x + 0.0);
            let from = mesh.triangle_centroid(t);
            tree.first_hit(from, way, 3.0, t as u32).is_some()
        })
    });
    median("a ball a facet, capped at 3 mm", || {
        count(&|t| {
            let at = mesh.triangle_centroid(t);
            ball_at(&ground, Side::Inside, at, t as u32, 3.0).is_some()
        })
    });
    let ask = |in_plane_mm, upright_mm, from_mm| Ask {
        up: [0.0, 0.0, 1.0],
        in_plane_mm,
        upright_mm,
        steepest: 0.5,
        from_mm,
    };
    let asks = Asks {
        walls: vec![ask(0.38, 0.26, 0.0), ask(0.78, 0.54, 0.0)],
        gaps: vec![ask(0.2, 0.28, 0.06)],
        least_bead_mm: 0.42,
        most_bead_mm: 0.42,
        span_mm: 4.0,
        steepest: 0.5,
        longest_mm: 10_000.0,
    };
    median("all walls, gaps and edges", || {
        measure(&mesh, &tree, &asks).walls.len()
    });
}
