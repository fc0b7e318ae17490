//! Time of the lines of a part: all its layers at 0.2 mm, widths decided exactly on their outlines.
//!
//! `cargo bench -p measure --bench lines`: a bumpy torus of 100,000 triangles and 100 mm, a shell of the same whose
//! every layer is a wall of 0.6 mm, and a prism with 400 fins, whose layers are all the same. Of five runs: the median
//! and the least of the wall clock.

use std::hint::black_box;
use std::time::Instant;

use layers::{Posed, Slicer, Turn};
use measure::print::lines::{self, Ask, Asks};
use mesh::shapes::{Soup, bumpy_torus, cuboid, reversed, torus, welded};
use mesh::tree::Tree;
use mesh::{Edges, Mesh};

const RUNS: usize = 5;
const UPRIGHT: Turn = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

fn main() {
    let mut shell: Soup = torus(250, 100, 35.0, 15.0);
    shell.extend(reversed(&torus(250, 100, 35.0, 14.4)));
    let mut fins: Soup = cuboid([0.0; 3], [100.0, 100.0, 2.0]);
    for i in 0..20u8 {
        for j in 0..20u8 {
            let (x, y) = (5.0 * f32::from(i), 5.0 * f32::from(j));
            fins.extend(cuboid([x, y, 1.0], [x + 0.6, y + 4.0, 100.0]));
        }
    }
    bench("bumpy torus", &bumpy_torus(500, 100));
    bench("shell of 0.6 mm", &shell);
    bench("400 fins", &fins);
}

fn bench(name: &str, soup: &Soup) {
    let (mesh, tree): (Mesh, Tree) = Tree::build(welded(soup));
    drop(tree);
    let edges = Edges::build(&mesh);
    let posed = Posed::new(&mesh, &UPRIGHT);
    let stack = Slicer::new(&posed, &edges).stack(0.2);
    let ask = |below_mm, from_mm, steepest| Ask {
        below_mm,
        from_mm,
        steepest,
    };
    let asks = Asks {
        widths: vec![ask(0.38, 0.0, 0.5), ask(0.78, 0.0, 0.5)],
        gaps: vec![ask(0.2, 0.06, 0.1)],
        ..Asks::default()
    };
    let mut times: Vec<f64> = (0..RUNS)
        .map(|_| {
            let begun = Instant::now();
            black_box(lines::measure(&stack, 0.42, &asks));
            begun.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!(
        "{name}: {} triangles, {} layers: {:.0} ms, least {:.0} ms",
        mesh.triangles.len(),
        stack.count(),
        times[RUNS / 2],
        times[0]
    );
}
