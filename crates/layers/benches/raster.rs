//! Time of the facts that bits give: 500 layers of a part 100 x 100 mm at 0.1 mm are filled, opened, held against the
//! layer below and asked for their islands.
//!
//! `cargo bench -p layers --bench raster`; an argument sets the pixel in micrometres. The layers are cut before: the
//! part is a lattice of bars under a shell, so that every kind of work occurs. Of nine runs: the median of the wall
//! clock, its least, and the median of the processor time of all threads (Linux only).

#[path = "../../mesh/benches/timing/mod.rs"]
mod timing;

use std::hint::black_box;

use layers::raster::{Disc, Fill, Filler, Joined, components};
use layers::{Contour, Grid, Raster};

const LAYERS: usize = 500;
const CHUNK: usize = 16;
const SIDE_MM: f64 = 100.0;

fn main() {
    let micrometres = std::env::args()
        .skip(1)
        .find_map(|a| a.parse::<u32>().ok())
        .unwrap_or(100);
    let pixel_mm = f64::from(micrometres) / 1000.0;
    let grid = Grid::covering([0.0; 2], [SIDE_MM; 2], pixel_mm, 1.0).expect("a small box");
    let stack: Vec<Vec<Contour>> = (0..LAYERS).map(layer).collect();
    let points: usize = stack.iter().flatten().map(|c| c.points.len()).sum();
    println!(
        "{} x {} pixels, {LAYERS} layers, {points} points, {} threads",
        grid.width,
        grid.height,
        parallel::threads()
    );
    let filled = rasters(&grid, &stack);
    row("fill", || {
        black_box(rasters(&grid, &stack));
    });
    let disc = Disc::new(0.21, pixel_mm);
    row("opening", || {
        black_box(each(|k| disc.dilate(&disc.erode(&filled[k])).pixels()));
    });
    let reach = Disc::new(0.2, pixel_mm);
    let free = |k: usize| match k {
        0 => grid.blank(),
        _ => filled[k].without(&reach.dilate(&filled[k - 1])),
    };
    row("unsupported", || {
        black_box(each(|k| free(k).pixels()));
    });
    row("islands", || {
        black_box(each(|k| islands(&filled, k)));
    });
    row("all four", || {
        let filled = rasters(&grid, &stack);
        black_box(each(|k| {
            let opened = disc.dilate(&disc.erode(&filled[k])).pixels();
            let free = match k {
                0 => 0,
                _ => filled[k].without(&reach.dilate(&filled[k - 1])).pixels(),
            };
            opened + free + islands(&filled, k)
        }));
    });
}

fn each(work: impl Fn(usize) -> u64 + Sync) -> u64 {
    parallel::chunks(LAYERS, CHUNK, |range| range.map(&work).sum::<u64>())
        .into_iter()
        .sum()
}

fn rasters(grid: &Grid, stack: &[Vec<Contour>]) -> Vec<Raster> {
    parallel::chunks(LAYERS, CHUNK, |range| {
        let mut filler = Filler::default();
        let fill = |k: usize| {
            filler.gather(grid, &stack[k]);
            filler.fill(Fill::Positive)
        };
        range.map(fill).collect::<Vec<_>>()
    })
    .into_iter()
    .flatten()
    .collect()
}

/// Pieces of a layer that stand on nothing of the one below.
fn islands(filled: &[Raster], k: usize) -> u64 {
    let pieces = components(&filled[k], Joined::Eight);
    match k {
        0 => 0,
        _ => {
            let shared = pieces.shared_with(&filled[k - 1]);
            shared.iter().filter(|&&pixels| pixels == 0).count() as u64
        }
    }
}

/// A wavy wall of two rings, and a lattice of round bars in it that grow, shrink and begin at every height.
fn layer(k: usize) -> Vec<Contour> {
    let z = k as f64 / LAYERS as f64;
    let middle = 0.5 * SIDE_MM;
    let mut contours = vec![
        wavy(middle, 48.0 + libm::sin(12.0 * z), false),
        wavy(middle, 44.0 + libm::sin(12.0 * z + 0.3), true),
    ];
    for i in 0..10 {
        for j in 0..10 {
            let (x, y) = (24.0 + 6.0 * f64::from(i), 24.0 + 6.0 * f64::from(j));
            let phase = f64::from(7 * i + 3 * j);
            let radius = 1.6 + 1.4 * libm::sin(20.0 * z + phase);
            if radius > 0.3 {
                contours.push(circle([x, y], radius, 40, false));
            }
        }
    }
    contours
}

fn wavy(middle: f64, radius: f64, hole: bool) -> Contour {
    ring(480, hole, |a| {
        let r = radius + 0.8 * libm::sin(24.0 * a);
        [middle + r * libm::cos(a), middle + r * libm::sin(a)]
    })
}

fn circle(at: [f64; 2], radius: f64, corners: usize, hole: bool) -> Contour {
    ring(corners, hole, |a| {
        [at[0] + radius * libm::cos(a), at[1] + radius * libm::sin(a)]
    })
}

fn ring(corners: usize, hole: bool, at: impl Fn(f64) -> [f64; 2]) -> Contour {
    let mut points: Vec<[f64; 2]> = (0..corners)
        .map(|k| at(std::f64::consts::TAU * k as f64 / corners as f64))
        .collect();
    if hole {
        points.reverse();
    }
    Contour {
        points,
        closed: true,
    }
}

fn row(name: &str, work: impl Fn()) {
    // Once unheeded: memory is there and warm.
    work();
    println!("  {name:<12} {}", timing::times(work).words());
}
