//! From the bytes of a mesh file to a list of triangles: STL, 3MF, OBJ and PLY.
//!
//! This room knows file formats. It must not know the disk, kits, limits of a rule or verdicts: it takes
//! bytes and returns triangles in the order of the file, with everything odd about the file as typed
//! [`Oddity`] values, or a [`DecodeFault`] that says what is wrong, where, and what to do.
//!
//! Guarantee: no input makes it panic, hang or allocate out of proportion. Counts that a header claims are
//! held against the size of the file before anything is allocated; what a package unpacks to is counted
//! while it is read, never believed beforehand.
//!
//! Standards followed: STL as in the 1989 interface note (common practice, no current text); 3MF Core
//! Specification 1.4.0; the OBJ and PLY formats as in common practice (no standard exists).

mod fault;
mod format;
mod obj;
mod oddity;
mod ply;
mod polygon;
mod sniff;
mod stl;
mod text;
mod three_mf;
mod tidy;
mod unit;

pub use fault::{DecodeFault, Place};
pub use format::{DecodeLimits, Format};
pub use oddity::Oddity;
pub use sniff::Content;

/// What a mesh file holds: triangles in the order of the file, coordinates in the unit of the file.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Decoded {
    /// Vertex positions, in the unit of the file until [`to_mm`] is called; finite, -0 made +0, each used
    /// by a triangle.
    pub vertices: Vec<[f32; 3]>,
    /// Vertex ids of each triangle, in the order of the file.
    pub triangles: Vec<[u32; 3]>,
    /// True where the file itself shares vertices (3MF, OBJ, PLY); an STL stores three per triangle.
    pub indexed: bool,
    /// Millimetres in one unit of the file, where the file says so (3MF); `None` where it carries no unit.
    pub unit_mm: Option<f64>,
    /// The objects the file names, in its order, each as `object` accepts it.
    pub objects: Vec<String>,
    /// What is odd about the file without making it unreadable.
    pub oddities: Vec<Oddity>,
}

impl Decoded {
    /// Largest side of the box around the vertices, in the unit of the vertices; `None` without vertices.
    pub fn largest_side(&self) -> Option<f64> {
        let bounds = crate::Bounds::of(self.vertices.iter().map(|&p| crate::vector::wide(p)))?;
        Some(bounds.size().into_iter().fold(0.0, f64::max))
    }
}

/// Decodes the bytes of a mesh file.
///
/// `object` picks one object by its name, or in a 3MF by its id; without it everything that the file
/// builds is read and joined. A 3MF object that is picked stands as its first build item places it (an
/// item may scale it), or in its own frame where no item builds it.
///
/// # Errors
/// A [`DecodeFault`] where the bytes are not a whole mesh of that format, or would go beyond `limits`.
pub fn decode(
    bytes: &[u8],
    format: Format,
    object: Option<&str>,
    limits: &DecodeLimits,
) -> Result<Decoded, DecodeFault> {
    if bytes.is_empty() {
        return Err(DecodeFault::Empty);
    }
    if let Some(pointer) = sniff::large_file_pointer(bytes) {
        return Err(pointer);
    }
    let limits = &DecodeLimits {
        max_triangles: limits.max_triangles.min(crate::weld::MOST_TRIANGLES),
        ..*limits
    };
    let mut decoded = match format {
        // Tidied as it is read, to spare a pass over a million triangles.
        Format::Stl => stl::decode(bytes, object, limits)?,
        Format::ThreeMf => three_mf::decode(bytes, object, limits)?,
        Format::Obj => obj::decode(bytes, object, limits)?,
        Format::Ply => ply::decode(bytes, object, limits)?,
    };
    if format != Format::Stl {
        tidy::tidy(&mut decoded);
    }
    if decoded.triangles.is_empty() {
        return Err(DecodeFault::NoTriangles {
            unfit: decoded.oddities.iter().find_map(|o| match o {
                Oddity::NotFinite { count, .. } => Some(format!(
                    "all of its {count} triangles hold a number that is not finite"
                )),
                Oddity::LinesOrPoints { count } => {
                    Some(format!("it holds {count} points or lines and no face"))
                }
                Oddity::NotPrinted { object, kind } => Some(format!(
                    "its object {object} is of type {kind}, which is not printed as a part"
                )),
                _ => None,
            }),
        });
    }
    Ok(decoded)
}

/// Scales the vertices to millimetres; `unit_mm` is the number of millimetres in one unit of the file.
/// Afterwards the file's own unit is one millimetre, so a second call cannot scale twice by mistake.
pub fn to_mm(decoded: &mut Decoded, unit_mm: f64) {
    if unit_mm != 1.0 {
        for p in &mut decoded.vertices {
            for x in p {
                *x = (f64::from(*x) * unit_mm) as f32;
            }
        }
    }
    decoded.unit_mm = Some(1.0);
}
