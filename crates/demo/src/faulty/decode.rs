//! Meshes that cannot be read, or not wholly.

use super::shapes::{block, cuboid};
use super::{Faulty, Twins};
use crate::surface::Surface;
use crate::write::{obj, ply_binary, stl_ascii, stl_facets, threemf};

pub(crate) const TWINS: &[Twins] = &[
    ("mesh.missing", missing),
    ("mesh.unreadable", unreadable),
    ("mesh.empty", empty),
    ("mesh.not-finite", not_finite),
    ("mesh.trailing-data", trailing_data),
    ("mesh.extension-unread", extension_unread),
    ("mesh.unit-doubtful", unit_doubtful),
];

fn missing(raises: bool) -> Faulty {
    if raises {
        Faulty::new()
            .without_mesh("block", "block.stl", "")
            .blocks("mesh.missing", &["block"])
    } else {
        Faulty::new().part("block", &block())
    }
}

/// What a system for large files leaves in a checkout in place of a file that was not fetched; the sum
/// is that of no file.
const POINTER: &str = "version https://git-lfs.github.com/spec/v1\n\
    oid sha256:0000000000000000000000000000000000000000000000000000000000000000\nsize 684\n";

/// Every line feed byte preceded by a carriage return, as a text-mode copy does to a binary file.
fn with_line_endings(bytes: &[u8]) -> Vec<u8> {
    bytes
        .iter()
        .flat_map(|&b| if b == b'\n' { vec![b'\r', b] } else { vec![b] })
        .collect()
}

/// One part for each way in which a file is known to break: its id, the file's extension, the file as it
/// should be and as it is.
fn broken_files() -> Vec<(&'static str, &'static str, Vec<u8>, Vec<u8>)> {
    // The third byte of this width is a line feed.
    let width = f32::from_bits(0x41A0_0A00);
    let stl = stl_facets(
        "faulty kit, invented",
        &cuboid([0.0; 3], [width, 20.0, 10.0]),
    );
    let ascii = stl_ascii("block", &block());
    let surface = welded(&block());
    let object = obj("block", "faulty kit, invented", &surface);
    let ply = ply_binary("faulty kit, invented", &surface);
    let package = threemf("block", "faulty kit, invented", &surface);
    let short = |bytes: &[u8]| bytes[..bytes.len() - 100].to_vec();
    let mut uncounted = stl.clone();
    uncounted[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
    let mut beyond = object.clone();
    beyond.extend(b"f 1 2 99\n");
    vec![
        ("cut-short", "stl", stl.clone(), short(&stl)),
        ("pointer", "stl", stl.clone(), POINTER.as_bytes().to_vec()),
        ("line-endings", "stl", stl.clone(), with_line_endings(&stl)),
        ("four-billion", "stl", stl, uncounted),
        ("ascii-cut-short", "stl", ascii.clone(), short(&ascii)),
        ("no-such-vertex", "obj", object, beyond),
        ("ply-cut-short", "ply", ply.clone(), short(&ply)),
        ("package-cut-short", "3mf", package.clone(), short(&package)),
    ]
}

fn unreadable(raises: bool) -> Faulty {
    broken_files()
        .into_iter()
        .fold(Faulty::new(), |kit, (id, extension, sound, broken)| {
            if raises {
                kit.mesh(id, extension, "", broken)
                    .blocks("mesh.unreadable", &[id])
            } else {
                kit.mesh(id, extension, "", sound)
            }
        })
}

fn empty(raises: bool) -> Faulty {
    if raises {
        Faulty::new()
            .part("block", &[])
            .blocks("mesh.empty", &["block"])
    } else {
        Faulty::new().part("block", &block())
    }
}

/// The facet with the NaN is no facet, so a hole is left as well.
fn not_finite(raises: bool) -> Faulty {
    let mut facets = block();
    if raises {
        facets[5][1][2] = f32::NAN;
        Faulty::new()
            .part("block", &facets)
            .blocks("mesh.not-finite", &["block"])
            .blocks("mesh.open-edge", &["block"])
    } else {
        Faulty::new().part("block", &facets)
    }
}

fn trailing_data(raises: bool) -> Faulty {
    let mut bytes = stl_facets("faulty kit, invented", &block());
    if raises {
        bytes.extend(b"made by hand");
        Faulty::new()
            .mesh("block", "stl", "", bytes)
            .notes("mesh.trailing-data", &["block"])
    } else {
        Faulty::new().mesh("block", "stl", "", bytes)
    }
}

fn welded(facets: &[super::shapes::Facet]) -> Surface {
    let points: Vec<[f64; 3]> = facets.iter().flatten().map(|p| p.map(f64::from)).collect();
    let triangles: Vec<[u32; 3]> = (0..facets.len() as u32)
        .map(|k| [3 * k, 3 * k + 1, 3 * k + 2])
        .collect();
    Surface::snapped(&points, &triangles)
}

/// A 3MF whose only object carries a colour of the materials extension, which is not required to print it.
fn extension_unread(raises: bool) -> Faulty {
    let plain = threemf("block", "faulty kit, invented", &welded(&block()));
    if !raises {
        return Faulty::new().mesh("block", "3mf", "", plain);
    }
    let bytes = crate::write::threemf_with(
        "block",
        "faulty kit, invented",
        &welded(&block()),
        " xmlns:m=\"http://schemas.microsoft.com/3dmanufacturing/material/2015/02\"",
        "<m:colorgroup id=\"2\"><m:color color=\"#336699\"/></m:colorgroup>\n",
    );
    Faulty::new()
        .mesh("block", "3mf", "", bytes)
        .notes("mesh.extension-unread", &["block"])
}

fn unit_doubtful(raises: bool) -> Faulty {
    let metres = cuboid([0.0; 3], [0.02, 0.02, 0.01]);
    if raises {
        Faulty::new()
            .part("block", &metres)
            .blocks("mesh.unit-doubtful", &["block"])
            .warns("print.unmeasured", &["block"])
    } else {
        Faulty::new().part_with("block", "units = \"m\"", &metres)
    }
}
