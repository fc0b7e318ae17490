//! Binary STL: an 80-byte header, a count, 50 bytes a triangle (the de-facto interface note of 1989).
//!
//! The header names kit, revision and part, nothing else: no date, no machine, no source file. It never starts
//! with the word `solid`, by which readers guess at the text form.

use mesh::vector::{cross, sub, unit, wide};
use stl_io::{Triangle, Vector};

use crate::plate::PrintMesh;

/// Bytes of the header.
pub const HEADER_BYTES: usize = 80;

/// What a header names.
#[derive(Debug, Clone, Copy)]
pub struct Label<'a> {
    /// Id of the kit.
    pub kit: &'a str,
    /// Revision of the kit.
    pub revision: &'a str,
    /// Id of the part.
    pub part: &'a str,
    /// Revision of the part.
    pub part_rev: u32,
}

/// `kit ID REVISION part ID rREV` in ASCII, filled with NUL. Ids that do not fit are cut at their ends, the
/// part's revision always stands.
pub fn header(label: &Label) -> [u8; HEADER_BYTES] {
    let plain = |text: &str, most: usize| -> String {
        text.chars()
            .map(|c| if c.is_ascii_graphic() { c } else { '_' })
            .take(most)
            .collect()
    };
    let text = format!(
        "kit {} {} part {} r{}",
        plain(label.kit, 20),
        plain(label.revision, 12),
        plain(label.part, 24),
        label.part_rev
    );
    let mut header = [0u8; HEADER_BYTES];
    for (to, from) in header.iter_mut().zip(text.bytes()) {
        *to = from;
    }
    header
}

/// A part as binary STL. Facet normals are computed from the coordinates as written; a facet without area has
/// the normal 0 0 0, which readers take as "compute it".
pub fn write(mesh: &PrintMesh, label: &Label) -> Vec<u8> {
    let facets = mesh.triangles.iter().map(|t| {
        let corners = t.map(|v| mesh.vertices[v as usize]);
        let [a, b, c] = corners.map(wide);
        let normal = unit(cross(sub(b, a), sub(c, a))).unwrap_or([0.0; 3]);
        Triangle {
            normal: Vector(normal.map(|x| x as f32 + 0.0)),
            vertices: corners.map(Vector),
        }
    });
    let mut out = Vec::with_capacity(HEADER_BYTES + 4 + 50 * mesh.triangles.len());
    stl_io::write_stl(&mut out, facets).expect("a Vec takes every write");
    out[..HEADER_BYTES].copy_from_slice(&header(label));
    out
}

#[cfg(test)]
pub(crate) mod tests {
    use std::collections::BTreeMap;

    use mesh::Mesh;

    use super::*;
    use crate::plate::{IDENTITY, set_down};

    /// The corner tetrahedron 0, x, y, z of side 1, moved.
    pub(crate) fn tetrahedron(at: [f32; 3]) -> Mesh {
        let corners = [[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        moved(
            &Mesh::new(
                corners.to_vec(),
                vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]],
            ),
            at,
        )
    }

    /// The unit cube, moved.
    pub(crate) fn cube(at: [f32; 3]) -> Mesh {
        let vertices = (0..8u32)
            .map(|v| [v & 1, v >> 1 & 1, v >> 2].map(|x| x as f32))
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
        moved(&Mesh::new(vertices, triangles), at)
    }

    pub(crate) fn moved(mesh: &Mesh, by: [f32; 3]) -> Mesh {
        let mut mesh = mesh.clone();
        for p in &mut mesh.vertices {
            *p = [p[0] + by[0], p[1] + by[1], p[2] + by[2]];
        }
        mesh
    }

    /// Both meshes in one, equal positions welded.
    pub(crate) fn joined(a: &Mesh, b: &Mesh) -> Mesh {
        let mut known: BTreeMap<[u32; 3], u32> = BTreeMap::new();
        let (mut vertices, mut triangles) = (Vec::new(), Vec::new());
        for mesh in [a, b] {
            for t in &mesh.triangles {
                triangles.push(t.map(|v| {
                    let p = mesh.vertices[v as usize];
                    *known.entry(p.map(f32::to_bits)).or_insert_with(|| {
                        vertices.push(p);
                        vertices.len() as u32 - 1
                    })
                }));
            }
        }
        Mesh::new(vertices, triangles)
    }

    const LABEL: Label = Label {
        kit: "skerry-light",
        revision: "1.4.0",
        part: "gallery",
        part_rev: 2,
    };

    #[test]
    fn a_cube_is_684_bytes_and_reads_back() {
        let mesh = set_down(&cube([5.0, -3.0, 9.0]), &IDENTITY).expect("set down");
        let bytes = write(&mesh, &LABEL);
        // Size equation 84 + 50 n of the binary form: n = 12 gives 684.
        assert_eq!(bytes.len(), 684);
        assert!(bytes.starts_with(b"kit skerry-light 1.4.0 part gallery r2\0"));
        let back = stl_io::read_stl(&mut std::io::Cursor::new(&bytes)).expect("reads");
        assert_eq!(back.faces.len(), 12);
        assert_eq!(back.vertices.len(), 8);
        back.validate().expect("closed and turned the same way");
        for face in &back.faces {
            let long: f32 = face.normal.0.iter().map(|x| x * x).sum();
            assert_eq!(long, 1.0);
        }
    }

    #[test]
    fn the_header_never_overflows_and_never_says_solid() {
        let long = "x".repeat(200);
        let label = Label {
            kit: &long,
            revision: &long,
            part: &long,
            part_rev: u32::MAX,
        };
        let header = header(&label);
        assert!(header.starts_with(b"kit "));
        assert!(String::from_utf8_lossy(&header).contains(" r4294967295"));
        let odd = super::header(&Label {
            kit: "solid\n",
            revision: "é",
            ..LABEL
        });
        assert!(odd.is_ascii() && odd.starts_with(b"kit solid_ _ part"));
    }

    #[test]
    fn a_facet_without_area_has_no_normal() {
        let mesh = PrintMesh {
            vertices: vec![[0.0; 3], [1.0, 0.0, 0.0], [2.0, 0.0, 0.0]],
            triangles: vec![[0, 1, 2]],
        };
        assert_eq!(write(&mesh, &LABEL)[84..96], [0u8; 12]);
    }
}
