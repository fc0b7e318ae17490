//! How long a bundle takes: 14 parts of 20,000 triangles each (280,000 in all), and the check of it.
//!
//! `cargo bench -p archive`: median of five runs, wall time, with as many threads as the machine offers. One
//! line a stage, so that a change can be told from noise by the stage it sits in.

#[path = "../tests/shapes/mod.rs"]
mod shapes;

use std::hint::black_box;
use std::time::Instant;

use archive::zip::deflate;
use archive::{bundle, plate, preview, sha256, stl, three_mf, verify};

fn median_ms(mut work: impl FnMut()) -> f64 {
    let mut runs: Vec<f64> = (0..5)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    runs.sort_by(f64::total_cmp);
    runs[2]
}

fn main() {
    let meshes: Vec<mesh::Mesh> = (0..14).map(|_| shapes::ball(71)).collect();
    let triangles: usize = meshes.iter().map(|m| m.triangles.len()).sum();
    let input = shapes::input(&meshes);
    let bytes = bundle(&input).expect("a bundle");
    println!(
        "{} parts, {triangles} triangles, bundle of {} bytes, {} threads",
        meshes.len(),
        bytes.len(),
        parallel::threads()
    );
    println!(
        "bundle            {:8.1} ms",
        median_ms(|| {
            black_box(bundle(&input).expect("a bundle"));
        })
    );
    println!(
        "verify            {:8.1} ms",
        median_ms(|| {
            black_box(verify(&bytes).expect("sound"));
        })
    );
    let one = &input.parts[1];
    let set = plate::stand(one.mesh, &one.rotation).expect("set down");
    let label = stl::Label {
        kit: "k",
        revision: "1",
        part: "p",
        part_rev: 1,
    };
    let flat = stl::write(&set.printed, &label);
    let xml = three_mf::model_xml(&set, &three_mf::Metadata::default()).expect("closed");
    println!(
        "one part: set down {:7.1} ms",
        median_ms(|| {
            black_box(plate::stand(one.mesh, &one.rotation).expect("set down"));
        })
    );
    println!(
        "one part: STL     {:8.1} ms",
        median_ms(|| {
            black_box(stl::write(&set.printed, &label));
        })
    );
    println!(
        "one part: 3MF XML {:8.1} ms",
        median_ms(|| {
            black_box(three_mf::model_xml(&set, &three_mf::Metadata::default()).expect("closed"));
        })
    );
    println!(
        "one part: preview {:8.1} ms",
        median_ms(|| {
            black_box(preview::preview(&set.printed).expect("area"));
        })
    );
    println!(
        "pack STL          {:8.1} ms, {} of {} bytes",
        median_ms(|| {
            black_box(deflate::pack(&flat));
        }),
        deflate::pack(&flat).len(),
        flat.len()
    );
    println!(
        "pack XML          {:8.1} ms, {} of {} bytes",
        median_ms(|| {
            black_box(deflate::pack(xml.as_bytes()));
        }),
        deflate::pack(xml.as_bytes()).len(),
        xml.len()
    );
    println!(
        "hash STL          {:8.1} ms",
        median_ms(|| {
            black_box(sha256(&flat));
        })
    );
}
