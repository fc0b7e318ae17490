//! Meshes that cannot be read, or not wholly.

use super::shapes::{block, cuboid};
use super::{Faulty, Twins};
use crate::surface::Surface;
use crate::write::{stl_ascii, stl_facets, threemf};

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

fn unreadable(raises: bool) -> Faulty {
    // The third byte of this width is a line feed.
    let width = f32::from_bits(0x41A0_0A00);
    let sound = stl_facets(
        "faulty kit, invented",
        &cuboid([0.0; 3], [width, 20.0, 10.0]),
    );
    let ascii = stl_ascii("block", &block());
    let mut uncounted = sound.clone();
    uncounted[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
    let broken: [(&str, Vec<u8>); 5] = [
        ("cut-short", sound[..sound.len() - 100].to_vec()),
        ("pointer", POINTER.as_bytes().to_vec()),
        ("line-endings", with_line_endings(&sound)),
        ("four-billion", uncounted),
        ("ascii-cut-short", ascii[..ascii.len() / 2].to_vec()),
    ];
    broken.into_iter().fold(Faulty::new(), |kit, (id, bytes)| {
        if raises {
            kit.mesh(id, "stl", "", bytes)
                .blocks("mesh.unreadable", &[id])
        } else if id.starts_with("ascii") {
            kit.mesh(id, "stl", "", ascii.clone())
        } else {
            kit.mesh(id, "stl", "", sound.clone())
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
    } else {
        Faulty::new().part_with("block", "units = \"m\"", &metres)
    }
}
