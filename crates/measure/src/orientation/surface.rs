//! A surface as the search looks at it: corners about the middle of the part, and what each facet is.

use mesh::Mesh;
use mesh::vector::{Vec3, dot, length, scale, sub, unit, wide};

use super::normal_image::{Flats, NormalImage};

/// Facets are taken in pieces of this many.
const CHUNK: usize = 1 << 14;
/// A simplified facet that faces within this of a flat is part of it, cosine: 2 degrees.
const OF_FLAT: f64 = 0.999_39;

/// One facet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Facet {
    /// Outward, one long; nothing where the facet has no area.
    pub normal: [f32; 3],
    /// mm2.
    pub area: f32,
    /// Whether it is a show face.
    pub shown: bool,
}

/// Corners and facets. Coordinates are in the mesh's axes, about `centre`.
#[derive(Debug, Clone, Default)]
pub(super) struct Surface {
    pub corners: Vec<[f32; 3]>,
    pub triangles: Vec<[u32; 3]>,
    pub facets: Vec<Facet>,
    /// Added to a corner it gives the place in the mesh's own frame.
    pub centre: Vec3,
}

/// Which faces are seen on the finished model.
#[derive(Debug, Clone, PartialEq)]
pub enum Shown {
    /// Every face.
    All,
    /// None.
    Nothing,
    /// Those that face along one of these directions: a unit vector, and the cosine of the cone about it.
    Toward(Vec<(Vec3, f64)>),
    /// Facet by facet of the mesh.
    Facets(Vec<bool>),
}

impl Shown {
    fn has(&self, facet: usize, normal: Vec3) -> bool {
        match self {
            Shown::All => true,
            Shown::Nothing => false,
            Shown::Toward(cones) => cones.iter().any(|(to, cos)| dot(*to, normal) >= *cos),
            Shown::Facets(each) => each.get(facet).copied().unwrap_or(false),
        }
    }
}

impl Surface {
    /// The part itself. `None` without a facet that has an area.
    pub(super) fn of(mesh: &Mesh, shown: &Shown) -> Option<Surface> {
        let centre = mesh.bounds()?.centre();
        let facets = parallel::chunks(mesh.triangles.len(), CHUNK, |range| {
            range
                .map(|t| {
                    let doubled = mesh.doubled_area_vector(t);
                    let normal = unit(doubled).unwrap_or([0.0; 3]);
                    Facet {
                        normal: narrow(normal),
                        area: (0.5 * length(doubled)) as f32,
                        shown: shown.has(t, normal),
                    }
                })
                .collect::<Vec<_>>()
        })
        .concat();
        facets.iter().any(|f| f.area > 0.0).then(|| Surface {
            corners: mesh
                .vertices
                .iter()
                .map(|&v| narrow(sub(wide(v), centre)))
                .collect(),
            triangles: mesh.triangles.clone(),
            facets,
            centre,
        })
    }

    /// Fewer triangles on some of the same corners. What faces like a flat faces exactly like it, or a face of
    /// exactly 45 degrees would need support or not by chance; whether a facet is shown is what most facets
    /// that face so are.
    pub(super) fn simplified(
        &self,
        triangles: Vec<[u32; 3]>,
        corners: Vec<[f32; 3]>,
        flats: &Flats,
        image: &NormalImage,
    ) -> Surface {
        let facets = triangles
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(|v| wide(corners[v as usize]));
                let doubled = mesh::vector::cross(sub(b, a), sub(c, a));
                let own = unit(doubled).unwrap_or([0.0; 3]);
                let normal = flats
                    .normals
                    .iter()
                    .map(|n| (dot(*n, own), *n))
                    .filter(|(cos, _)| *cos > OF_FLAT)
                    .max_by(|a, b| a.0.total_cmp(&b.0))
                    .map_or(own, |(_, n)| n);
                Facet {
                    normal: narrow(normal),
                    area: (0.5 * length(doubled)) as f32,
                    shown: image.mostly_shown(normal),
                }
            })
            .collect();
        Surface {
            corners,
            triangles,
            facets,
            centre: self.centre,
        }
    }

    /// Area of all facets, mm2.
    pub(super) fn area_mm2(&self) -> f64 {
        parallel::sum(self.facets.len(), CHUNK, |range| {
            self.facets[range].iter().map(|f| f64::from(f.area)).sum()
        })
    }
}

/// Narrowed for tables.
pub(super) fn narrow(v: Vec3) -> [f32; 3] {
    v.map(|x| x as f32)
}

/// Two directions that with `up` make a right-handed frame: rows of the matrix to the print pose.
pub(super) fn frame(up: Vec3) -> [Vec3; 3] {
    // The axis least along `up` gives the first direction: no case divides by little.
    let least = (0..3).fold(0, |m, k| if up[k].abs() < up[m].abs() { k } else { m });
    let mut axis = [0.0; 3];
    axis[least] = 1.0;
    let along = sub(axis, scale(up, up[least]));
    let x = unit(along).unwrap_or([1.0, 0.0, 0.0]);
    [x, mesh::vector::cross(up, x), up]
}
