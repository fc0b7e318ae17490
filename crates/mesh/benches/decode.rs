//! How long it takes to decode a mesh, against general-purpose readers in the same run.
//!
//! `cargo bench -p mesh --bench decode`: medians of seven runs on a mesh of 1,000,000 triangles made in
//! memory; stl_io's iterator is the witness for STL, tobj for OBJ.

use std::hint::black_box;
use std::io::{Cursor, Write};
use std::time::Instant;

use mesh::decode::{DecodeLimits, Format, decode};

const RUNS: usize = 7;
const LIMITS: DecodeLimits = DecodeLimits {
    max_triangles: 10_000_000,
    max_unpacked_bytes: 1 << 30,
};

/// Median seconds.
fn median(mut work: impl FnMut()) -> f64 {
    let mut seconds: Vec<f64> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64()
        })
        .collect();
    seconds.sort_by(f64::total_cmp);
    seconds[RUNS / 2]
}

/// A wavy sheet of about `count` triangles: vertices and faces.
fn sheet(count: usize) -> (Vec<[f32; 3]>, Vec<[u32; 3]>) {
    let side = ((count / 2) as f64).sqrt() as u32;
    let n = side + 1;
    let vertices = (0..n * n)
        .map(|i| {
            let (x, y) = (f64::from(i % n) * 0.1, f64::from(i / n) * 0.1);
            [x as f32, y as f32, (libm::sin(x) * libm::cos(y)) as f32]
        })
        .collect();
    let faces = (0..side * side)
        .flat_map(|i| {
            let a = i / side * n + i % side;
            [[a, a + 1, a + n], [a + 1, a + n + 1, a + n]]
        })
        .collect();
    (vertices, faces)
}

fn binary_stl(vertices: &[[f32; 3]], faces: &[[u32; 3]]) -> Vec<u8> {
    let mut out = vec![0; 80];
    out.extend((faces.len() as u32).to_le_bytes());
    for face in faces {
        out.extend([0; 12]);
        for x in face.iter().flat_map(|&v| vertices[v as usize]) {
            out.extend(x.to_le_bytes());
        }
        out.extend([0; 2]);
    }
    out
}

fn ascii_stl(vertices: &[[f32; 3]], faces: &[[u32; 3]]) -> Vec<u8> {
    let mut out = b"solid sheet\n".to_vec();
    for face in faces {
        out.extend(b"facet normal 0 0 1\nouter loop\n");
        for [x, y, z] in face.map(|v| vertices[v as usize]) {
            writeln!(out, "vertex {x} {y} {z}").expect("memory is written");
        }
        out.extend(b"endloop\nendfacet\n");
    }
    out.extend(b"endsolid sheet\n");
    out
}

fn obj(vertices: &[[f32; 3]], faces: &[[u32; 3]]) -> Vec<u8> {
    let mut out = Vec::new();
    for [x, y, z] in vertices {
        writeln!(out, "v {x} {y} {z}").expect("memory is written");
    }
    for [a, b, c] in faces {
        writeln!(out, "f {} {} {}", a + 1, b + 1, c + 1).expect("memory is written");
    }
    out
}

fn ply(vertices: &[[f32; 3]], faces: &[[u32; 3]]) -> Vec<u8> {
    let mut out = format!(
        "ply\nformat binary_little_endian 1.0\nelement vertex {}\nproperty float x\nproperty float y\n\
         property float z\nelement face {}\nproperty list uchar int vertex_indices\nend_header\n",
        vertices.len(),
        faces.len()
    )
    .into_bytes();
    out.extend(vertices.iter().flatten().flat_map(|x| x.to_le_bytes()));
    for face in faces {
        out.push(3);
        out.extend(face.iter().flat_map(|v| v.to_le_bytes()));
    }
    out
}

fn three_mf(vertices: &[[f32; 3]], faces: &[[u32; 3]]) -> Vec<u8> {
    let types = r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>"#;
    let relations = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/a.model" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>"#;
    let mut model = br#"<model unit="millimeter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources><object id="1"><mesh><vertices>"#.to_vec();
    for [x, y, z] in vertices {
        writeln!(model, "<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>").expect("memory is written");
    }
    model.extend(b"</vertices><triangles>");
    for [a, b, c] in faces {
        writeln!(model, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>").expect("memory is written");
    }
    model.extend(
        b"</triangles></mesh></object></resources><build><item objectid=\"1\"/></build></model>",
    );
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in [
        ("[Content_Types].xml", types.as_bytes()),
        ("_rels/.rels", relations.as_bytes()),
        ("a.model", &model),
    ] {
        zip.start_file(name, zip::write::SimpleFileOptions::default())
            .expect("a part begins");
        zip.write_all(bytes).expect("a part is written");
    }
    zip.finish().expect("the package ends").into_inner()
}

fn main() {
    let (vertices, faces) = sheet(1_000_000);
    println!(
        "{} triangles, {} threads, median of {RUNS}",
        faces.len(),
        parallel::threads()
    );
    let report = |what: &str, bytes: &[u8], seconds: f64| {
        let mb = bytes.len() as f64 / 1e6;
        println!(
            "{what:32} {seconds:8.4} s  {mb:7.1} MB  {:8.0} MB/s",
            mb / seconds
        );
    };
    let stl = binary_stl(&vertices, &faces);
    let ours = |bytes: &[u8], format| {
        median(|| {
            black_box(decode(black_box(bytes), format, None, &LIMITS).expect("decodes"));
        })
    };
    report("STL binary", &stl, ours(&stl, Format::Stl));
    let one = parallel::with_threads(1, || ours(&stl, Format::Stl)).expect("a thread starts");
    report("STL binary, 1 thread", &stl, one);
    let witness = |bytes: &[u8]| {
        median(|| {
            let mut cursor = Cursor::new(bytes);
            let triangles = stl_io::create_stl_reader(&mut cursor).expect("opens");
            let corners: Vec<[f32; 3]> = triangles
                .flat_map(|t| t.expect("reads").vertices.map(|v| v.0))
                .collect();
            black_box(corners);
        })
    };
    report("STL binary, stl_io's iterator", &stl, witness(&stl));
    let text = ascii_stl(&vertices, &faces);
    report("STL ASCII", &text, ours(&text, Format::Stl));
    report("STL ASCII, stl_io's iterator", &text, witness(&text));
    let obj = obj(&vertices, &faces);
    report("OBJ", &obj, ours(&obj, Format::Obj));
    let by_tobj = median(|| {
        let loaded = tobj::load_obj_buf(&mut &obj[..], &tobj::LoadOptions::default(), |_| {
            Err(tobj::LoadError::OpenFileFailed)
        });
        let (models, _) = loaded.expect("reads");
        black_box(models);
    });
    report("OBJ, tobj", &obj, by_tobj);
    let ply = ply(&vertices, &faces);
    report("PLY binary", &ply, ours(&ply, Format::Ply));
    let package = three_mf(&vertices, &faces);
    report(
        "3MF (packed size)",
        &package,
        ours(&package, Format::ThreeMf),
    );
}
