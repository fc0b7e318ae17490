//! Load: from mesh files to welded meshes in millimetres. What is wrong with a file is a fact about its part,
//! never an error: the other parts are still checked.

use std::path::{Path, PathBuf};

use archive::Digest;
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
    /// What the mesh and its image were made from; `None` where no bytes were read.
    pub print: Option<Digest>,
}

impl Loaded {
    fn failed(fault: LoadFault) -> Loaded {
        Loaded {
            loading: Err(fault),
            mesh: Mesh::default(),
            image: None,
            print: None,
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

/// Where the mesh of a part comes from.
#[derive(Clone)]
pub struct Source {
    /// Its own mesh, or the one that it mirrors.
    file: Filed,
    /// The mesh of what it mirrors, where it has its own as well.
    image: Option<Filed>,
    /// The axes it is mirrored along.
    mirrors: Vec<kit::Axis>,
    /// The kit's folder.
    folder: PathBuf,
    most: Most,
}

/// A mesh file with the unit that the manifest states for it.
#[derive(Clone)]
struct Filed {
    mesh: MeshFile,
    unit: Option<kit::Unit>,
}

/// Loads the mesh of a part.
pub fn part(source: Option<&Source>) -> Loaded {
    source.map_or_else(|| Loaded::failed(LoadFault::Missing), Source::load)
}

impl Source {
    /// Where the mesh of a part comes from: a mirrored part without a mesh of its own takes its source's. `None`
    /// where neither names a file.
    pub fn of(kit: &Kit, part: &Part, folder: &Path, most: Most) -> Option<Source> {
        let (source, mirrors) = kit.source_of(part);
        let filed = |part: &Part| {
            Some(Filed {
                mesh: part.mesh.clone()?,
                unit: part.unit,
            })
        };
        let image = if part.mesh.is_some() && !mirrors.is_empty() {
            filed(source)
        } else {
            None
        };
        Some(Source {
            file: filed(part).or_else(|| filed(source))?,
            image,
            mirrors,
            folder: folder.to_path_buf(),
            most,
        })
    }

    /// Loads the mesh.
    pub fn load(&self) -> Loaded {
        let mut loaded = mesh_file(&self.file.mesh, self.file.unit, &self.folder, self.most);
        let Some(filed) = &self.image else {
            loaded.mesh = mirrored(loaded.mesh, &self.mirrors);
            loaded.print = loaded.print.map(|print| self.print(print, None));
            return loaded;
        };
        // A part that mirrors another and has a mesh of its own: the two are compared.
        let image = mesh_file(&filed.mesh, filed.unit, &self.folder, self.most);
        loaded.print = loaded.print.map(|print| self.print(print, image.print));
        loaded.image = image
            .loading
            .is_ok()
            .then(|| mirrored(image.mesh, &self.mirrors));
        loaded
    }

    /// What the mesh would be made from, without making it; `None` where its file cannot be had.
    pub fn read(&self) -> Option<Digest> {
        let of = |filed: &Filed| {
            let bytes = disk::read_within(&self.folder, &filed.mesh.path, self.most.bytes());
            bytes
                .ok()
                .map(|bytes| print(&filed.mesh, filed.unit, &bytes))
        };
        Some(self.print(of(&self.file)?, self.image.as_ref().and_then(of)))
    }

    fn print(&self, own: Digest, image: Option<Digest>) -> Digest {
        let mut hasher = archive::Hasher::default();
        hasher.update(&own.0);
        let mirrored = self.mirrors.iter().map(|axis| axis.index());
        hasher.update(format!("{:?}", mirrored.collect::<Vec<_>>()).as_bytes());
        hasher.update(image.as_ref().map_or(&[], |image| &image.0[..]));
        hasher.finish()
    }
}

/// What a mesh is made from: the bytes of its file, its format, the object that is taken from it, and its unit.
fn print(file: &MeshFile, unit: Option<kit::Unit>, bytes: &[u8]) -> Digest {
    let mut hasher = archive::Hasher::default();
    let unit = unit.map(kit::Unit::word);
    let format = Format::of_file_name(&file.path);
    hasher.update(format!("{format:?} {:?} {unit:?} ", file.object).as_bytes());
    hasher.update(bytes);
    hasher.finish()
}

fn mirrored(mesh: Mesh, axes: &[kit::Axis]) -> Mesh {
    axes.iter()
        .fold(mesh, |mesh, axis| mesh.mirrored(axis.index()))
}

/// Loads a mesh file. `unit` as the manifest states it; a 3MF may state its own.
pub fn mesh_file(file: &MeshFile, unit: Option<kit::Unit>, folder: &Path, most: Most) -> Loaded {
    match read_mesh(file, unit, folder, most) {
        Ok((loading, mesh, print)) => Loaded {
            loading: Ok(loading),
            mesh,
            image: None,
            print: Some(print),
        },
        Err(fault) => Loaded::failed(fault),
    }
}

fn read_mesh(
    file: &MeshFile,
    unit: Option<kit::Unit>,
    folder: &Path,
    most: Most,
) -> Result<(Loading, Mesh, Digest), LoadFault> {
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
    let print = print(file, unit, &bytes);
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
        print,
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
