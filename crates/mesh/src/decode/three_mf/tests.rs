//! Invented packages. What each must do follows from the 3MF Core Specification 1.4.0, clause by clause.

use std::io::Write;

use zip::write::SimpleFileOptions;

use super::*;
use crate::decode::{decode as decode_any, to_mm};

const LIMITS: DecodeLimits = DecodeLimits {
    max_triangles: 10_000,
    max_unpacked_bytes: 1 << 26,
};

const TYPES: &str = r#"<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>"#;

fn relations(inner: &str) -> String {
    format!(
        r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{inner}</Relationships>"#
    )
}

fn relation(target: &str, kind: &str) -> String {
    format!(
        r#"<Relationship Target="{target}" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/{kind}"/>"#
    )
}

fn zipped(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(*name, SimpleFileOptions::default())
            .expect("a part begins");
        zip.write_all(text.as_bytes()).expect("a part is written");
    }
    zip.finish().expect("the package ends").into_inner()
}

fn package(model: &str) -> Vec<u8> {
    let start = relations(&relation("/3D/a.model", "3dmodel"));
    zipped(&[
        ("[Content_Types].xml", TYPES),
        ("_rels/.rels", &start),
        ("3D/a.model", model),
    ])
}

fn model_with(attributes: &str, resources: &str, build: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model {attributes} xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\" xmlns:p=\"http://schemas.microsoft.com/3dmanufacturing/production/2015/06\" xmlns:b=\"http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02\" xmlns:m=\"http://schemas.microsoft.com/3dmanufacturing/material/2015/02\">\n<resources>\n{resources}\n</resources>\n<build>\n{build}\n</build>\n</model>\n"
    )
}

fn model(resources: &str, build: &str) -> String {
    model_with("unit=\"millimeter\"", resources, build)
}

/// A tetrahedron of volume 1/6 (geometry).
const TETRAHEDRON: &str = "<mesh><vertices><vertex x=\"0\" y=\"0\" z=\"0\"/><vertex x=\"1\" y=\"0\" z=\"0\"/><vertex x=\"0\" y=\"1\" z=\"0\"/><vertex x=\"0\" y=\"0\" z=\"1\"/></vertices><triangles><triangle v1=\"0\" v2=\"2\" v3=\"1\"/><triangle v1=\"0\" v2=\"1\" v3=\"3\"/><triangle v1=\"1\" v2=\"2\" v3=\"3\"/><triangle v1=\"2\" v2=\"0\" v3=\"3\"/></triangles></mesh>";

fn object(id: u32, more: &str) -> String {
    format!("<object id=\"{id}\" {more}>{TETRAHEDRON}</object>")
}

fn item(id: u32, transform: &str) -> String {
    if transform.is_empty() {
        format!("<item objectid=\"{id}\"/>")
    } else {
        format!("<item objectid=\"{id}\" transform=\"{transform}\"/>")
    }
}

fn read(bytes: &[u8]) -> Result<Decoded, DecodeFault> {
    decode_any(bytes, Format::ThreeMf, None, &LIMITS)
}

fn volume(decoded: &Decoded) -> f64 {
    decoded
        .triangles
        .iter()
        .map(|t| {
            let [a, b, c] = t.map(|v| crate::vector::wide(decoded.vertices[v as usize]));
            crate::vector::dot(a, crate::vector::cross(b, c)) / 6.0
        })
        .sum()
}

fn clause(bytes: &[u8]) -> String {
    match read(bytes) {
        Err(fault) => fault.clause().map_or(format!("{fault}"), String::from),
        Ok(_) => "loads".into(),
    }
}

