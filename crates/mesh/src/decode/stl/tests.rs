//! Invented files, with stl_io 0.11 as the witness for what it can read.

use std::io::Cursor;

use super::*;
use crate::decode::{decode as decode_any, to_mm};

const LIMITS: DecodeLimits = DecodeLimits {
    max_triangles: 1_000_000,
    max_unpacked_bytes: 1 << 28,
};

fn read(bytes: &[u8]) -> Result<Decoded, DecodeFault> {
    decode_any(bytes, Format::Stl, None, &LIMITS)
}

/// A fan of `n` triangles with coordinates that hold many different bytes.
fn corners(n: usize) -> Vec<[[f32; 3]; 3]> {
    (0..n)
        .map(|i| {
            let x = i as f32 * 1.37;
            [[x, 0.1, -2.5], [x + 1.0, 7.3, 0.0], [x, x * 0.5, 10.0]]
        })
        .collect()
}

fn binary(header: &[u8], triangles: &[[[f32; 3]; 3]]) -> Vec<u8> {
    let mut out = header.to_vec();
    out.resize(80, b' ');
    out.extend((triangles.len() as u32).to_le_bytes());
    for corners in triangles {
        out.extend([0; 12]);
        for x in corners.iter().flatten() {
            out.extend(x.to_le_bytes());
        }
        out.extend([0, 0]);
    }
    out
}

fn ascii(name: &str, triangles: &[[[f32; 3]; 3]], end: &str) -> String {
    let mut out = format!("solid {name}{end}");
    for corners in triangles {
        out += &format!("  facet normal 0 0 1{end}    outer loop{end}");
        for [x, y, z] in corners {
            out += &format!("      vertex {x:e} {y:e} {z:e}{end}");
        }
        out += &format!("    endloop{end}  endfacet{end}");
    }
    out + &format!("endsolid {name}{end}")
}

fn corners_of(decoded: &Decoded) -> Vec<[[f32; 3]; 3]> {
    decoded
        .triangles
        .iter()
        .map(|t| t.map(|v| decoded.vertices[v as usize]))
        .collect()
}

fn witness(bytes: &[u8]) -> Vec<[[f32; 3]; 3]> {
    stl_io::create_stl_reader(&mut Cursor::new(bytes))
        .expect("stl_io opens it")
        .map(|t| {
            let t = t.expect("stl_io reads it");
            [0, 1, 2].map(|k| t.vertices[k].0)
        })
        .collect()
}

#[test]
fn binary_and_ascii_agree_with_the_witness() {
    for n in [1, 12, 333, 40_000] {
        let bytes = binary(b"invented", &corners(n));
        assert_eq!(bytes.len(), 84 + 50 * n);
        assert_eq!(corners_of(&read(&bytes).expect("reads")), witness(&bytes));
    }
    let text = ascii("invented", &corners(50), "\n");
    let got = read(text.as_bytes()).expect("reads");
    assert_eq!(corners_of(&got), witness(text.as_bytes()));
    assert_eq!(got.objects, ["invented"]);
    assert!(!got.indexed && got.oddities.is_empty() && got.unit_mm.is_none());
}

#[test]
fn a_binary_file_may_begin_with_solid() {
    let bytes = binary(b"solid part\nfacet normal 0 0 1\n", &corners(3));
    assert_eq!(corners_of(&read(&bytes).expect("reads")), corners(3));
}

#[test]
fn ascii_of_every_habit_is_read() {
    for end in ["\n", "\r\n", "\r"] {
        let text = ascii("a part", &corners(4), end);
        assert_eq!(
            corners_of(&read(text.as_bytes()).expect("reads")),
            corners(4)
        );
        let upper = text.to_uppercase();
        assert_eq!(
            corners_of(&read(upper.as_bytes()).expect("reads")),
            corners(4)
        );
        let odd_name = text.replacen("a part", "a\u{1}\u{7} part", 1);
        assert_eq!(
            corners_of(&read(odd_name.as_bytes()).expect("reads")),
            corners(4)
        );
        let marked = [b"\xEF\xBB\xBF\n\t", text.as_bytes()].concat();
        assert_eq!(corners_of(&read(&marked).expect("reads")), corners(4));
    }
}

