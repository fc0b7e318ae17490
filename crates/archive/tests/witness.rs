//! What programs and libraries outside this workspace say about the sample bundle: Info-ZIP `unzip`, coreutils
//! `sha256sum`, Python's `zipfile`, `lib3mf` (reference implementation of 3MF), `trimesh`, `gltf-validator`.
//!
//! Their answers are data: `bundle_witness.json`, made by `tests/witness/bundle.py` of the workspace, with
//! versions and command beside them. They are about one bundle, named by its SHA-256; when that changes, on
//! purpose or not, the witnesses have to be asked again.

mod shapes;

use archive::plate::set_down;
use archive::{bundle, sha256, verify};
use serde_json::Value;
use shapes::{input, witnessed};

fn answers() -> Value {
    serde_json::from_str(include_str!("bundle_witness.json")).expect("JSON")
}

#[test]
fn the_answers_are_about_these_very_bytes() {
    let meshes = witnessed();
    let bytes = bundle(&input(&meshes)).expect("a bundle");
    assert_eq!(
        answers()["about_sha256"],
        sha256(&bytes).to_string(),
        "the sample bundle changed: run tests/witness/bundle.py again and look at what it says"
    );
}

#[test]
fn every_program_unpacks_and_checks_it() {
    let meshes = witnessed();
    let bytes = bundle(&input(&meshes)).expect("a bundle");
    let entries = verify(&bytes).expect("sound");
    let said = answers();
    assert_eq!(said["unzip_test"]["exit"], 0);
    assert_eq!(said["unzip_test"]["last_line"], "No errors detected");
    assert_eq!(said["sha256sum_check"]["exit"], 0);
    // Every entry but the sums and the seal.
    assert_eq!(said["sha256sum_check"]["ok"], entries.len() - 2);
    assert_eq!(said["python_zipfile"]["bad"], Value::Null);
    let names: Vec<&str> = entries.iter().map(|e| e.name.as_str()).collect();
    assert_eq!(said["python_zipfile"]["names"], serde_json::json!(names));
    // 1700000000 = 2023-11-14T22:13:20Z.
    let times = serde_json::json!(["(2023, 11, 14, 22, 13, 20)"]);
    assert_eq!(said["python_zipfile"]["times"], times);
    assert_eq!(said["python_zipfile"]["extra_or_comment"], false);
    assert_eq!(said["seal_is_hash_of_the_front"], true);
}

/// Volumes in mm3, analytic: box 20 x 10 x 5.5; ring n/2 sin(2 pi/n) (R2 - r2) h; two boxes of 10; the ball of
/// facets lies within 1 % below the ball of radius 10.
fn true_volumes_mm3() -> [(f64, f64); 4] {
    let ring = 6.0 * libm::sin(std::f64::consts::TAU / 12.0) * (12.3 * 12.3 - 11.1 * 11.1) * 3.7;
    let ball = 4.0 / 3.0 * std::f64::consts::PI * 1000.0;
    [
        (1100.0, 1e-6),
        (ring, 1e-5 * ring),
        (2000.0, 1e-3),
        (ball, 0.01 * ball),
    ]
}

#[test]
fn lib3mf_and_trimesh_read_the_meshes_that_were_written() {
    let meshes = witnessed();
    let kit = input(&meshes);
    let said = answers();
    let stems = [
        "01_block_r1_x1",
        "02_gallery-rail_r2_x8",
        "03_lens_r2_x8",
        "04_spare-part_r2_x8",
    ];
    for ((stem, part), (volume, within)) in stems.iter().zip(&kit.parts).zip(true_volumes_mm3()) {
        let mesh = set_down(part.mesh, &part.rotation).expect("set down");
        let three_mf = &said["three_mf"][stem];
        for yes in ["valid", "manifold_and_oriented"] {
            assert_eq!(three_mf[yes], true, "{stem} {yes}");
        }
        assert_eq!(three_mf["warnings"], 0);
        assert_eq!(three_mf["build_items"], 1);
        assert_eq!(three_mf["triangles"], mesh.triangles.len());
        // The two boxes on one edge are parted by index (core 1.4, clause 4.1.3): 16 vertices, not 14.
        let parted = if *stem == "03_lens_r2_x8" { 2 } else { 0 };
        assert_eq!(three_mf["vertices"], mesh.vertices.len() + parted);
        assert_eq!(three_mf["metadata"]["Designer"], "A. Maker");
        assert_eq!(three_mf["metadata"]["LicenseTerms"], "CC-BY-NC-4.0");
        let title = three_mf["metadata"]["Title"].as_str().expect("a title");
        assert!(title.starts_with("Lamp & <friends> 1.4.0: "), "{title}");
        let stl = &said["stl"][stem];
        assert_eq!(stl["triangles"], mesh.triangles.len());
        assert_eq!(stl["winding_consistent"], true);
        // By position alone, as STL has it, the shared edge has four triangles, and trimesh wants two.
        assert_eq!(stl["watertight"], *stem != "03_lens_r2_x8");
        for reader in [three_mf, stl] {
            let found = reader["volume_mm3"].as_f64().expect("a volume");
            assert!(
                (found - volume).abs() < within,
                "{stem}: {found} for {volume}"
            );
            for (k, least) in reader["least"]
                .as_array()
                .expect("three")
                .iter()
                .enumerate()
            {
                // lib3mf keeps an item's transform in 32 bits.
                let least = least.as_f64().expect("a number");
                assert!(least.abs() < 1e-6, "{stem} rests in the corner: {least}");
                let greatest = mesh.vertices.iter().map(|p| p[k]).fold(0.0, f32::max);
                let found = reader["greatest"][k].as_f64().expect("a number");
                // lib3mf parses decimals within 2e-6 mm.
                assert!(
                    (found - f64::from(greatest)).abs() < 2e-6,
                    "{stem} axis {k}"
                );
            }
        }
    }
}

#[test]
fn the_validator_of_the_standard_finds_nothing_in_the_previews() {
    let said = answers();
    let previews = said["glb"].as_object().expect("previews");
    assert_eq!(previews.len(), 4);
    for (stem, preview) in previews {
        for count in ["errors", "warnings", "infos"] {
            assert_eq!(preview[count], 0, "{stem}: {}", preview["messages"]);
        }
        assert_eq!(preview["triangles"], said["stl"][stem]["triangles"]);
    }
}