#[test]
fn units_are_told_and_scaled() {
    // Clause 3.4: unit is one of six, millimeter where none is written.
    for (attribute, mm) in [
        ("", 1.0),
        ("unit=\"micron\"", 0.001),
        ("unit=\"millimeter\"", 1.0),
        ("unit=\"centimeter\"", 10.0),
        ("unit=\"inch\"", 25.4),
        ("unit=\"foot\"", 304.8),
        ("unit=\"meter\"", 1000.0),
    ] {
        let bytes = package(&model_with(attribute, &object(1, ""), &item(1, "")));
        let mut got = read(&bytes).expect("loads");
        assert_eq!(got.unit_mm, Some(mm));
        to_mm(&mut got, mm);
        assert_eq!(got.vertices[1], [mm as f32, 0.0, 0.0]);
    }
    let yard = package(&model_with("unit=\"yard\"", &object(1, ""), &item(1, "")));
    assert_eq!(clause(&yard), "3.4");
}

#[test]
fn a_transform_is_of_row_vectors() {
    // Worked from clause 3.3: `0 1 0 -1 0 0 0 0 1 10 0 0` takes (1,2,3) to (8,1,3).
    let map = build::Transform::read("0 1 0 -1 0 0 0 0 1 10 0 0").expect("is a transform");
    assert_eq!(map.apply([1.0, 2.0, 3.0]), [8.0, 1.0, 3.0]);
    for bad in [
        "",
        "1 0 0 0 1 0 0 0 1 0 0",
        "1 0 0 0 1 0 0 0 1 0 0 0 0",
        "1 0 0 0 1 0 0 0 0 0 0 0",
    ] {
        let bytes = package(&model(
            &object(1, ""),
            &format!("<item objectid=\"1\" transform=\"{bad}\"/>"),
        ));
        assert_eq!(clause(&bytes), "3.3", "{bad:?}");
    }
}

#[test]
fn mirroring_keeps_the_volume_positive() {
    // Clause 3.3: a negative determinant must not change the sign of the volume.
    let bytes = package(&model(&object(1, ""), &item(1, "-2 0 0 0 1 0 0 0 1 5 0 0")));
    let got = read(&bytes).expect("loads");
    assert!((volume(&got) - 2.0 / 6.0).abs() < 1e-12);
    assert_eq!(got.vertices[1], [3.0, 0.0, 0.0]);
}

#[test]
fn components_are_resolved_through_their_transforms() {
    let pair = "<object id=\"2\"><components><component objectid=\"1\"/><component objectid=\"1\" transform=\"2 0 0 0 2 0 0 0 2 10 0 0\"/></components></object>";
    let four = "<object id=\"3\"><components><component objectid=\"2\"/><component objectid=\"2\" transform=\"1 0 0 0 1 0 0 0 1 0 50 0\"/></components></object>";
    let resources = format!("{}{pair}{four}", object(1, ""));
    let bytes = package(&model(&resources, &item(3, "")));
    let got = read(&bytes).expect("loads");
    assert_eq!((got.triangles.len(), got.vertices.len()), (16, 16));
    assert!((volume(&got) - 2.0 * (1.0 + 8.0) / 6.0).abs() < 1e-5);
    assert_eq!(got.vertices[12 + 1], [12.0, 50.0, 0.0]);
}

#[test]
fn several_items_are_joined_and_one_object_can_be_picked() {
    let resources = format!(
        "{}{}{}",
        object(1, "name=\"lid\""),
        object(2, "name=\"box\""),
        object(5, "")
    );
    let build = format!("{}{}", item(1, ""), item(2, "3 0 0 0 3 0 0 0 3 7 0 0"));
    let bytes = package(&model(&resources, &build));
    let all = read(&bytes).expect("loads");
    assert_eq!(all.triangles.len(), 8);
    assert_eq!(all.objects, ["lid", "box", "5"]);
    let pick = |asked| decode_any(&bytes, Format::ThreeMf, Some(asked), &LIMITS);
    // A picked object stands as its item places it, since an item may scale it.
    assert!((volume(&pick("box").expect("loads")) - 27.0 / 6.0).abs() < 1e-5);
    assert_eq!(pick("2"), pick("box"));
    assert!((volume(&pick("5").expect("loads")) - 1.0 / 6.0).abs() < 1e-12);
    let fault = pick("hinge").expect_err("is refused").to_string();
    assert!(fault.contains("lid, box, 5"), "{fault}");
    let twins = format!("{}{}", object(1, "name=\"x\""), object(2, "name=\"x\""));
    let bytes = package(&model(&twins, &item(1, "")));
    assert_eq!(read(&bytes).expect("loads").objects, ["1", "2"]);
    let fault = decode_any(&bytes, Format::ThreeMf, Some("x"), &LIMITS).expect_err("is refused");
    assert!(matches!(fault, DecodeFault::Object { matches: 2, .. }));
}

