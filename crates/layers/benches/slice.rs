//! Time of slicing a generated mesh of a million triangles into 500 layers of closed chains.
//!
//! `cargo bench -p layers --bench slice`; an argument sets the triangles in thousands. Of nine runs: the median of the
//! wall clock, its least, and the median of the processor time of all threads (Linux only).
//! Mesh, tree order and edges are there already: every pass shares them.

#[path = "../../mesh/benches/timing/mod.rs"]
mod timing;

use std::hint::black_box;

use layers::{Posed, Slicer, Turn};
use mesh::Edges;
use mesh::shapes::{bumpy_torus, welded};
use mesh::tree::Tree;

const LAYERS: f64 = 500.0;

fn main() {
    let thousands = std::env::args()
        .skip(1)
        .find_map(|a| a.parse::<usize>().ok())
        .unwrap_or(1000);
    let around = 500;
    let (mesh, tree) = Tree::build(welded(&bumpy_torus(
        thousands * 1000 / (2 * around),
        around,
    )));
    drop(tree);
    let edges = Edges::build(&mesh);
    println!(
        "{} triangles, {} threads",
        mesh.triangles.len(),
        parallel::threads()
    );
    for (name, turn) in [("lying", about_x(0.0)), ("at 40 degrees", about_x(40.0))] {
        let posed = Posed::new(&mesh, &turn);
        let slicer = Slicer::new(&posed, &edges);
        let layer_mm = posed.height_mm / LAYERS;
        let stack = slicer.stack(layer_mm);
        let (mut points, mut chains) = (0, 0);
        for (p, c) in stack.each(32, |layer| {
            assert_eq!(layer.open(), 0);
            let points: usize = layer.contours.iter().map(|c| c.points.len()).sum();
            (points, layer.contours.len())
        }) {
            points += p;
            chains += c;
        }
        println!(
            "{name}: {} layers, {chains} chains, {points} points",
            stack.count()
        );
        row("pose", || drop(black_box(Posed::new(&mesh, &turn))));
        row("file facets by layer", || {
            drop(black_box(slicer.stack(layer_mm)))
        });
        row("cut all layers", || {
            black_box(stack.each(32, |layer| layer.contours.len()));
        });
        row("all three", || {
            let posed = Posed::new(&mesh, &turn);
            let stack = Slicer::new(&posed, &edges).stack(layer_mm);
            black_box(stack.each(32, |layer| layer.contours.len()));
        });
        row("areas too", || {
            black_box(stack.volume_mm3());
        });
    }
}

fn about_x(degrees: f64) -> Turn {
    let (s, c) = (
        libm::sin(degrees.to_radians()),
        libm::cos(degrees.to_radians()),
    );
    [[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]]
}

fn row(name: &str, work: impl Fn()) {
    // Once unheeded: memory is there and warm.
    work();
    println!("  {name:<22} {}", timing::times(work).words());
}
