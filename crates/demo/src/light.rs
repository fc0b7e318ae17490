//! The demo kit: Skerry Light, a model lighthouse of our own design; every figure in it is invented.
//!
//! Each part stands in a file of its group, in its own frame. The text of its manifest lies in
//! `light/kit.toml`; the heights of its poses are proven against the parts by a test below.

pub(crate) mod door;
mod gallery;
mod lamp;
pub(crate) mod lantern;
mod rock;
mod stairs;
pub(crate) mod tower;

use crate::solid::Solid;
use crate::surface::Surface;
use crate::write::{obj, ply_ascii, stl, threemf};
use crate::{DemoError, KitFile};

/// The text of every mesh's header.
pub(crate) const HEADER: &str = "skerry-light demo, invented";

/// Steps around the roof's seat and the ball in it.
const ROUND: usize = 48;

/// Every printed shape by its file's stem.
fn parts() -> [(&'static str, Solid); 21] {
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
        ("shutter", door::shutter()),
        ("gallery", gallery::gallery()),
        ("railing", door::railing()),
        ("lantern-frame", lantern::frame()),
        ("pane", lantern::pane()),
        ("roof", lantern::roof(ROUND)),
        ("vent-ball", lantern::ball(ROUND)),
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
        ("signoff.toml", include_str!("light/signoff.toml")),
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

#[cfg(test)]
mod tests {
    use super::*;

    /// What hangs over more than 45.6 degrees away from the plate, as (share that is level, area mm2).
    fn hanging(surface: &Surface, deck_down: bool) -> (f64, f64) {
        let sign = if deck_down { -1.0 } else { 1.0 };
        let (min, max) = surface.bounds();
        let plate = f64::from(if deck_down { max[2] } else { min[2] });
        let (mut level, mut area) = (0.0, 0.0);
        for t in 0..surface.triangles.len() {
            let n = surface.doubled_area(t);
            let doubled = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
            let down = -sign * n[2] / doubled;
            let on_plate = surface
                .corners(t)
                .iter()
                .all(|c| (c[2] - plate).abs() < 0.01);
            if !on_plate && down > libm::sin(45.6_f64.to_radians()) {
                area += doubled / 2.0;
                if down > 0.9999 {
                    level += doubled / 2.0;
                }
            }
        }
        (if area > 0.0 { level / area } else { 1.0 }, area)
    }

    /// No part needs support: what hangs over is level, a short bridge over a hole or an opening, and only
    /// where the design has one.
    #[test]
    fn nothing_hangs_over_but_short_bridges() {
        let bridges = [
            ("rock-left", 35.0),
            ("rock-right", 35.0),
            ("stairs", 65.0),
            ("tower-base", 80.0),
            ("tower-middle", 45.0),
            ("tower-upper", 45.0),
            ("lantern-frame", 100.0),
        ];
        for (name, solid) in parts() {
            let surface = solid.mesh(name).expect(name);
            let (level, area) = hanging(&surface, name == "gallery");
            let most = bridges.iter().find(|b| b.0 == name).map_or(0.0, |b| b.1);
            assert!(area <= most, "{name}: {area} mm2 hang over");
            assert!(level > 0.999, "{name}: a slope hangs over");
        }
    }

    /// Every part fits the smaller plate of the kit's two, 180 mm less 3 mm at each edge.
    #[test]
    fn every_part_fits_the_small_plate() {
        for (name, solid) in parts() {
            let (min, max) = solid.mesh(name).expect(name).bounds();
            for k in 0..3 {
                assert!(max[k] - min[k] <= 174.0, "{name} is too large");
            }
        }
    }
}