#[test]
fn a_picked_component_stands_where_the_build_places_it() {
    let pair = "<object id=\"2\"><components><component objectid=\"1\" transform=\"2 0 0 0 2 0 0 0 2 10 0 0\"/></components></object>";
    let resources = format!("{}{pair}", object(1, "name=\"pin\""));
    let bytes = package(&model(&resources, &item(2, "1 0 0 0 1 0 0 0 1 0 0 5")));
    let got = decode_any(&bytes, Format::ThreeMf, Some("pin"), &LIMITS).expect("loads");
    assert_eq!(got.vertices[0], [10.0, 0.0, 5.0]);
    assert_eq!(got.vertices[1], [12.0, 0.0, 5.0]);
}

#[test]
fn object_types_are_told_apart() {
    let resources = format!("{}{}", object(1, ""), object(2, "type=\"support\""));
    let got = read(&package(&model(&resources, &(item(1, "") + &item(2, ""))))).expect("loads");
    assert_eq!(got.triangles.len(), 4);
    assert_eq!(
        got.oddities,
        [Oddity::NotPrinted {
            object: "2".into(),
            kind: "support".into()
        }]
    );
    // Clause 3.4.3.1: objects of type other must not be built.
    let other = package(&model(&object(1, "type=\"other\""), &item(1, "")));
    assert_eq!(clause(&other), "3.4.3.1");
    let unknown = package(&model(&object(1, "type=\"thing\""), &item(1, "")));
    assert_eq!(clause(&unknown), "4");
    let only = package(&model(&object(1, "type=\"surface\""), &item(1, "")));
    assert!(read(&only).is_err_and(|e| e.cause().contains("type surface")));
}

#[test]
fn loops_and_avalanches_of_components_are_refused() {
    let one = |id: u32, inner: &[u32]| {
        let inner: String = inner
            .iter()
            .map(|i| format!("<component objectid=\"{i}\"/>"))
            .collect();
        format!("<object id=\"{id}\"><components>{inner}</components></object>")
    };
    assert_eq!(
        clause(&package(&model(
            &(one(1, &[2]) + &one(2, &[1])),
            &item(1, "")
        ))),
        "4.2"
    );
    assert_eq!(clause(&package(&model(&one(1, &[7]), &item(1, "")))), "4.2");
    // Doubling forty times: 4 * 2^40 triangles, counted and never built.
    let resources: String = std::iter::once(object(1, ""))
        .chain((2..42).map(|i| one(i, &[i - 1, i - 1])))
        .collect();
    assert_eq!(
        read(&package(&model(&resources, &item(41, "")))),
        Err(DecodeFault::TooManyTriangles {
            count: 4 << 40,
            limit: 10_000
        })
    );
    // The same without a triangle.
    let hollow: String = std::iter::once("<object id=\"1\"/>".to_string())
        .chain((2..60).map(|i| one(i, &[i - 1, i - 1])))
        .collect();
    assert!(matches!(
        read(&package(&model(&hollow, &item(59, "")))),
        Err(DecodeFault::Package { .. })
    ));
    let deep: String = std::iter::once(object(1, ""))
        .chain((2..90).map(|i| one(i, &[i - 1])))
        .collect();
    assert_eq!(clause(&package(&model(&deep, &item(89, "")))), "4.2");
}

