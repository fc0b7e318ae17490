//! Laws of the gate, on every kit under kits/faulty whose meshes are binary STL: moving a part in its file, a
//! quarter turn about the vertical, another unit, another order of triangles, corners or parts change no finding.
//!
//! The demo's coordinates lie on a grid of 1/1024 mm, so that moves and quarter turns are exact in 32 bits. Another
//! unit is not; kits whose fault is as small as that rounding are left out of that law, by name.

mod support;

use std::fs;
use std::path::{Path, PathBuf};

use support::{AS_OF, copy, err, kits_below, name, root, run};

type Triangle = [[f32; 3]; 3];

/// The triangles of a binary STL; `None` for any other file.
fn read(path: &Path) -> Option<Vec<Triangle>> {
    let bytes = fs::read(path).ok()?;
    let count = u32::from_le_bytes(bytes.get(80..84)?.try_into().ok()?) as usize;
    if count == 0 || bytes.len() != 84 + 50 * count {
        return None;
    }
    Some(
        bytes[84..]
            .chunks_exact(50)
            .map(|facet| {
                [0, 1, 2].map(|corner| {
                    [0, 1, 2].map(|axis| {
                        let at = 12 + 12 * corner + 4 * axis;
                        f32::from_le_bytes(facet[at..at + 4].try_into().expect("four bytes"))
                    })
                })
            })
            .collect(),
    )
}

fn write(path: &Path, triangles: &[Triangle]) {
    let mut bytes = vec![0u8; 80];
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for t in triangles {
        bytes.extend([0u8; 12]);
        for x in t.iter().flatten() {
            bytes.extend(x.to_le_bytes());
        }
        bytes.extend([0u8; 2]);
    }
    fs::write(path, bytes).expect("written");
}

fn meshes(kit: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = fs::read_dir(kit)
        .expect("a kit")
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "stl"))
        .collect();
    found.sort();
    found
}

/// Kits all of whose mesh files are whole binary STL.
fn plain_kits() -> Vec<PathBuf> {
    kits_below(&root().join("kits/faulty"))
        .into_iter()
        .filter(|kit| {
            let all = fs::read_dir(kit).expect("a kit").flatten().all(|e| {
                let path = e.path();
                !path.is_dir()
                    && ["stl", "toml", "md"]
                        .iter()
                        .any(|x| path.extension().is_some_and(|e| e == *x))
            });
            let meshes = meshes(kit);
            all && !meshes.is_empty() && meshes.iter().all(|m| read(m).is_some())
        })
        .collect()
}

