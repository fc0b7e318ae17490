//! Overhangs, support, bridges and islands of a part 100 mm across, of 100 thousand triangles, in 500 layers.
//! Prints medians of wall time on one height, so on one thread; slicing alone stands beside.

#[path = "asks/mod.rs"]
mod asks;

use std::time::Instant;

use layers::{Posed, Slicer};
use measure::print::{Height, overhang};
use mesh::Edges;
use mesh::shapes::{cuboid, torus, welded};

const ROUNDS: usize = 5;

fn median(what: &str, mut work: impl FnMut() -> String) {
    let mut times = Vec::new();
    let mut result = String::new();
    for _ in 0..ROUNDS {
        let start = Instant::now();
        result = work();
        times.push(start.elapsed().as_secs_f64() * 1e3);
    }
    times.sort_by(f64::total_cmp);
    println!("{what:24} {:9.1} ms   {result}", times[ROUNDS / 2]);
}

fn main() {
    // A ring that stands on its side in a frame: round bellies, a bridge, an arch.
    let mut soup = torus(320, 156, 40.0, 9.0);
    for corner in soup.iter_mut().flatten() {
        let [x, y, z] = *corner;
        *corner = [x, z, y];
    }
    for triangle in &mut soup {
        triangle.swap(0, 1);
    }
    soup.extend(cuboid([-50.0, -10.0, -50.0], [-40.0, 10.0, 40.0]));
    soup.extend(cuboid([40.0, -10.0, -50.0], [50.0, 10.0, 40.0]));
    soup.extend(cuboid([-50.0, -10.0, 40.0], [50.0, 10.0, 50.0]));
    let mesh = welded(&soup);
    let edges = Edges::build(&mesh);
    let upright = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    let posed = Posed::new(&mesh, &upright);
    let height = Height {
        layer_mm: 0.2,
        bead_mm: 0.42,
    };
    let stack = Slicer::new(&posed, &edges).stack(height.layer_mm);
    println!(
        "{} triangles, {} layers",
        mesh.triangles.len(),
        stack.count()
    );
    median("slicing", || {
        let contours: usize = stack.run(0..stack.count()).map(|l| l.contours.len()).sum();
        format!("{contours} contours")
    });
    let asks = asks::overhangs(2.5e6);
    median("overhangs", || {
        let o = overhang::measure(&stack, &height, &asks).expect("it is measured");
        format!(
            "{:.0} mm2, {:.0} mm3, {} bridges, {} islands",
            o.area_mm2,
            o.support.volume_mm3,
            o.bridges.len(),
            o.islands.len()
        )
    });
}
