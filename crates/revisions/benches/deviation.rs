//! Times of the two-sided deviation of 2 x 500,000 triangles, trees included, and of the way by fingerprint.
//! Run: cargo bench -p revisions --bench deviation

#[path = "../../mesh/benches/timing/mod.rs"]
mod timing;

use std::hint::black_box;

use mesh::Mesh;
use mesh::shapes::{bumpy_torus, shuffled, welded};
use mesh::tree::Tree;
use revisions::{Asks, Body, compare};

fn asks() -> Asks {
    Asks {
        same_mm: 0.02,
        sample_mm: 0.5,
        region_gap_mm: 1.0,
        regions_at_most: 32,
        caliper_least_mm: 0.1,
    }
}

/// 0.3 mm along z about one place, as a bell 6 mm wide.
fn bumped(mesh: &Mesh) -> Mesh {
    let mut mesh = mesh.clone();
    let centre = mesh.vertices[0];
    for p in &mut mesh.vertices {
        let squared: f32 = (0..3)
            .map(|k| (p[k] - centre[k]) * (p[k] - centre[k]))
            .sum();
        p[2] += 0.3 * libm::exp(f64::from(-squared / 36.0)) as f32;
    }
    mesh
}

fn pair(base: Mesh, present: Mesh) {
    let ((base, base_tree), (present, present_tree)) =
        parallel::join(|| Tree::build(base), || Tree::build(present));
    black_box(compare(
        Body {
            mesh: &base,
            tree: &base_tree,
        },
        Body {
            mesh: &present,
            tree: &present_tree,
        },
        &asks(),
    ));
}

fn main() {
    let soup = bumpy_torus(700, 357);
    let base = welded(&soup);
    let again = welded(&shuffled(&soup, 1));
    let present = bumped(&base);
    let finer = welded(&bumpy_torus(710, 352));
    println!(
        "{} triangles a side, {} threads",
        base.triangles.len(),
        parallel::threads()
    );
    for (name, other) in [
        ("a bump", &present),
        ("cut into other triangles", &finer),
        ("another order", &again),
    ] {
        let times = timing::times_with(|| (base.clone(), other.clone()), |(a, b)| pair(a, b));
        println!("{name:26} trees and comparison  {}", times.words());
    }
    let trees = timing::times_with(
        || (base.clone(), present.clone()),
        |(a, b)| {
            black_box(parallel::join(|| Tree::build(a), || Tree::build(b)));
        },
    );
    println!("{:26} trees alone           {}", "", trees.words());
}