#[test]
fn each_broken_clause_is_named() {
    let good = model(&object(1, ""), &item(1, ""));
    let with = |from: &str, to: &str| {
        assert!(good.contains(from), "{from}");
        clause(&package(&good.replacen(from, to, 1)))
    };
    assert_eq!(clause(&package(&good)), "loads");
    for (from, to, want) in [
        (
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>",
            "<?xml version=\"1.0\" encoding=\"UTF-16\"?>",
            "2.3.2",
        ),
        (
            "<model",
            "<!DOCTYPE model [<!ENTITY a \"b\">]>\n<model",
            "2.3.2",
        ),
        ("<resources>", "<q:thing/><resources>", "2.3.2"),
        ("<resources>", "<colours/><resources>", "2.3.2"),
        ("<vertices>", "<vertices p:x=\"1\">", "2.3.2"),
        ("</mesh>", "", "2.3.2"),
        ("</model>", "</model><model/>", "3.4"),
        ("</model>", "</model> tail", "2.3.2"),
        ("<resources>", "&unknown;<resources>", "2.3.2"),
        ("<model", "<model xml:space=\"default\"", "2.3.4"),
        ("<resources>", "<metadata>x</metadata><resources>", "3.4.1"),
        (
            "<resources>",
            "<metadata name=\"Title\"/><metadata name=\"Title\"/><resources>",
            "3.4.1",
        ),
        ("x=\"0\"", "x=\"5.\"", "4.1.3.1"),
        ("x=\"0\"", "x=\"NaN\"", "4.1.3.1"),
        ("x=\"0\"", "", "4.1.3.1"),
        ("v3=\"1\"", "v3=\"4\"", "4.1.4.1"),
        ("v3=\"1\"", "v3=\"-1\"", "4.1.4.1"),
        ("v3=\"1\"", "", "4.1.4.1"),
        ("objectid=\"1\"", "objectid=\"9\"", "3.4.3.1"),
        ("objectid=\"1\"", "", "3.4.3.1"),
        ("<object id=\"1\" ", "<object id=\"0\" ", "4"),
        ("<object id=\"1\" ", "<object id=\"1\" pindex=\"0\" ", "4"),
        ("<resources>", "<resources><basematerials id=\"1\"/>", "4"),
        (
            "<resources>",
            "<resources><basematerials id=\"2\"/><basematerials id=\"2\"/>",
            "5.1",
        ),
        ("<model ", "<model requiredextensions=\"zz\" ", "2.3.1"),
    ] {
        assert_eq!(with(from, to), want, "{to}");
    }
    let no_build = good.replace("<build>\n<item objectid=\"1\"/>\n</build>", "");
    assert_eq!(clause(&package(&no_build)), "3.4");
    let start = good.find("<resources>").expect("is there");
    let end = good.find("<build>").expect("is there");
    assert_eq!(
        clause(&package(&(good[..start].to_string() + &good[end..]))),
        "3.4"
    );
    let mut bytes = good.into_bytes();
    let at = bytes
        .windows(5)
        .position(|w| w == b"<mesh")
        .expect("is there");
    bytes[at - 2] = 0xFF;
    let text = package_of_bytes(&bytes);
    assert_eq!(clause(&text), "2.3.2");
}

/// A package whose model is no UTF-8, so that it cannot be a `&str`.
fn package_of_bytes(model: &[u8]) -> Vec<u8> {
    let start = relations(&relation("/3D/a.model", "3dmodel"));
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, bytes) in [
        ("[Content_Types].xml", TYPES.as_bytes()),
        ("_rels/.rels", start.as_bytes()),
        ("3D/a.model", model),
    ] {
        zip.start_file(name, SimpleFileOptions::default())
            .expect("a part begins");
        zip.write_all(bytes).expect("a part is written");
    }
    zip.finish().expect("the package ends").into_inner()
}

#[test]
fn faults_name_part_and_line() {
    let broken = model(&object(1, ""), &item(9, ""));
    assert_eq!(
        read(&package(&broken.replace("</build>", "</bild>")))
            .expect_err("is refused")
            .cause()
            .split(':')
            .next(),
        Some("part 3D/a.model, line 8")
    );
}

