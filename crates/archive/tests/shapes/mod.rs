//! Small analytic meshes and a bundle made of them.
#![allow(dead_code)]

use archive::bundle::{BundleInput, BundlePart, ExtraFile};
use archive::cautions::Trigger;
use archive::readme::{KitCard, PartCard, PromiseCard, SettingsCard};
use archive::{Stamp, plate};
use mesh::Mesh;

/// A box with its least corner at the origin, mm.
pub fn cuboid(size: [f32; 3]) -> Mesh {
    let vertices = (0..8u32)
        .map(|v| {
            [
                size[0] * (v & 1) as f32,
                size[1] * (v >> 1 & 1) as f32,
                size[2] * (v >> 2) as f32,
            ]
        })
        .collect();
    let quads = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let triangles = quads
        .iter()
        .flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]])
        .collect();
    Mesh::new(vertices, triangles)
}

/// A ring of rectangular section: outer and inner radius and height in mm, `n` sides.
pub fn ring(outer: f64, inner: f64, height: f64, n: u32) -> Mesh {
    let mut vertices = Vec::new();
    for k in 0..n {
        let (s, c) = libm::sincos(std::f64::consts::TAU * f64::from(k) / f64::from(n));
        for (r, z) in [(outer, 0.0), (outer, height), (inner, height), (inner, 0.0)] {
            vertices.push([r * c, r * s, z].map(|x| x as f32));
        }
    }
    let mut triangles = Vec::new();
    for k in 0..n {
        let next = (k + 1) % n;
        for side in 0..4 {
            let to = (side + 1) % 4;
            let [a, b, c, d] = [4 * k + side, 4 * next + side, 4 * next + to, 4 * k + to];
            triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    Mesh::new(vertices, triangles)
}

/// A ball of radius 10 mm: `n` rings of `2 n` facets.
pub fn ball(n: u32) -> Mesh {
    let around = 2 * n;
    let mut vertices = vec![[0.0, 0.0, 10.0f32]];
    for i in 1..n {
        let (s, c) = libm::sincos(std::f64::consts::PI * f64::from(i) / f64::from(n));
        for j in 0..around {
            let (t, d) = libm::sincos(std::f64::consts::TAU * f64::from(j) / f64::from(around));
            vertices.push([s * d, s * t, c].map(|x| (10.0 * x) as f32));
        }
    }
    vertices.push([0.0, 0.0, -10.0]);
    let at = |i: u32, j: u32| 1 + (i - 1) * around + j % around;
    let last = vertices.len() as u32 - 1;
    let mut triangles = Vec::new();
    for j in 0..around {
        triangles.push([0, at(1, j), at(1, j + 1)]);
        for i in 1..n - 1 {
            triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
        triangles.push([at(n - 1, j), last, at(n - 1, j + 1)]);
    }
    Mesh::new(vertices, triangles)
}

/// A box and a ring.
pub fn small() -> Vec<Mesh> {
    vec![cuboid([20.0, 10.0, 5.5]), ring(12.3, 11.1, 3.7, 12)]
}

const MANIFEST: &str =
    "format = 1\n[kit]\nid = \"lamp\"\nrevision = \"1.4.0\"\n[materials.pla]\ncost-kg = 22\n";

/// A bundle of these meshes: the first as filed, the others turned by 30 degrees about x.
pub fn input(meshes: &[Mesh]) -> BundleInput<'_> {
    let (s, c) = libm::sincos(30f64.to_radians());
    let parts = meshes.iter().enumerate().map(|(k, mesh)| BundlePart {
        card: PartCard {
            id: ["block", "gallery-rail", "lens", "spare-part"][k % 4].to_string(),
            rev: if k == 0 { 1 } else { 2 },
            count: if k == 0 { 1 } else { 8 },
            material: "pla".into(),
            settings: "body".into(),
            supports: "none".into(),
            mass_g: Some(2.5),
            ..PartCard::default()
        },
        mesh,
        close_within_mm: None,
        rotation: if k == 0 {
            plate::IDENTITY
        } else {
            [[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]]
        },
    });
    BundleInput {
        kit: KitCard {
            id: "lamp".into(),
            title: "Lamp & <friends>".into(),
            revision: "1.4.0".into(),
            designer: Some("A. Maker".into()),
            license: "CC-BY-NC-4.0".into(),
            scale: Some("1:48".into()),
        },
        parts: parts.collect(),
        promises: vec![PromiseCard {
            id: "common".into(),
            words: "plate 220 x 220 x 240 mm, nozzle 0.4 mm".into(),
        }],
        settings: vec![SettingsCard {
            id: "body".into(),
            values: vec![("layer".into(), "0.2 mm".into())],
        }],
        known_limits: Vec::new(),
        triggers: vec![Trigger::FilamentPrinting, Trigger::CyanoacrylateGlue],
        manifest: MANIFEST,
        report_html: b"<!doctype html><title>Report</title>\n",
        report_json: b"{\"format\":1}\n",
        license_text: None,
        notes: None,
        extra: vec![ExtraFile {
            path: "decals/port side.svg".into(),
            bytes: b"<svg/>\n".to_vec(),
        }],
        stamp: Stamp::from_unix(1_700_000_000),
    }
}

/// The meshes that outside witnesses were shown: a box, a ring, two boxes that touch along an edge, and a ball
/// that is light enough to need no simplifying.
pub fn witnessed() -> Vec<Mesh> {
    let mut meshes = small();
    meshes.push(touching_boxes());
    meshes.push(ball(30));
    meshes
}

/// Two boxes that share the edge x = 10, y = 10, welded: 14 vertices, one edge with four triangles.
pub fn touching_boxes() -> Mesh {
    let a = cuboid([10.0; 3]);
    let (mut vertices, mut triangles) = (a.vertices.clone(), a.triangles.clone());
    let far: Vec<u32> = a
        .vertices
        .iter()
        .map(|p| {
            let moved = [p[0] + 10.0, p[1] + 10.0, p[2]];
            match vertices.iter().position(|q| *q == moved) {
                Some(known) => known as u32,
                None => {
                    vertices.push(moved);
                    vertices.len() as u32 - 1
                }
            }
        })
        .collect();
    triangles.extend(a.triangles.iter().map(|t| t.map(|v| far[v as usize])));
    Mesh::new(vertices, triangles)
}
