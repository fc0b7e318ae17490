//! Kits beside a sign-off: a part worse than accepted, an engine that measures otherwise, a part never signed off,
//! a CAD file that was changed and not exported.

use super::shapes::block;
use super::{Faulty, Twins};
use crate::sha256;

pub(crate) const TWINS: &[Twins] = &[
    ("regression.worse", worse),
    ("regression.engine", engine),
    ("regression.unsigned", unsigned),
    ("mesh.stale-export", stale_export),
];

/// What a part of the usual settings is printed with, as `kitproof accept` hashes it.
const SETTINGS: &str = "5ad2878615dae5db79ca515b9eabb4c16a5550badd83f2d7fee69610a7e2cc85";
/// The CAD file of today.
const CAD: &[u8] = b"ISO-10303-21; /* invented: a block with its edge broken */\n";

/// The block as it is.
fn mesh() -> Vec<u8> {
    crate::write::stl_facets("faulty kit, invented", &block())
}

/// A sign-off of the block: of that mesh file, with that least wall (it has 10 mm), and that CAD file.
fn signoff(kit: &str, mesh: &[u8], min_wall_mm: f64, source: Option<&[u8]>) -> String {
    let source = source.map_or(String::new(), |bytes| {
        format!("source = \"{}\"\n", sha256(bytes))
    });
    format!(
        "{}\n[parts.block]\nmesh = \"{}\"\nsettings = \"{SETTINGS}\"\n{source}\n[parts.block.values]\n\
         min-wall = {min_wall_mm:.3}\n",
        head(kit),
        sha256(mesh)
    )
}

fn head(kit: &str) -> String {
    format!(
        "# Measured values that the designer accepted, and what they were measured on.\nformat = 1\nkit = \"{kit}\"\n\
         revision = \"0.9.0\"\nengine = 1\n"
    )
}

fn named(rule: &str, raises: bool) -> String {
    format!("{rule}-{}", if raises { "raises" } else { "silent" })
}

/// Another mesh was signed off, whose wall was thicker: by more than 5 %, or by less.
fn worse(raises: bool) -> Faulty {
    let then = if raises { 11.0 } else { 10.3 };
    let text = signoff(
        &named("regression-worse", raises),
        b"an earlier mesh",
        then,
        None,
    );
    let kit = Faulty::new()
        .part("block", &block())
        .file("signoff.toml", text.into_bytes());
    if raises {
        kit.blocks("regression.worse", &["block"])
    } else {
        kit
    }
}

/// The same mesh was signed off, with another value, or with its own.
fn engine(raises: bool) -> Faulty {
    let then = if raises { 11.0 } else { 10.0 };
    let text = signoff(&named("regression-engine", raises), &mesh(), then, None);
    let kit = Faulty::new()
        .part("block", &block())
        .file("signoff.toml", text.into_bytes());
    if raises {
        kit.notes("regression.engine", &["block"])
    } else {
        kit
    }
}

/// The sign-off holds no part, or the block.
fn unsigned(raises: bool) -> Faulty {
    let id = named("regression-unsigned", raises);
    let text = if raises {
        head(&id)
    } else {
        signoff(&id, &mesh(), 10.0, None)
    };
    let kit = Faulty::new()
        .part("block", &block())
        .file("signoff.toml", text.into_bytes());
    if raises {
        kit.notes("regression.unsigned", &["block"])
    } else {
        kit
    }
}

/// The CAD file was another when the same mesh was signed off, or it was this one.
fn stale_export(raises: bool) -> Faulty {
    let then: &[u8] = if raises {
        b"ISO-10303-21; /* invented: a block */\n"
    } else {
        CAD
    };
    let text = signoff(
        &named("mesh-stale-export", raises),
        &mesh(),
        10.0,
        Some(then),
    );
    let kit = Faulty::new()
        .part_with("block", "source = \"block.step\"", &block())
        .file("block.step", CAD.to_vec())
        .file("signoff.toml", text.into_bytes());
    if raises {
        kit.warns("mesh.stale-export", &["block"])
    } else {
        kit
    }
}