/// Rule, level and parts of every finding, sorted.
fn findings(kit: &Path) -> Vec<String> {
    let outputs = tempfile::tempdir().expect("a folder");
    let output = run(&[
        "check",
        &kit.to_string_lossy(),
        "--as-of",
        AS_OF,
        "--emit",
        "json",
        "--out",
        &outputs.path().to_string_lossy(),
    ]);
    let report = fs::read(outputs.path().join("report.json"))
        .unwrap_or_else(|e| panic!("{}: {e}: {}", name(kit), err(&output)));
    let json: serde_json::Value = serde_json::from_slice(&report).expect("JSON");
    let mut lines: Vec<String> = json["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .map(|f| format!("{} {} {}", f["rule"], f["level"], f["parts"]))
        .collect();
    lines.sort();
    lines
}

/// What a sign-off says of a part hangs on the bytes of its files, and these change every file.
const BY_BYTES: [&str; 2] = ["regression.", "mesh.stale-export"];

/// Checks that a change of every mesh, and of the manifest's text, changes no finding.
fn holds(
    left_out: &[&str],
    mesh: impl Fn(Vec<Triangle>) -> Vec<Triangle>,
    manifest: impl Fn(String) -> String,
) {
    let mut tried = 0;
    for kit in plain_kits() {
        let left_out = left_out.iter().chain(&BY_BYTES);
        if left_out.into_iter().any(|rule| name(&kit).contains(*rule)) {
            continue;
        }
        let folder = tempfile::tempdir().expect("a folder");
        let changed = folder.path().join("kit");
        copy(&kit, &changed);
        for path in meshes(&changed) {
            write(&path, &mesh(read(&path).expect("a binary STL")));
        }
        let path = changed.join("kit.toml");
        let text = fs::read_to_string(&path).expect("kit.toml");
        fs::write(&path, manifest(text)).expect("written");
        assert_eq!(findings(&changed), findings(&kit), "{}", name(&kit));
        tried += 1;
    }
    assert!(tried > 30, "only {tried} kits were tried");
}

fn each(triangles: Vec<Triangle>, change: impl Fn([f32; 3]) -> [f32; 3]) -> Vec<Triangle> {
    triangles.into_iter().map(|t| t.map(&change)).collect()
}

/// The directions of a line that says what is on show, each changed.
fn toward(line: &str, change: impl Fn([f64; 3]) -> [f64; 3]) -> String {
    const KEY: &str = "toward = [";
    let mut pieces = line.split(KEY);
    let mut out = pieces.next().unwrap_or_default().to_string();
    for piece in pieces {
        let (numbers, rest) = piece.split_once(']').expect("a closed list");
        let numbers: Vec<f64> = numbers
            .split(',')
            .map(|n| n.trim().parse().expect("a number"))
            .collect();
        let [x, y, z] = change([numbers[0], numbers[1], numbers[2]]);
        out += &format!("{KEY}{x:.9}, {y:.9}, {z:.9}]{rest}");
    }
    out
}

#[test]
fn moving_a_part_in_its_file() {
    holds(
        &[],
        |t| each(t, |[x, y, z]| [x + 16.0, y - 32.0, z + 8.0]),
        |text| text,
    );
}

#[test]
fn a_quarter_turn_about_the_vertical() {
    // The mirror's axis is x, and turns with nothing.
    holds(
        &["mirror."],
        |t| each(t, |[x, y, z]| [0.0 - y, x, z]),
        |text| {
            // What points up turns with the mesh; each line once.
            let turned = |line: &str| match line {
                "up = \"+x\"" => "up = \"+y\"".to_string(),
                "up = \"+y\"" => "up = \"-x\"".to_string(),
                "up = \"-x\"" => "up = \"-y\"".to_string(),
                "up = \"-y\"" => "up = \"+x\"".to_string(),
                other => toward(other, |[x, y, z]| [-y, x, z]),
            };
            text.lines().map(|line| turned(line) + "\n").collect()
        },
    );
}

/// A mirror image, its triangles wound the other way round.
#[test]
fn a_mirror_image() {
    holds(
        &["mirror."],
        |t| {
            let image = each(t, |[x, y, z]| [0.0 - x, y, z]);
            image.into_iter().map(|[a, b, c]| [a, c, b]).collect()
        },
        |text| {
            let image = |line: &str| match line {
                "up = \"+x\"" => "up = \"-x\"".to_string(),
                "up = \"-x\"" => "up = \"+x\"".to_string(),
                other => toward(other, |[x, y, z]| [-x, y, z]),
            };
            text.lines().map(|line| image(line) + "\n").collect()
        },
    );
}

/// 36.87 degrees about the vertical (3, 4 and 5 are a right triangle), rounded to f32 anew: a plate is no longer as wide that way, and what was found on
/// a facet's last digit is found no more.
#[test]
fn an_odd_turn_about_the_vertical() {
    // Faults of the stored digits, and of how a part lies on a plate.
    let digits = ["mirror.", "size.", "mesh."];
    let (s, c) = (0.6, 0.8);
    let turn = |[x, y, z]: [f32; 3]| {
        let (x, y) = (f64::from(x), f64::from(y));
        [(c * x - s * y) as f32, (s * x + c * y) as f32, z]
    };
    holds(
        &digits,
        |t| each(t, turn),
        |text| {
            let turned = |line: &str| {
                let [x, y] = match line {
                    "up = \"+x\"" => [c, s],
                    "up = \"-x\"" => [-c, -s],
                    "up = \"+y\"" => [-s, c],
                    "up = \"-y\"" => [s, -c],
                    other => {
                        return toward(other, |[x, y, z]| [c * x - s * y, s * x + c * y, z]);
                    }
                };
                format!("up = [{x:.9}, {y:.9}, 0]")
            };
            text.lines().map(|line| turned(line) + "\n").collect()
        },
    );
}

#[test]
fn another_order_of_triangles_and_corners() {
    holds(
        &[],
        |mut t| {
            t.reverse();
            t.iter_mut().for_each(|t| t.rotate_left(1));
            t
        },
        |text| text,
    );
}

#[test]
fn another_unit() {
    // Faults smaller than the rounding of a coordinate, and those about the unit itself.
    let small = [
        "mesh.crack",
        "mesh.sliver",
        "mesh.degenerate",
        "mesh.unit-doubtful",
    ];
    holds(
        &small,
        |t| each(t, |p| p.map(|x| x * 1000.0)),
        |text| text.replace("units = \"mm\"", "units = \"um\""),
    );
}

#[test]
fn another_order_of_parts() {
    holds(
        &[],
        |t| t,
        |text| {
            // The parts change places; everything before the first stays.
            let mut pieces: Vec<&str> = text.split("\n[[part]]").collect();
            let head = pieces.remove(0).to_string();
            let last = pieces.pop().unwrap_or_default();
            let (part, tail) = match last.split_once("\n[[") {
                Some((part, tail)) => (part.to_string(), format!("\n[[{tail}")),
                None => (last.to_string(), String::new()),
            };
            pieces.reverse();
            let rest: String = pieces
                .iter()
                .map(|p| format!("\n[[part]]{}", p.trim_end()))
                .collect();
            format!("{head}\n[[part]]{}{rest}\n{tail}", part.trim_end())
        },
    );
}
