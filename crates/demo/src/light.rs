//! The demo kit: Skerry Light, a model lighthouse of our own design; every figure in it is invented.
//!
//! Each part stands in a file of its group, in its own frame. The text of its manifest lies in
//! `light/kit.toml`; the heights of its poses are proven against the parts by a test below.

mod door;
mod gallery;
mod lamp;
mod lantern;
mod rock;
mod stairs;
mod tower;

use crate::solid::Solid;
use crate::surface::Surface;
use crate::write::{obj, ply_ascii, stl, threemf};
use crate::{DemoError, KitFile};

/// The text of every mesh's header.
const HEADER: &str = "skerry-light demo, invented";

/// Every printed shape by its file's stem.
fn parts() -> [(&'static str, Solid); 20] {
    [
        ("rock-left", rock::left()),
        ("rock-right", rock::right()),
        ("stairs", stairs::stairs()),
        ("cheek", stairs::cheek()),
        ("tower-base", tower::base()),
        ("tower-middle", tower::middle()),
        ("tower-upper", tower::upper()),
        ("door", door::door()),
        ("door-surround", door::surround()),
        ("window", door::window()),
        ("gallery", gallery::gallery()),
        ("railing", door::railing()),
        ("lantern-frame", lantern::frame()),
        ("pane", lantern::pane()),
        ("roof", lantern::roof()),
        ("vent-ball", lantern::ball()),
        ("lamp-base", lamp::base()),
        ("lamp-holder", lamp::holder()),
        ("lens", lamp::lens()),
        ("railing-jig", door::railing_jig()),
    ]
}

/// A part's file: most are binary STL; one part in each other format keeps every reader at work.
fn file(name: &str, surface: &Surface) -> KitFile {
    let (extension, bytes) = match name {
        "door-surround" => ("3mf", threemf(name, HEADER, surface)),
        "stairs" => ("obj", obj(name, HEADER, surface)),
        "railing-jig" => ("ply", ply_ascii(HEADER, surface)),
        _ => ("stl", stl(HEADER, surface)),
    };
    (format!("skerry-light/meshes/{name}.{extension}"), bytes)
}

/// Every file of kits/skerry-light.
///
/// # Errors
/// [`DemoError`] for the first part that could not be built as a sound solid.
pub fn files() -> Result<Vec<KitFile>, DemoError> {
    let mut files = Vec::new();
    for (name, text) in [
        ("kit.toml", include_str!("light/kit.toml")),
        ("README.md", include_str!("light/readme.md")),
        ("guide.md", include_str!("light/guide.md")),
    ] {
        files.push((format!("skerry-light/{name}"), text.as_bytes().to_vec()));
    }
    for (name, solid) in parts() {
        files.push(file(name, &solid.mesh(name)?));
    }
    let (points, triangles) = lamp::motor();
    files.push((
        "skerry-light/reference/lamp-motor.stl".to_string(),
        stl(HEADER, &Surface::snapped(&points, &triangles)),
    ));
    Ok(files)
}
