//! Load: from mesh files to welded meshes in millimetres. What is wrong with a file is a fact about its part,
//! never an error: the other parts are still checked.

use std::path::Path;

use kit::{Kit, MeshFile, Part};
use measure::loading::{LoadFault, Loading};
use measure::{Beside, Unavailable};
use mesh::Mesh;
use mesh::decode::{self, DecodeLimits, Format};
use mesh::weld;

use crate::disk::{self, Unreadable};
use crate::machine;

/// A mesh file's mesh, with what was learnt while reading it.
pub struct Loaded {
    /// What the file held, or why there is no mesh.
    pub loading: Result<Loading, LoadFault>,
    /// The welded mesh, mm; empty where there is none.
    pub mesh: Mesh,
    /// The mirror image that the mesh should be, where a mirrored part has a mesh of its own.
    pub image: Option<Mesh>,
}

impl Loaded {
    fn failed(fault: LoadFault) -> Loaded {
        Loaded {
            loading: Err(fault),
            mesh: Mesh::default(),
            image: None,
        }
    }
}

/// The most triangles a mesh may have.
#[derive(Debug, Clone, Copy)]
pub struct Most {
    triangles: usize,
}

impl Most {
    /// What this machine's memory takes.
    pub fn of_this_machine() -> Most {
        Most {
            triangles: machine::most_triangles(),
        }
    }

    /// The longest text format needs some 300 bytes a triangle.
    pub fn bytes(self) -> u64 {
        self.triangles as u64 * 320 + (1 << 20)
    }
}

/// Loads the mesh of a part; a mirrored part without a mesh of its own takes its source's, mirrored.
pub fn part(kit: &Kit, part: &Part, folder: &Path, most: Most) -> Loaded {
    let _span = tracing::debug_span!("load", part = part.id.as_str()).entered();
    let (source, mirrors) = kit.source_of(part);
    let own = part.mesh.is_some();
    let Some(file) = part.mesh.as_ref().or(source.mesh.as_ref()) else {
        return Loaded::failed(LoadFault::Missing);
    };
    let unit = if own { part.unit } else { source.unit };
    let mut loaded = mesh_file(file, unit, folder, most);
    if own {
        // A part that mirrors another and has a mesh of its own: the two are compared.
        loaded.image = source
            .mesh
            .as_ref()
            .filter(|_| !mirrors.is_empty())
            .map(|file| mesh_file(file, source.unit, folder, most))
            .filter(|image| image.loading.is_ok())
            .map(|image| mirrored(image.mesh, &mirrors));
    } else {
        loaded.mesh = mirrored(loaded.mesh, &mirrors);
    }
    loaded
}

fn mirrored(mesh: Mesh, axes: &[kit::Axis]) -> Mesh {
    axes.iter()
        .fold(mesh, |mesh, axis| mesh.mirrored(axis.index()))
}

/// Loads a mesh file. `unit` as the manifest states it; a 3MF may state its own.
pub fn mesh_file(file: &MeshFile, unit: Option<kit::Unit>, folder: &Path, most: Most) -> Loaded {
    match read_mesh(file, unit, folder, most) {
        Ok((loading, mesh)) => Loaded {
            loading: Ok(loading),
            mesh,
            image: None,
        },
        Err(fault) => Loaded::failed(fault),
    }
}

fn read_mesh(
    file: &MeshFile,
    unit: Option<kit::Unit>,
    folder: &Path,
    most: Most,
) -> Result<(Loading, Mesh), LoadFault> {
    let format = Format::of_file_name(&file.path).ok_or(LoadFault::UnknownFormat)?;
    let bytes = disk::read_within(folder, &file.path, most.bytes()).map_err(|u| match u {
        Unreadable::Missing => LoadFault::Missing,
        Unreadable::NotAFile => LoadFault::NotAFile,
        Unreadable::Outside => LoadFault::Outside,
        Unreadable::Denied => LoadFault::Denied,
        Unreadable::TooLarge { bytes, most } => LoadFault::TooLarge { bytes, most },
        Unreadable::Other(e) => LoadFault::Disk(e.to_string()),
    })?;
    let limits = DecodeLimits {
        max_triangles: most.triangles,
        max_unpacked_bytes: most.bytes(),
    };
    let mut decoded = decode::decode(&bytes, format, file.object.as_deref(), &limits)?;
    drop(bytes);
    let in_file = decoded.unit_mm;
    let unit_mm = unit
        .map(kit::Unit::millimetres)
        .filter(|_| in_file.is_none())
        .or(in_file)
        .ok_or(LoadFault::NoUnit)?;
    let largest_side_filed = decoded.largest_side().unwrap_or(0.0);
    decode::to_mm(&mut decoded, unit_mm);
    let triangles_filed = decoded.triangles.len();
    let welded = weld::weld(decoded.vertices, decoded.triangles, decoded.indexed);
    Ok((
        Loading {
            triangles_filed,
            unit_mm,
            unit_in_file: in_file.is_some(),
            largest_side_filed,
            oddities: decoded.oddities,
            basis: welded.basis,
            collapsed: welded.collapsed,
        },
        welded.mesh,
    ))
}

/// Reads what a kit names besides its parts' meshes.
pub fn beside(kit: &Kit, folder: &Path, most: Most) -> Beside {
    let _span = tracing::debug_span!("beside").entered();
    let mut beside = Beside::default();
    for reference in &kit.references {
        let loaded = mesh_file(&reference.mesh, reference.unit, folder, most);
        if let Err(fault) = loaded.loading {
            beside.bad_references.push(Unavailable {
                id: reference.id.clone(),
                path: reference.mesh.path.clone(),
                why: fault.to_string(),
            });
        }
    }
    for file in &kit.files {
        if let Err(why) = disk::is_readable(folder, &file.path) {
            beside.bad_files.push(Unavailable {
                id: file.path.clone(),
                path: file.path.clone(),
                why: why.to_string(),
            });
        }
    }
    beside
}
