//! Time of weld and topology on a generated mesh of a million triangles, soup in natural and in shuffled order.
//!
//! `cargo bench -p mesh --bench topology`; an argument sets the triangles in thousands. Of nine runs: the median of
//! the wall clock, its least, and the median of the processor time of all threads (Linux only).
//! The whole soup is in memory already: reading a file is decode's benchmark.

use std::hint::black_box;
use std::time::Instant;

use mesh::facets::Facets;
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
        let weld_ms = times_with(
            || (vertices.clone(), indices.clone()),
            |(v, t)| {
                black_box(weld(v, t, false));
            },
        );
        let rows = [
            ("weld", weld_ms),
            ("edges", times(|| drop(black_box(Edges::build(&mesh))))),
            (
                "shells and mass",
                times(|| drop(black_box(Shells::build(&mesh, &edges)))),
            ),
            (
                "fans",
                times(|| drop(black_box(Fans::build(&mesh, &edges, &shells)))),
            ),
            (
                "thin facets",
                times(|| drop(black_box(Facets::build(&mesh, 0.001, 100)))),
            ),
            (
                "topology, all",
                times(|| drop(black_box(Topology::build(&mesh)))),
            ),
            (
                "mass alone",
                times(|| {
                    black_box(MassProperties::of(&mesh));
                }),
            ),
        ];
        for (what, t) in &rows {
            println!("{order:9} {what:16} {}", t.words());
        }
        println!(
            "{order:9} {:16} {}",
            "weld and all",
            rows[0].1.plus(&rows[4].1).plus(&rows[5].1).words()
        );
    }
}

/// Milliseconds of a piece of work.
struct Times {
    median: f64,
    least: f64,
    processor: f64,
}

impl Times {
    fn words(&self) -> String {
        format!(
            "median {:7.1} ms  least {:7.1} ms  processor {:7.1} ms",
            self.median, self.least, self.processor
        )
    }

    fn plus(&self, other: &Times) -> Times {
        Times {
            median: self.median + other.median,
            least: self.least + other.least,
            processor: self.processor + other.processor,
        }
    }
}

fn times(work: impl Fn()) -> Times {
    times_with(|| (), |()| work())
}

/// The set-up of a run is not counted.
fn times_with<T>(set_up: impl Fn() -> T, work: impl Fn(T)) -> Times {
    let (mut wall, mut processor) = (Vec::new(), Vec::new());
    for _ in 0..RUNS {
        let input = set_up();
        let (start, cpu) = (Instant::now(), processor_ms());
        work(input);
        wall.push(start.elapsed().as_secs_f64() * 1e3);
        processor.push(processor_ms() - cpu);
    }
    wall.sort_by(f64::total_cmp);
    processor.sort_by(f64::total_cmp);
    Times {
        median: wall[RUNS / 2],
        least: wall[0],
        processor: processor[RUNS / 2],
    }
}

/// Processor time of all threads so far, ms; 0 where the system does not tell.
fn processor_ms() -> f64 {
    let Ok(tasks) = std::fs::read_dir("/proc/self/task") else {
        return 0.0;
    };
    tasks
        .flatten()
        .filter_map(|task| std::fs::read_to_string(task.path().join("schedstat")).ok())
        .filter_map(|text| text.split(' ').next()?.parse::<f64>().ok())
        .sum::<f64>()
        / 1e6
}
