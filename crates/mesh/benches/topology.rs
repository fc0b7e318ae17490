//! Time of weld and topology on a generated mesh of a million triangles, soup in natural and in shuffled order.
//!
//! `cargo bench -p mesh --bench topology`; an argument sets the triangles in thousands. Of nine runs: the median of
//! the wall clock, its least, and the median of the processor time of all threads (Linux only).
//! The whole soup is in memory already: reading a file is decode's benchmark.

#[path = "timing/mod.rs"]
mod timing;

use std::hint::black_box;

use mesh::facets::Facets;
use mesh::shapes::{bumpy_torus, shuffled, soup};
use mesh::{Edges, Fans, MassProperties, Shells, Topology, weld};
use timing::{times, times_with};

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