#[test]
fn every_solid_is_read_and_one_can_be_picked() {
    let all = corners(5);
    let text = ascii("left", &all[..2], "\n") + &ascii("right", &all[2..], "\n");
    let got = read(text.as_bytes()).expect("reads");
    assert_eq!(corners_of(&got), all);
    assert_eq!(got.oddities, [Oddity::FurtherSolids { count: 1 }]);
    assert_eq!(got.objects, ["left", "right"]);
    assert_eq!(witness(text.as_bytes()).len(), 2, "the witness stops early");
    let right = decode_any(text.as_bytes(), Format::Stl, Some("right"), &LIMITS).expect("reads");
    assert_eq!(corners_of(&right), all[2..]);
    let none = decode_any(text.as_bytes(), Format::Stl, Some("top"), &LIMITS);
    assert!(none.is_err_and(|e| e.to_string().contains("left, right")));
}

#[test]
fn errors_name_the_line_and_what_was_expected() {
    let text = ascii("p", &corners(2), "\n");
    let broken = text.replacen("endloop", "endlop", 1);
    let fault = read(broken.as_bytes()).expect_err("is refused");
    assert_eq!(
        fault.cause(),
        "broken STL at line 7: expected \"endloop\", found \"endlop\""
    );
    let comma = text.replacen("0e0", "0,0", 1);
    assert!(read(comma.as_bytes()).is_err_and(|e| e.to_string().contains("decimal point")));
    let end = text.find("endsolid").expect("is there");
    for short in (text.len() / 2)..end {
        let got = read(&text.as_bytes()[..short]);
        assert!(
            matches!(got, Err(DecodeFault::EndsEarly { .. })),
            "{short}: {got:?}"
        );
    }
    assert!(read(&text.as_bytes()[..40]).is_err());
}

#[test]
fn numbers_that_are_not_finite_are_dropped_and_counted() {
    let mut triangles = corners(6);
    triangles[2][1][0] = f32::NAN;
    triangles[4][0][2] = f32::INFINITY;
    let want = [Oddity::NotFinite {
        first_triangle: 2,
        count: 2,
    }];
    let got = read(&binary(b"", &triangles)).expect("reads");
    assert_eq!((got.triangles.len(), &got.oddities[..]), (4, &want[..]));
    assert!(got.vertices.iter().flatten().all(|x| x.is_finite()));
    let text = ascii("p", &triangles, "\n");
    let got = read(text.as_bytes()).expect("reads");
    assert_eq!((got.triangles.len(), &got.oddities[..]), (4, &want[..]));
}

#[test]
fn negative_zero_becomes_zero_in_either_kind() {
    let triangle = [[[-0.0, 1.0, 2.0], [3.0, -0.0, 1.0], [0.0, 2.0, -0.0]]];
    for bytes in [
        binary(b"", &triangle),
        ascii("z", &triangle, "\n").into_bytes(),
    ] {
        let got = read(&bytes).expect("reads");
        assert!(
            got.vertices
                .iter()
                .flatten()
                .all(|x| x.to_bits() >> 31 == 0)
        );
    }
}

