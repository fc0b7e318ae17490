//! Laws of decoding: whatever is cut off or flipped, it returns, with whole numbers and bounded memory.

use mesh::decode::{DecodeLimits, Decoded, Format, decode};
use proptest::prelude::*;
use std::io::Write;

const LIMITS: DecodeLimits = DecodeLimits {
    max_triangles: 100_000,
    max_unpacked_bytes: 1 << 22,
};

/// A closed box with a few bits of the fraction set, as the corners of 12 triangles.
fn triangles() -> (Vec<[f32; 3]>, Vec<[usize; 3]>) {
    let vertices = (0..8)
        .map(|i| {
            [
                (i & 1) as f32 * 3.7,
                (i >> 1 & 1) as f32 * 2.3,
                (i >> 2) as f32 * 1.1,
            ]
        })
        .collect();
    let faces = vec![
        [0, 2, 1],
        [1, 2, 3],
        [4, 5, 6],
        [5, 7, 6],
        [0, 1, 4],
        [1, 5, 4],
        [2, 6, 3],
        [3, 6, 7],
        [0, 4, 2],
        [2, 4, 6],
        [1, 3, 5],
        [3, 7, 5],
    ];
    (vertices, faces)
}

fn binary_stl() -> Vec<u8> {
    let (vertices, faces) = triangles();
    let mut out = vec![b' '; 80];
    out.extend((faces.len() as u32).to_le_bytes());
    for face in faces {
        out.extend([0; 12]);
        for x in face.iter().flat_map(|&v| vertices[v]) {
            out.extend(x.to_le_bytes());
        }
        out.extend([0; 2]);
    }
    out
}

fn ascii_stl() -> Vec<u8> {
    let (vertices, faces) = triangles();
    let mut out = String::from("solid box\n");
    for face in faces {
        out += "facet normal 0 0 0\nouter loop\n";
        for v in face {
            let [x, y, z] = vertices[v];
            out += &format!("vertex {x} {y} {z:e}\n");
        }
        out += "endloop\nendfacet\n";
    }
    (out + "endsolid box\n").into_bytes()
}

fn obj() -> Vec<u8> {
    let (vertices, faces) = triangles();
    let mut out = String::from("o box\n");
    for [x, y, z] in vertices {
        out += &format!("v {x} {y} {z}\n");
    }
    for [a, b, c] in faces {
        out += &format!("f {} {} {}\n", a + 1, b + 1, c + 1);
    }
    (out + "f 1 2 4 3\nf 1 5 6 2 4\n").into_bytes()
}

fn ply(binary: bool) -> Vec<u8> {
    let (vertices, faces) = triangles();
    let encoding = if binary {
        "binary_little_endian"
    } else {
        "ascii"
    };
    let mut out = format!(
        "ply\nformat {encoding} 1.0\nelement vertex 8\nproperty float x\nproperty float y\nproperty float z\n\
         element face 12\nproperty list uchar int vertex_indices\nend_header\n"
    )
    .into_bytes();
    for p in vertices {
        if binary {
            out.extend(p.iter().flat_map(|x| x.to_le_bytes()));
        } else {
            out.extend(format!("{} {} {}\n", p[0], p[1], p[2]).bytes());
        }
    }
    for f in faces {
        if binary {
            out.push(3);
            out.extend(f.iter().flat_map(|&v| (v as u32).to_le_bytes()));
        } else {
            out.extend(format!("3 {} {} {}\n", f[0], f[1], f[2]).bytes());
        }
    }
    out
}

/// The parts of a package, to be damaged before they are packed.
fn model() -> Vec<u8> {
    let (vertices, faces) = triangles();
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><model unit=\"millimeter\" xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\"><resources><object id=\"1\"><mesh><vertices>",
    );
    for [x, y, z] in vertices {
        out += &format!("<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>");
    }
    out += "</vertices><triangles>";
    for [a, b, c] in faces {
        out += &format!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>");
    }
    out += "</triangles></mesh></object><object id=\"2\"><components><component objectid=\"1\" transform=\"1 0 0 0 1 0 0 0 1 9 0 0\"/><component objectid=\"1\"/></components></object></resources><build><item objectid=\"2\"/></build></model>";
    out.into_bytes()
}

