//! The volume of a part three ways: by its facets, by the contours of its layers, and by the pixels of its layers.

use std::path::Path;

use layers::raster::{Fill, Filler};
use layers::{Grid, Posed, Slicer, Turn};
use mesh::Edges;
use mesh::decode::{DecodeLimits, Format, decode};
use mesh::shapes::welded;

#[allow(dead_code, reason = "each suite uses a part of it")]
mod made;
use made::{NAMES, made};

/// About z by an angle whose sine is 5 / 13: no wall runs along a row of pixels, where all its pixels would err alike.
const ASKEW: Turn = [
    [12.0 / 13.0, -5.0 / 13.0, 0.0],
    [5.0 / 13.0, 12.0 / 13.0, 0.0],
    [0.0, 0.0, 1.0],
];

/// Pixels across a part; so many that what they round away is small beside the tolerance.
const PIXELS: f64 = 2000.0;

/// By facets, by contours and by pixels, mm3; `layer_mm` is told the part's height.
fn three_ways(mesh: &mesh::Mesh, layer_mm: impl Fn(f64) -> f64) -> [f64; 3] {
    let edges = Edges::build(mesh);
    let posed = Posed::new(mesh, &ASKEW);
    let stack = Slicer::new(&posed, &edges).stack(layer_mm(posed.height_mm));
    let ends = |f: fn(f64, f64) -> f64, start: f64| {
        [0, 1].map(|k| posed.points.iter().map(|p| p[k]).fold(start, f))
    };
    let (low, high) = (ends(f64::min, f64::MAX), ends(f64::max, f64::MIN));
    let pixel = (high[0] - low[0]).max(high[1] - low[1]) / PIXELS;
    let grid = Grid::covering(low, high, pixel, pixel).expect("a grid");
    let by_pixels = stack.each(16, |layer| {
        let mut filler = Filler::default();
        filler.gather(&grid, &layer.contours);
        filler.fill(Fill::Positive).area_mm2()
    });
    let by_facets = mesh::MassProperties::of(mesh).volume_mm3;
    [
        by_facets,
        stack.volume_mm3(),
        by_pixels.iter().sum::<f64>() * stack.layer_mm(),
    ]
}

/// Each with the next; from the first to the last what both round away adds up.
fn agree(name: &str, ways: [f64; 3]) {
    for (a, b) in [(0, 1), (1, 2)] {
        let apart = (ways[a] - ways[b]).abs() / ways[0];
        assert!(apart < 2e-4, "{name}: {ways:?}, {apart:.1e} apart");
    }
}

/// The tolerance is 0.02 %, as the design asks of every part.
#[test]
fn shapes_have_one_volume() {
    for name in NAMES {
        let mesh = welded(&made(name).expect("a shape"));
        agree(name, three_ways(&mesh, |height| height / 600.0));
    }
}

#[test]
fn parts_of_the_demo_kit_have_one_volume() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../kits/skerry-light/meshes");
    let mut tried = 0;
    for entry in std::fs::read_dir(&folder).expect("the demo kit").flatten() {
        let path = entry.path();
        if path.extension().is_none_or(|e| e != "stl") {
            continue;
        }
        let bytes = std::fs::read(&path).expect("a mesh");
        let room = DecodeLimits {
            max_triangles: 1_000_000,
            max_unpacked_bytes: 0,
        };
        let decoded = decode(&bytes, Format::Stl, None, &room).expect("a mesh");
        let mesh = mesh::weld(decoded.vertices, decoded.triangles, false).mesh;
        // Most of the kit's heights are whole multiples of this.
        agree(&path.to_string_lossy(), three_ways(&mesh, |_| 0.05));
        tried += 1;
    }
    assert!(tried > 12, "{tried}");
}
