//! Invented files, with tobj 4 as the witness for what it can read.

use super::*;
use crate::decode::decode as decode_any;

const LIMITS: DecodeLimits = DecodeLimits {
    max_triangles: 1000,
    max_unpacked_bytes: 1 << 20,
};

fn read(text: &str) -> Result<Decoded, DecodeFault> {
    decode_any(text.as_bytes(), Format::Obj, None, &LIMITS)
}

const TETRAHEDRON: &str = "mtllib gone.mtl\nv 0 0 0 0.5 0.5 0.5\nv 1 0 0 # a comment\nv 0 1 0\nv 0 0 1\n\
    vt 0 0\nvn 0 0 1\nusemtl gone\ns off\nf 1/1/1 3/1/1 2/1/1\nf 1//1 2//1 4//1\nf -3/1 -2/1 -1/1\n\
    f 1 \\\n 4 3\n";

fn corners_of(decoded: &Decoded) -> Vec<[[f32; 3]; 3]> {
    decoded
        .triangles
        .iter()
        .map(|t| t.map(|v| decoded.vertices[v as usize]))
        .collect()
}

#[test]
fn every_way_to_name_a_corner_is_read() {
    let got = read(TETRAHEDRON).expect("reads");
    assert_eq!(got.triangles, [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]);
    assert!(got.indexed && got.oddities.is_empty());
    let crlf = TETRAHEDRON.replace('\n', "\r\n");
    assert_eq!(read(&crlf).expect("reads"), got);
}

#[test]
fn the_witness_reads_the_same_triangles() {
    let text = "o a\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nf 1 2 3 4\no b\nv 0 0 1.5e1\nf 1 2 5\nf -1 -2 -3\n";
    let (models, _) = tobj::load_obj_buf(
        &mut text.as_bytes(),
        &tobj::LoadOptions {
            triangulate: true,
            ..Default::default()
        },
        |_| Err(tobj::LoadError::OpenFileFailed),
    )
    .expect("the witness reads it");
    let witness: Vec<[[f32; 3]; 3]> = models
        .iter()
        .flat_map(|m| {
            let p = &m.mesh.positions;
            m.mesh
                .indices
                .chunks(3)
                .map(|t| [0, 1, 2].map(|k| [0, 1, 2].map(|c| p[3 * t[k] as usize + c])))
        })
        .collect();
    let got = read(text).expect("reads");
    assert_eq!(corners_of(&got), witness);
    assert_eq!(got.objects, ["a", "b"]);
}

#[test]
fn an_object_or_group_can_be_picked() {
    let text =
        "v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\ng lid\nf 1 2 3\ng base plate\nf 1 2 4\nf 2 3 4\n";
    let pick = |name| decode_any(text.as_bytes(), Format::Obj, Some(name), &LIMITS);
    assert_eq!(pick("base plate").expect("reads").triangles.len(), 2);
    assert_eq!(pick("lid").expect("reads").vertices.len(), 3);
    let fault = pick("knob").expect_err("is refused").to_string();
    assert!(fault.contains("lid, base plate"), "{fault}");
}

#[test]
fn a_concave_face_keeps_its_place_in_the_file() {
    let text =
        "v 1 3 0\nv 0 3 0\nv 0 0 0\nv 3 0 0\nv 3 1 0\nv 1 1 0\nf 1 2 3\nf 1 2 3 4 5 6\nf 4 5 6\n";
    let got = read(text).expect("reads");
    assert_eq!(got.triangles.len(), 6);
    assert_eq!((got.triangles[0], got.triangles[5]), ([0, 1, 2], [3, 4, 5]));
}

#[test]
fn errors_name_the_line() {
    let at = |text: &str| read(text).expect_err("is refused").cause();
    assert_eq!(
        at("v 0 0 0\nv 1 0 0\nv 0 1 0\n\nf 1 2 9\n"),
        "broken OBJ at line 5: expected a vertex number up to 3, found 9"
    );
    assert!(at("v 0 0 0\nf 1 0 1\n").contains("line 2"));
    assert!(at("v 0 0 0\nf -2 1 1\n").contains("line 2"));
    assert!(at("v 0 0\n").contains("the end of the line"));
    assert!(at("v 0 0 x\n").contains("\"x\""));
    assert!(at("v 0 0 0\nl 1 1\np 1\n").contains("2 points or lines and no face"));
    assert!(at("solid x\nendsolid x\n").contains("an ASCII STL mesh"));
    assert!(at("# nothing\n").contains("no triangle"));
}

#[test]
fn numbers_that_are_not_finite_are_dropped() {
    let got = read("v 0 0 0\nv 1 0 0\nv 0 1 0\nv nan 0 1\nf 1 2 3\nf 1 2 4\n").expect("reads");
    assert_eq!(
        got.oddities,
        [Oddity::NotFinite {
            first_triangle: 1,
            count: 1
        }]
    );
}

#[test]
fn more_triangles_than_allowed_are_refused() {
    let mut text = String::from("v 0 0 0\nv 1 0 0\nv 0 1 0\n");
    text += &"f 1 2 3\n".repeat(1001);
    assert!(matches!(
        read(&text),
        Err(DecodeFault::TooManyTriangles { count: 1001, .. })
    ));
}
