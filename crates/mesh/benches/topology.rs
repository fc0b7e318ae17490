//! Time of weld and topology on a generated mesh of a million triangles, soup in natural and in shuffled order.
//!
//! `cargo bench -p mesh --bench topology`; an argument sets the triangles in thousands. Medians of nine runs.
//! The whole soup is in memory already: reading a file is decode's benchmark.

use std::hint::black_box;
use std::time::Instant;

use mesh::shapes::{bumpy_torus, shuffled, soup};
use mesh::{Edges, Fans, MassProperties, Shells, Topology, weld};

const RUNS: usize = 9;

fn main() {
    let thousands = std::env::args()
        .skip(1)
        .find_map(|a| a.parse::<usize>().ok())
        .unwrap_or(1000);
    let around = 500;
    let triangles = bumpy_torus(thousands * 1000 / (2 * around), around);
    println!(
        "{} triangles, {} threads",
        triangles.len(),
        parallel::threads()
    );
    for (order, soup_of) in [
        ("natural", triangles.clone()),
        ("shuffled", shuffled(&triangles, 7)),
    ] {
        let (vertices, indices) = soup(&soup_of);
        drop(soup_of);
        let mesh = weld(vertices.clone(), indices.clone(), false).mesh;
        let edges = Edges::build(&mesh);
        let shells = Shells::build(&mesh, &edges);
        let weld_ms = median_with(
            || (vertices.clone(), indices.clone()),
            |(v, t)| {
                black_box(weld(v, t, false));
            },
        );
        let rows = [
            ("weld", weld_ms),
            ("edges", median(|| drop(black_box(Edges::build(&mesh))))),
            (
                "shells and mass",
                median(|| drop(black_box(Shells::build(&mesh, &edges)))),
            ),
            (
                "fans",
                median(|| drop(black_box(Fans::build(&mesh, &edges, &shells)))),
            ),
            (
                "topology, all",
                median(|| drop(black_box(Topology::build(&mesh)))),
            ),
            (
                "mass alone",
                median(|| {
                    black_box(MassProperties::of(&mesh));
                }),
            ),
        ];
        for (what, ms) in rows {
            println!("{order:9} {what:16} {ms:7.1} ms");
        }
        println!(
            "{order:9} {:16} {:7.1} ms",
            "weld + topology",
            rows[0].1 + rows[4].1
        );
    }
}

fn median(work: impl Fn()) -> f64 {
    median_with(|| (), |()| work())
}

/// The set-up of a run is not counted.
fn median_with<T>(set_up: impl Fn() -> T, work: impl Fn(T)) -> f64 {
    let mut times: Vec<f64> = (0..RUNS)
        .map(|_| {
            let input = set_up();
            let start = Instant::now();
            work(input);
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[RUNS / 2]
}
