//! Search of orientations of a swelling torus of one million triangles: 2000 directions of the uniform set besides feet
//! and flats, and the five best on the true layers. Prints medians of wall time on the threads the machine offers.

#[path = "asks/mod.rs"]
mod asks;

use std::time::Instant;

use measure::orientation::{Asks, Shown, SlenderAsk, search};
use mesh::tree::Tree;
use mesh::{Edges, MassProperties, shapes};

const ROUNDS: usize = 5;

fn asks(uniform: usize, kept: usize, exact: usize) -> Asks {
    Asks {
        // Badly laid, so that many others are worth measuring.
        intended: [0.6, 0.0, 0.8],
        shown: Shown::All,
        layer_mm: 0.2,
        bead_mm: 0.42,
        crack_mm: 0.05,
        most_layers: 20_000,
        overhang: asks::overhangs(2.5e5),
        air_mm: 2.0,
        air_mm2: 25.0,
        span_mm: 60.0,
        plates: vec![[220.0, 220.0, 240.0]],
        brim_mm: 0.0,
        rounding_mm: 0.001,
        slender: SlenderAsk {
            most_mm2: 30.0,
            least_ratio: 3.0,
        },
        uniform,
        kept,
        triangles: 20_000,
        column_mm: 1.0,
        exact,
        stands_deg: 10.0,
        footing_mm2: 20.0,
        height_mm2: 10.0,
        steps: 1.0,
        apart_deg: 20.0,
    }
}

fn main() {
    let (mesh, tree) = Tree::build(shapes::welded(&shapes::bumpy_torus(1000, 500)));
    let edges = Edges::build(&mesh);
    let mass = MassProperties::of(&mesh).into();
    println!(
        "{} triangles, {} threads",
        mesh.triangles.len(),
        parallel::threads()
    );
    // As a check asks, as `orient` asks, and with every direction measured by columns. A word chooses rows.
    let chosen = std::env::args().nth(1).filter(|a| !a.starts_with("--"));
    let rows = [
        ("check: 600, 80 by columns, 5 on layers", asks(600, 80, 5)),
        (
            "orient: 2000, 80 by columns, 5 on layers",
            asks(2000, 80, 5),
        ),
        ("columns: all of 2000, none on layers", asks(2000, 2000, 0)),
        ("whole: all of 2000, 5 on layers", asks(2000, 2000, 5)),
    ];
    for (what, asks) in rows {
        if chosen
            .as_ref()
            .is_some_and(|word| !what.contains(word.as_str()))
        {
            continue;
        }
        let mut times = Vec::new();
        let mut found = [0; 2];
        for _ in 0..ROUNDS {
            let start = Instant::now();
            found = search(&mesh, &tree, &edges, &mass, &asks)
                .map_or([0; 2], |o| [o.tried, o.others.len()]);
            times.push(start.elapsed().as_secs_f64() * 1e3);
        }
        times.sort_by(f64::total_cmp);
        let [tried, others] = found;
        println!(
            "{what:42} {:9.1} ms   {tried} tried, {others} offered",
            times[ROUNDS / 2]
        );
    }
}