#[test]
fn headers_are_held_against_the_size() {
    let good = binary(b"", &corners(10));
    let mut four_billion = good.clone();
    four_billion[80..84].copy_from_slice(&4_000_000_000u32.to_le_bytes());
    assert_eq!(
        read(&four_billion),
        Err(DecodeFault::Truncated {
            expected_bytes: 200_000_000_084,
            found_bytes: 584,
            announced_by: "a header that claims 4000000000 triangles".into()
        })
    );
    assert!(matches!(
        read(&good[..583]),
        Err(DecodeFault::Truncated {
            expected_bytes: 584,
            found_bytes: 583,
            ..
        })
    ));
    assert!(read(&good[..60]).is_err());
    for claimed in [0u32, 7, u32::MAX] {
        let mut unfinished = good.clone();
        unfinished[80..84].copy_from_slice(&claimed.to_le_bytes());
        assert_eq!(
            read(&unfinished),
            Err(DecodeFault::CountMismatch {
                claimed: u64::from(claimed),
                room: 10
            })
        );
    }
    let mut trailing = good.clone();
    trailing.extend([7; 33]);
    let got = read(&trailing).expect("reads");
    assert_eq!(got.oddities, [Oddity::TrailingBytes { count: 33 }]);
    let few = DecodeLimits {
        max_triangles: 9,
        ..LIMITS
    };
    assert_eq!(
        decode_any(&good, Format::Stl, None, &few),
        Err(DecodeFault::TooManyTriangles {
            count: 10,
            limit: 9
        })
    );
    // Source: 84 + 50 n bytes with n = 0, check table of the interface note.
    assert_eq!(
        read(&binary(b"", &[])),
        Err(DecodeFault::NoTriangles { unfit: None })
    );
}

#[test]
fn other_content_is_named() {
    let found = |bytes: &[u8]| match read(bytes) {
        Err(DecodeFault::WrongFormat { found, .. }) => found,
        other => panic!("{other:?}"),
    };
    assert_eq!(found(b"ply\nformat ascii 1.0\nend_header\n"), Content::Ply);
    assert_eq!(
        found(b"<!DOCTYPE html><title>not found</title>"),
        Content::Html
    );
    assert_eq!(
        found(&[b"PK\x03\x04".as_slice(), &[0; 200]].concat()),
        Content::Zip
    );
    assert_eq!(found(b"v 0 0 0\nv 1 0 0\n"), Content::Text);
    assert_eq!(read(b""), Err(DecodeFault::Empty));
    let pointer = b"version https://git-lfs.github.com/spec/v1\noid sha256:00\nsize 99\n";
    let fault = read(pointer).expect_err("is refused").to_string();
    assert!(
        fault.contains("a large-file pointer, not the mesh"),
        "{fault}"
    );
}

/// Triangles whose bytes hold LF, CR and CR LF.
fn full_of_line_ends(n: usize) -> Vec<u8> {
    let mut bytes = binary(b"made for a test", &corners(n));
    for t in (0..n).step_by(3) {
        let at = PREFIX + RECORD * t + 12;
        bytes[at..at + 2].copy_from_slice(b"\r\n");
        bytes[at + 8] = b'\n';
        bytes[at + 16] = b'\r';
    }
    bytes
}

fn replace(bytes: &[u8], from: &[u8], to: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        if bytes[at..].starts_with(from) {
            out.extend(to);
            at += from.len();
        } else {
            out.push(bytes[at]);
            at += 1;
        }
    }
    out
}

#[test]
fn line_end_conversions_are_named_as_such() {
    let good = full_of_line_ends(200);
    assert!(read(&good).is_ok());
    let grown = replace(&good, b"\n", b"\r\n");
    let shrunk = replace(&good, b"\r\n", b"\n");
    for (name, bytes) in [("grown", grown), ("shrunk", shrunk)] {
        assert!(
            matches!(read(&bytes), Err(DecodeFault::TextConversion { .. })),
            "{name}: {:?}",
            read(&bytes).map(|d| d.triangles.len())
        );
    }
    let as_text = String::from_utf8_lossy(&good).into_owned();
    let fault = read(as_text.as_bytes()).expect_err("is refused");
    assert!(
        matches!(fault, DecodeFault::TextConversion { .. }),
        "{fault}"
    );
    // A plain cut is no conversion.
    assert!(matches!(
        read(&good[..good.len() - 1234]),
        Err(DecodeFault::Truncated { .. })
    ));
}

#[test]
fn scaling_to_millimetres_happens_once() {
    let mut got = read(&binary(b"", &[[[1.0, 2.0, 3.0], [2.0; 3], [0.0; 3]]])).expect("reads");
    to_mm(&mut got, 25.4);
    // 1 inch is 25.4 mm exactly (international yard and pound agreement, 1959).
    assert_eq!(got.vertices[0], [25.4, 50.8, 76.2]);
    assert_eq!(got.unit_mm, Some(1.0));
}