#[test]
fn the_start_part_is_found_by_relationship() {
    let good = model(&object(1, ""), &item(1, ""));
    let with = |inner: &str, more: &[(&str, &str)]| {
        let start = relations(inner);
        let mut parts = vec![
            ("[Content_Types].xml", TYPES),
            ("_rels/.rels", start.as_str()),
            ("3D/a.model", good.as_str()),
        ];
        parts.extend(more);
        clause(&zipped(&parts))
    };
    let start = relation("/3D/a.model", "3dmodel");
    assert_eq!(with(&start, &[]), "loads");
    assert_eq!(with("", &[]), "2.1.1");
    assert_eq!(with(&relation("/3D/gone.model", "3dmodel"), &[]), "2.1.1");
    assert_eq!(with(&start.repeat(2), &[]), "2.1.2");
    let own = |inner: String| {
        with(
            &start,
            &[
                ("3D/_rels/a.model.rels", relations(&inner).as_str()),
                ("t.xml", ""),
            ],
        )
    };
    assert_eq!(own(relation("C:/x.png", "3dtexture")), "2.1.1");
    assert_eq!(own(relation("/t.xml", "printticket")), "loads");
    assert_eq!(own(relation("/t.xml", "printticket").repeat(2)), "2.1.4");
    assert_eq!(own(relation("/gone.png", "3dtexture")), "loads");
    let thumbnail = start.clone()
        + r#"<Relationship Target="/gone.png" Id="t" Type="http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail"/>"#;
    assert_eq!(with(&thumbnail, &[]), "2.1.3");
    let start = relations(&start);
    let wrong = TYPES.replace("3dmanufacturing-3dmodel+xml", "other+xml");
    assert_eq!(
        clause(&zipped(&[
            ("[Content_Types].xml", wrong.as_str()),
            ("_rels/.rels", start.as_str()),
            ("3D/a.model", good.as_str())
        ])),
        "2.1.2"
    );
    assert_eq!(
        clause(&zipped(&[
            ("_rels/.rels", start.as_str()),
            ("3D/a.model", good.as_str())
        ])),
        "2.1.1"
    );
}

#[test]
fn extensions_are_told_and_lost_geometry_is_refused() {
    let coloured = object(1, "pid=\"7\" pindex=\"0\"")
        + "<m:colorgroup id=\"7\"><m:color color=\"#FFFFFF\"/></m:colorgroup>";
    let got = read(&package(&model(&coloured, &item(1, "")))).expect("loads");
    assert_eq!(
        got.oddities,
        [Oddity::ExtensionUnread {
            namespace: "http://schemas.microsoft.com/3dmanufacturing/material/2015/02".into()
        }]
    );
    let ignored = model(&coloured, &item(1, "")).replacen(
        "<model ",
        "<model xmlns:mc=\"http://schemas.openxmlformats.org/markup-compatibility/2006\" mc:Ignorable=\"m\" ",
        1,
    );
    assert!(read(&package(&ignored)).expect("loads").oddities.is_empty());
    let lattice = object(1, "").replace(
        "</mesh>",
        "<b:beamlattice minlength=\"1\"><b:beams/></b:beamlattice></mesh>",
    );
    let fault = read(&package(&model(&lattice, &item(1, ""))))
        .expect_err("is refused")
        .to_string();
    assert!(fault.contains("a beam lattice"), "{fault}");
    let unused = lattice + &object(2, "");
    assert_eq!(
        read(&package(&model(&unused, &item(2, ""))))
            .expect("loads")
            .triangles
            .len(),
        4
    );
}

