//! Invented files in the three encodings.

use super::*;
use crate::decode::decode as decode_any;

const LIMITS: DecodeLimits = DecodeLimits {
    max_triangles: 1000,
    max_unpacked_bytes: 1 << 20,
};

fn read(bytes: &[u8]) -> Result<Decoded, DecodeFault> {
    decode_any(bytes, Format::Ply, None, &LIMITS)
}

const POINTS: [[f32; 3]; 5] = [
    [0.0, 0.0, 0.0],
    [2.5, 0.0, 0.0],
    [2.5, 1.25, 0.0],
    [0.0, 1.25, 0.0],
    [1.0, 1.0, 8.0],
];
const FACES: [&[u32]; 3] = [&[3, 2, 1, 0], &[0, 1, 4], &[1, 2, 4]];
const TRIANGLES: [[u32; 3]; 4] = [[3, 2, 1], [3, 1, 0], [0, 1, 4], [1, 2, 4]];

fn header(encoding: &str) -> Vec<u8> {
    format!(
        "ply\nformat {encoding} 1.0\ncomment invented\nelement vertex 5\nproperty uchar red\n\
         property float x\nproperty double y\nproperty float32 z\nelement face 3\n\
         property list uchar short weights\nproperty list uchar int vertex_indices\nend_header\n"
    )
    .into_bytes()
}

fn ascii() -> Vec<u8> {
    let mut out = header("ascii");
    for [x, y, z] in POINTS {
        out.extend(format!("255 {x} {y} {z}\n").bytes());
    }
    for face in FACES {
        out.extend(format!("1 -7 {}", face.len()).bytes());
        for v in face {
            out.extend(format!(" {v}").bytes());
        }
        out.push(b'\n');
    }
    out
}

fn binary(big: bool) -> Vec<u8> {
    let mut out = header(if big {
        "binary_big_endian"
    } else {
        "binary_little_endian"
    });
    let mut put = |bytes: &[u8]| {
        if big {
            out.extend(bytes.iter().rev());
        } else {
            out.extend(bytes);
        }
    };
    for [x, y, z] in POINTS {
        put(&[255]);
        put(&x.to_le_bytes());
        put(&f64::from(y).to_le_bytes());
        put(&z.to_le_bytes());
    }
    for face in FACES {
        put(&[1]);
        put(&(-7i16).to_le_bytes());
        put(&[face.len() as u8]);
        for v in face {
            put(&v.to_le_bytes());
        }
    }
    out
}

#[test]
fn the_three_encodings_give_the_same_mesh() {
    for bytes in [ascii(), binary(false), binary(true)] {
        let got = read(&bytes).expect("reads");
        assert_eq!(got.vertices, POINTS);
        assert_eq!(got.triangles, TRIANGLES);
        assert!(got.indexed && got.oddities.is_empty() && got.objects.is_empty());
    }
    let crlf = String::from_utf8(ascii())
        .expect("is text")
        .replace('\n', "\r\n");
    assert_eq!(read(crlf.as_bytes()).expect("reads").triangles, TRIANGLES);
}

#[test]
fn strips_become_triangles_that_turn_the_same_way() {
    let text = "ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\n\
        element tristrips 1\nproperty list int int vertex_indices\nend_header\n\
        0 0 0\n1 0 0\n0 1 0\n1 1 0\n8 0 1 2 3 -1 3 2 1\n";
    assert_eq!(
        read(text.as_bytes()).expect("reads").triangles,
        [[0, 1, 2], [2, 1, 3], [3, 2, 1]]
    );
}

#[test]
fn counts_that_the_file_cannot_hold_are_refused_first() {
    for (from, to) in [
        ("vertex 5", "vertex 4000000000"),
        ("face 3", "face 4294967295"),
    ] {
        for bytes in [ascii(), binary(false)] {
            let at = bytes
                .windows(from.len())
                .position(|w| w == from.as_bytes())
                .expect("is there");
            let mut huge = bytes[..at].to_vec();
            huge.extend(to.bytes());
            huge.extend(&bytes[at + from.len()..]);
            let fault = read(&huge).expect_err("is refused");
            assert!(matches!(fault, DecodeFault::Truncated { .. }), "{fault}");
        }
    }
    let mut list = binary(false);
    let at = list.len() - 13;
    list[at] = 255;
    assert!(read(&list).is_err_and(|e| e.to_string().contains("length of a list")));
}

#[test]
fn broken_files_name_the_place() {
    let text = String::from_utf8(ascii()).expect("is text");
    let at = |from: &str, to: &str| {
        read(text.replacen(from, to, 1).as_bytes())
            .expect_err("is refused")
            .cause()
    };
    assert_eq!(
        at("1 -7 3 0 1 4", "1 -7 3 0 1 5"),
        "broken PLY at line 19: expected a vertex number below 5, found 5"
    );
    assert!(at("255 2.5", "255 2,5").contains("line 14"));
    assert!(at("property float x", "property float q").contains("x, y and z"));
    assert!(at("vertex_indices", "corners").contains("vertex_indices"));
    assert!(at("format ascii 1.0", "format text 1.0").contains("line 2"));
    assert!(at("end_header", "").contains("PLY"));
    assert!(at("ply\n", "plx\n").contains("text of another kind"));
    for bytes in [ascii(), binary(true)] {
        let cut = &bytes[..bytes.len() - 6];
        assert!(read(cut).is_err());
        let mut long = bytes.clone();
        long.extend(b"tail of 15 byte");
        let got = read(&long).expect("reads");
        assert!(matches!(got.oddities[..], [Oddity::TrailingBytes { .. }]));
    }
    let named = decode_any(&ascii(), Format::Ply, Some("lid"), &LIMITS);
    assert!(named.is_err_and(|e| e.to_string().contains("names no objects")));
}

#[test]
fn words_that_the_header_does_not_name_are_passed_over_and_told() {
    let text = String::from_utf8(ascii()).expect("is text");
    let long = text.replace("1 -7 3 0 1 4\n", "1 -7 3 0 1 4 9 1 1\n");
    let got = read(long.as_bytes()).expect("reads");
    assert_eq!(got.triangles, TRIANGLES);
    assert_eq!(got.oddities, [Oddity::SurplusWords { rows: 1 }]);
}

#[test]
fn clouds_and_empty_files_hold_no_triangle() {
    let cloud = "ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\n\
        property float z\nend_header\n1 2 3\n";
    assert_eq!(
        read(cloud.as_bytes()).expect_err("is refused").cause(),
        "the file holds no usable triangle: it holds 1 points or lines and no face"
    );
    assert!(matches!(
        read(b"ply\nend_header\n"),
        Err(DecodeFault::NoTriangles { unfit: None })
    ));
}
