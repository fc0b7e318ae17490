//! Meshes by others, read where they lie: the folder named by `KITPROOF_OPEN_DATA`. Unset: not run.
//!
//! What independent libraries read from the same files stands in `tests/witness/decode.txt` of the
//! workspace, with versions and command; `tests/witness/decode.py` makes it.

use std::path::{Path, PathBuf};

use mesh::decode::{DecodeFault, DecodeLimits, Decoded, Format, Oddity, decode};
use mesh::vector::{cross, dot, wide};

const LIMITS: DecodeLimits = DecodeLimits {
    max_triangles: 10_000_000,
    max_unpacked_bytes: 1 << 30,
};

/// The folder of the data; says so where there is none.
fn data() -> Option<PathBuf> {
    let folder = std::env::var_os("KITPROOF_OPEN_DATA").map(PathBuf::from);
    if folder.is_none() {
        println!("not run: KITPROOF_OPEN_DATA is unset");
    }
    folder
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .map(|entry| entry.expect("an entry").path())
        .collect();
    found.sort();
    found
}

fn name(path: &Path) -> String {
    path.file_name()
        .map(|n| n.to_string_lossy().into_owned())
        .unwrap_or_default()
}

fn read(path: &Path) -> Result<Decoded, DecodeFault> {
    let bytes = std::fs::read(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let format = Format::of_file_name(&name(path)).expect("a mesh by its name");
    decode(&bytes, format, None, &LIMITS)
}

/// Signed volume in the unit of the file, by the divergence theorem.
fn volume(decoded: &Decoded) -> f64 {
    decoded
        .triangles
        .iter()
        .map(|t| {
            let [a, b, c] = t.map(|v| wide(decoded.vertices[v as usize]));
            dot(a, cross(b, c)) / 6.0
        })
        .sum()
}

#[test]
fn triangles_and_volumes_agree_with_independent_libraries() {
    let Some(data) = data() else { return };
    let witness = include_str!("../../../tests/witness/decode.txt");
    let mut compared = 0;
    for line in witness.lines().filter(|line| !line.starts_with('#')) {
        let [file, library, triangles, value] = line
            .split('\t')
            .collect::<Vec<_>>()
            .try_into()
            .expect("four columns");
        let got = read(&data.join(file));
        let Ok(triangles) = triangles.parse::<usize>() else {
            panic!("{file}: {library} gave up: {value}");
        };
        compared += 1;
        if triangles == 0 {
            let fault = got.expect_err(file);
            assert!(
                matches!(fault, DecodeFault::NoTriangles { .. }),
                "{file}: {fault}"
            );
            continue;
        }
        let got = got.unwrap_or_else(|e| panic!("{file}: {e}"));
        assert_eq!(got.triangles.len(), triangles, "{file} by {library}");
        let want: f64 = value.parse().expect("a volume");
        // numpy-stl and trimesh compute from the same 32-bit corners, lib3mf from its own.
        let size = got.largest_side().expect("a size");
        assert!(
            (volume(&got) - want).abs() <= 2e-5 * want.abs().max(size.powi(3) * 1e-3),
            "{file}: {} here, {want} by {library}",
            volume(&got)
        );
    }
    assert!(compared > 50, "only {compared} lines");
}

#[test]
fn every_odd_mesh_is_read_or_named() {
    let Some(data) = data() else { return };
    let meshes = files(&data.join("odd-meshes"));
    for path in meshes
        .iter()
        .filter(|p| Format::of_file_name(&name(p)).is_some())
    {
        let file = name(path);
        match read(path) {
            Ok(got) => {
                let n = got.vertices.len() as u32;
                assert!(got.triangles.iter().flatten().all(|&v| v < n), "{file}");
                assert!(
                    got.vertices.iter().flatten().all(|x| x.is_finite()),
                    "{file}"
                );
            }
            Err(fault) => assert!(
                matches!(fault, DecodeFault::NoTriangles { .. }),
                "{file}: {fault}"
            ),
        }
        // Cut short anywhere, each is refused or read, and says what is wrong.
        let bytes = std::fs::read(path).expect("reads");
        let format = Format::of_file_name(&file).expect("a mesh by its name");
        for k in 0..24 {
            let cut = bytes.len() * k / 24;
            if let Err(fault) = decode(&bytes[..cut], format, None, &LIMITS) {
                assert!(fault.to_string().len() > 20, "{file} cut at {cut}: {fault}");
            }
        }
    }
}

/// The clause a sample of the verification set breaks, from its name: `..._Chapter3.4.3.1a_...`.
fn chapter(file: &str) -> &str {
    let rest = file.split("Chapter").nth(1).unwrap_or_default();
    let end = rest
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(rest.len());
    &rest[..end]
}

#[test]
fn the_verification_set_of_the_3mf_standard_gets_the_verdicts_of_its_names() {
    let Some(data) = data() else { return };
    let set = data.join("3mf/core-samples/validation/_archive/3mf-Verify");
    for path in files(&set.join("MUSTPASS")) {
        let got = read(&path).unwrap_or_else(|e| panic!("{}: {e}", name(&path)));
        assert!(!got.triangles.is_empty());
    }
    let mut refused = 0;
    for path in files(&set.join("MUSTFAIL")) {
        let file = name(&path);
        match read(&path) {
            Err(fault) => {
                assert!(fault.clause().is_some(), "{file}: {fault}");
                if !file.contains("Extension") {
                    refused += 1;
                    // Names of the set are of version 1.0, whose chapters have kept their numbers; where
                    // 1.4 has a finer clause, that one is named ("5.1" for base materials of chapter 5).
                    let clause = fault.clause().unwrap_or_default();
                    assert!(
                        clause.starts_with(chapter(&file)),
                        "{file}: clause {clause}: {fault}"
                    );
                }
            }
            Ok(got) if file.contains("Extension") => assert!(
                got.oddities
                    .iter()
                    .any(|o| matches!(o, Oddity::ExtensionUnread { .. })),
                "{file}: {:?}",
                got.oddities
            ),
            // MUSTPASS_Chapter3.4.1c is the same file but for the value of that name, so no reader can pass
            // the one and refuse the other on the ground of the standard. lib3mf 2.5.0 warns of both alike,
            // and refuses both in its strict mode. Here both load, with the oddity that names clause 3.4.1.
            Ok(got) => {
                assert_eq!(file, "MUSTFAIL_Chapter3.4.1a_MissingMetadataName.3mf");
                assert!(got.oddities.contains(&Oddity::MetadataUnlisted {
                    name: "Undefined".into()
                }));
            }
        }
    }
    assert_eq!(refused, 19);
}

#[test]
fn every_kit_mesh_is_read() {
    let Some(data) = data() else { return };
    let mut open = vec![data.join("kits")];
    let mut meshes = 0;
    while let Some(folder) = open.pop() {
        for path in files(&folder) {
            if path.is_dir() {
                open.push(path);
            } else if Format::of_file_name(&name(&path)).is_some() {
                let got = read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
                // Nothing a designer would have to look at: these are published, sound files.
                assert!(
                    got.oddities.is_empty(),
                    "{}: {:?}",
                    path.display(),
                    got.oddities
                );
                meshes += 1;
            }
        }
    }
    assert!(meshes > 50, "only {meshes} meshes");
}

#[test]
fn the_metre_files_betray_themselves_by_their_size() {
    let Some(data) = data() else { return };
    let kit = data.join("kits/odri-actuator/mechanics");
    let side = |path: &PathBuf| read(path).expect("reads").largest_side().expect("a size");
    for path in files(&kit.join("tri_finger_edu_v1/stl_files_for_visualization")) {
        // 0.09 to 0.49, as its makers' note says: metres.
        assert!((0.05..1.0).contains(&side(&path)), "{}", path.display());
    }
    for path in files(&kit.join("actuator_module_v1/stl_files")) {
        assert!(side(&path) > 5.0, "{}", path.display());
    }
}