#[test]
fn model_parts_named_by_path_are_read() {
    let start = relations(&relation("/3D/a.model", "3dmodel"));
    let root = model(
        "<object id=\"2\"><components><component objectid=\"1\" p:path=\"/3D/Objects/b.model\" transform=\"1 0 0 0 1 0 0 0 1 4 0 0\"/></components></object>",
        &item(2, ""),
    );
    let other = model(&object(1, ""), "");
    let parts = [
        ("[Content_Types].xml", TYPES),
        ("_rels/.rels", start.as_str()),
        ("3D/a.model", root.as_str()),
        ("3D/Objects/b.model", other.as_str()),
    ];
    let got = read(&zipped(&parts)).expect("loads");
    assert_eq!((got.triangles.len(), got.vertices[0]), (4, [4.0, 0.0, 0.0]));
    assert_eq!(clause(&zipped(&parts[..3])), "2.1.1");
    let inches = other.replace("millimeter", "inch");
    let mixed = [
        parts[0],
        parts[1],
        parts[2],
        ("3D/Objects/b.model", inches.as_str()),
    ];
    assert_eq!(clause(&zipped(&mixed)), "3.4");
}

#[test]
fn hostile_packages_are_refused_within_bounds() {
    let good = model(&object(1, ""), &item(1, ""));
    let start = relations(&relation("/3D/a.model", "3dmodel"));
    for path in [
        "../evil.txt",
        "/etc/evil",
        "C:/evil",
        "3D/../../evil",
        "..\\evil",
    ] {
        let bytes = zipped(&[
            ("[Content_Types].xml", TYPES),
            ("_rels/.rels", start.as_str()),
            ("3D/a.model", good.as_str()),
            (path, "x"),
        ]);
        assert!(
            matches!(read(&bytes), Err(DecodeFault::PartPath { .. })),
            "{path}"
        );
    }
    // 60 million spaces pack to some 60 kB: more than 250 times, and more than a small part.
    let bomb = good.replace("<build>", &format!("{}<build>", " \n".repeat(30_000_000)));
    let bytes = package(&bomb);
    assert!(bytes.len() < 1 << 20);
    let fault = read(&bytes).expect_err("is refused");
    assert!(
        matches!(
            fault,
            DecodeFault::UnpacksTooLarge { .. } | DecodeFault::Package { .. }
        ),
        "{fault}"
    );
    let tight = DecodeLimits {
        max_unpacked_bytes: 900,
        ..LIMITS
    };
    assert!(matches!(
        decode_any(&package(&good), Format::ThreeMf, None, &tight),
        Err(DecodeFault::UnpacksTooLarge { .. })
    ));
    let deep = good.replace("<resources>", &("<m:a>".repeat(100_000) + "<resources>"));
    assert_eq!(clause(&package(&deep)), "2.3.2");
    let long = good.replace(
        "<resources>",
        &format!("<m:a b=\"{}\"/><resources>", "x".repeat(9 << 20)),
    );
    assert!(matches!(
        read(&package(&long)),
        Err(DecodeFault::Package { .. })
    ));
    let few = DecodeLimits {
        max_triangles: 3,
        ..LIMITS
    };
    assert!(matches!(
        decode_any(&package(&good), Format::ThreeMf, None, &few),
        Err(DecodeFault::TooManyTriangles { .. })
    ));
    let whole = package(&good);
    for cut in [4, 40, whole.len() / 2, whole.len() - 1] {
        assert!(read(&whole[..cut]).is_err());
    }
    assert!(matches!(
        read(b"solid x"),
        Err(DecodeFault::WrongFormat { .. })
    ));
    assert!(matches!(
        read(&zipped(&[("readme.txt", "hello")])),
        Err(DecodeFault::Standard { clause, .. }) if clause == "2.1.1"
    ));
}

#[test]
fn numbers_too_large_for_f32_are_dropped_and_counted() {
    let huge = model(
        &(object(1, "") + &object(2, "").replacen("x=\"1\"", "x=\"1e39\"", 1)),
        &(item(1, "") + &item(2, "")),
    );
    let got = read(&package(&huge)).expect("loads");
    assert_eq!(got.triangles.len(), 5);
    assert_eq!(
        got.oddities,
        [Oddity::NotFinite {
            first_triangle: 4,
            count: 3
        }]
    );
}