fn package(model: &[u8]) -> Vec<u8> {
    let types = r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>"#;
    let relations = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/a.model" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>"#;
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let parts: [(&str, &[u8]); 3] = [
        ("[Content_Types].xml", types.as_bytes()),
        ("_rels/.rels", relations.as_bytes()),
        ("a.model", model),
    ];
    for (name, bytes) in parts {
        zip.start_file(name, zip::write::SimpleFileOptions::default())
            .expect("a part begins");
        zip.write_all(bytes).expect("a part is written");
    }
    zip.finish().expect("the package ends").into_inner()
}

fn good() -> Vec<(Format, Vec<u8>)> {
    vec![
        (Format::Stl, binary_stl()),
        (Format::Stl, ascii_stl()),
        (Format::Obj, obj()),
        (Format::Ply, ply(false)),
        (Format::Ply, ply(true)),
        (Format::ThreeMf, package(&model())),
    ]
}

fn holds_its_promises(decoded: &Decoded, bytes: usize) {
    let n = decoded.vertices.len();
    assert!(!decoded.triangles.is_empty());
    assert!(
        decoded
            .triangles
            .iter()
            .flatten()
            .all(|&v| (v as usize) < n)
    );
    assert!(decoded.vertices.iter().flatten().all(|x| x.is_finite()));
    // Every byte of a file can give a triangle at most, and every triangle three vertices.
    assert!(decoded.triangles.len() <= 300 * bytes && n <= 3 * decoded.triangles.len());
}

#[test]
fn the_undamaged_files_are_read() {
    for (format, bytes) in good() {
        let got = decode(&bytes, format, None, &LIMITS).expect("reads");
        holds_its_promises(&got, bytes.len());
        assert!(got.oddities.is_empty());
    }
}

#[test]
fn every_cut_of_every_file_comes_back() {
    for (format, bytes) in good() {
        for cut in 0..bytes.len() {
            match decode(&bytes[..cut], format, None, &LIMITS) {
                Ok(got) => holds_its_promises(&got, cut),
                Err(fault) => assert!(!fault.to_string().is_empty()),
            }
        }
    }
}

#[test]
fn a_cut_binary_stl_is_never_read() {
    let bytes = binary_stl();
    for cut in 0..bytes.len() {
        assert!(
            decode(&bytes[..cut], Format::Stl, None, &LIMITS).is_err(),
            "{cut}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn flipped_bits_come_back(
        which in 0usize..6,
        flips in prop::collection::vec((any::<prop::sample::Index>(), 0u8..8), 1..12),
        cut in any::<prop::sample::Index>(),
        cuts in any::<bool>(),
    ) {
        let (format, mut bytes) = good().swap_remove(which);
        for (at, bit) in &flips {
            let at = at.index(bytes.len());
            bytes[at] ^= 1 << bit;
        }
        if cuts {
            bytes.truncate(cut.index(bytes.len()));
        }
        if let Ok(got) = decode(&bytes, format, None, &LIMITS) {
            holds_its_promises(&got, bytes.len());
        }
        // The damage inside a package that is whole by itself.
        let mut inner = model();
        for (at, bit) in &flips {
            let at = at.index(inner.len());
            inner[at] ^= 1 << bit;
        }
        let packed = package(&inner);
        if let Ok(got) = decode(&packed, Format::ThreeMf, None, &LIMITS) {
            holds_its_promises(&got, packed.len());
        }
    }

    #[test]
    fn words_in_any_order_come_back(words in prop::collection::vec(prop::sample::select(vec![
        "solid", "facet", "normal", "outer", "loop", "vertex", "endloop", "endfacet", "endsolid", "1", "-2.5e3",
        "nan", "\n", "v", "f", "1/2/3", "-1", "99999999999999999999", "o", "\\\n", "#", "ply\n", "format ascii 1.0\n",
        "element vertex 3\n", "property float x\n", "end_header\n", "element face 4294967295\n",
        "property list uchar int vertex_indices\n", "\0", "\r", "\u{feff}",
    ]), 0..60)) {
        let text = words.join(" ").replace("\n ", "\n");
        for format in Format::ALL {
            if let Ok(got) = decode(text.as_bytes(), format, None, &LIMITS) {
                holds_its_promises(&got, text.len());
            }
        }
    }
}
