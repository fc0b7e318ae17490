//! Bodies for the demo kit: extruded, revolved and lofted outlines, joined and cut.
//! It must not know a part. A fault in any step stays with the body and comes out in [`Solid::mesh`].

use manifold_rust::linalg::{Mat3x4, Vec2, Vec3};
use manifold_rust::manifold::Manifold;
use manifold_rust::types::{BooleanEngine, Error, MeshGL64, OpType};

use crate::DemoError;
use crate::outline::{Outline, area, direction};
use crate::surface::Surface;

/// How far a surface may move to lose needless vertices when it is finished, mm.
const SIMPLE_MM: f64 = crate::surface::GRID_MM;

/// A closed body, or the first fault met while it was built.
#[derive(Clone)]
pub struct Solid {
    body: Manifold,
    fault: Option<String>,
}

impl Solid {
    fn of(body: Manifold, step: &str) -> Solid {
        let fault = match body.status() {
            Error::NoError if body.is_empty() => Some(format!("{step}: nothing is left")),
            Error::NoError => None,
            other => Some(format!("{step}: {}", other.to_str())),
        };
        Solid { body, fault }
    }

    fn next(&self, other: Option<&Solid>, body: Manifold, step: &str) -> Solid {
        let earlier = self
            .fault
            .clone()
            .or_else(|| other.and_then(|o| o.fault.clone()));
        let mut solid = Solid::of(body, step);
        solid.fault = earlier.or(solid.fault);
        solid
    }

    /// From vertices and triangles.
    pub fn from_surface(points: &[[f64; 3]], triangles: &[[u32; 3]], step: &str) -> Solid {
        let mesh = MeshGL64 {
            num_prop: 3,
            vert_properties: points.iter().flatten().copied().collect(),
            tri_verts: triangles.iter().flatten().map(|&v| u64::from(v)).collect(),
            ..MeshGL64::default()
        };
        Solid::of(Manifold::from_mesh_gl64(&mesh), step)
    }

    /// A box from its least corner to its greatest.
    pub fn block(min: [f64; 3], max: [f64; 3]) -> Solid {
        Solid::extruded(
            &[crate::outline::rectangle(
                [min[0], min[1]],
                [max[0], max[1]],
            )],
            min[2],
            max[2],
        )
    }

    /// Outlines in the xy plane, raised from `z0` to `z1`; the first is the body, the others are holes in it.
    pub fn extruded(outlines: &[Outline], z0: f64, z1: f64) -> Solid {
        let polygons = outlines
            .iter()
            .enumerate()
            .map(|(k, outline)| {
                let turned = (area(outline) > 0.0) == (k == 0);
                let mut points: Vec<Vec2> = outline.iter().map(|p| Vec2::new(p[0], p[1])).collect();
                if !turned {
                    points.reverse();
                }
                points
            })
            .collect();
        Solid::of(
            Manifold::extrude(&polygons, z1 - z0, 0, 0.0, Vec2::new(1.0, 1.0)),
            "extrude",
        )
        .moved([0.0, 0.0, z0])
    }

    /// Outlines in the xz plane, raised along y from `y0` to `y1`.
    pub fn extruded_along_y(outlines: &[Outline], y0: f64, y1: f64) -> Solid {
        // x stays, the outline's second axis becomes z, the height runs toward -y.
        Solid::extruded(outlines, -y1, -y0).framed(
            [1.0, 0.0, 0.0],
            [0.0, 0.0, 1.0],
            [0.0, -1.0, 0.0],
        )
    }

    /// Outlines in the yz plane, raised along x from `x0` to `x1`.
    pub fn extruded_along_x(outlines: &[Outline], x0: f64, x1: f64) -> Solid {
        Solid::extruded(outlines, x0, x1).framed([0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0])
    }

    /// A profile of (radius, height) points turned about the z axis; counter-clockwise, radii not negative.
    pub fn revolved(profile: &[[f64; 2]], steps: usize) -> Solid {
        let mut profile: Outline = profile.to_vec();
        if area(&profile) < 0.0 {
            profile.reverse();
        }
        let mut points = Vec::new();
        // Where each profile point's ring starts; a point on the axis is one vertex.
        let ring: Vec<(u32, bool)> = profile
            .iter()
            .map(|p| {
                let start = points.len() as u32;
                let axis = p[0] == 0.0;
                for k in 0..if axis { 1 } else { steps } {
                    let [c, s] = direction(k, steps);
                    points.push([p[0] * c, p[0] * s, p[1]]);
                }
                (start, axis)
            })
            .collect();
        let mut triangles = Vec::new();
        for i in 0..profile.len() {
            let (a, a_axis) = ring[i];
            let (b, b_axis) = ring[(i + 1) % profile.len()];
            for k in 0..steps as u32 {
                let n = (k + 1) % steps as u32;
                let at = |start: u32, axis: bool, k: u32| if axis { start } else { start + k };
                let corners = [
                    at(a, a_axis, k),
                    at(a, a_axis, n),
                    at(b, b_axis, n),
                    at(b, b_axis, k),
                ];
                if !a_axis {
                    triangles.push([corners[0], corners[1], corners[2]]);
                }
                if !b_axis {
                    triangles.push([corners[0], corners[2], corners[3]]);
                }
            }
        }
        Solid::from_surface(&points, &triangles, "revolve")
    }

    /// Outlines of equal point count at rising heights, joined by walls; the ends are closed from their
    /// middle, so both must be seen whole from there.
    pub fn lofted(rings: &[(Outline, f64)]) -> Solid {
        let n = rings[0].0.len() as u32;
        let mut points: Vec<[f64; 3]> = Vec::new();
        for (outline, z) in rings {
            points.extend(outline.iter().map(|p| [p[0], p[1], *z]));
        }
        let mut triangles = Vec::new();
        for level in 0..rings.len() as u32 - 1 {
            for k in 0..n {
                let m = (k + 1) % n;
                let [a, b] = [level * n + k, level * n + m];
                let [c, d] = [b + n, a + n];
                triangles.push([a, b, c]);
                triangles.push([a, c, d]);
            }
        }
        let last = (rings.len() as u32 - 1) * n;
        for (start, upward) in [(0, false), (last, true)] {
            let middle = points.len() as u32;
            let mut sum = [0.0; 3];
            for k in start..start + n {
                for axis in 0..3 {
                    sum[axis] += points[k as usize][axis] / f64::from(n);
                }
            }
            points.push(sum);
            for k in 0..n {
                let [a, b] = [start + k, start + (k + 1) % n];
                triangles.push(if upward {
                    [a, b, middle]
                } else {
                    [b, a, middle]
                });
            }
        }
        Solid::from_surface(&points, &triangles, "loft")
    }

    /// This and the other as one body.
    pub fn with(&self, other: &Solid) -> Solid {
        self.joined(other, OpType::Add, "union")
    }

    /// This without the other.
    pub fn without(&self, other: &Solid) -> Solid {
        self.joined(other, OpType::Subtract, "difference")
    }

    /// What this and the other share.
    pub fn within(&self, other: &Solid) -> Solid {
        self.joined(other, OpType::Intersect, "intersection")
    }

    fn joined(&self, other: &Solid, op: OpType, step: &str) -> Solid {
        let body = self
            .body
            .boolean_with_engine(&other.body, op, BooleanEngine::Auto);
        self.next(Some(other), body, step)
    }

    /// Moved by a vector.
    pub fn moved(&self, by: [f64; 3]) -> Solid {
        let body = self.body.translate(Vec3::new(by[0], by[1], by[2]));
        self.next(None, body, "move")
    }

    /// Turned about the z axis by `step` of `steps` equal steps of a full turn.
    pub fn turned(&self, step: usize, steps: usize) -> Solid {
        let [c, s] = direction(step, steps);
        self.framed([c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0])
    }

    /// Mirrored in x.
    pub fn mirrored_x(&self) -> Solid {
        self.framed([-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
    }

    /// The images of the x, y and z axes.
    pub fn framed(&self, x: [f64; 3], y: [f64; 3], z: [f64; 3]) -> Solid {
        let v = |p: [f64; 3]| Vec3::new(p[0], p[1], p[2]);
        let m = Mat3x4::from_cols(v(x), v(y), v(z), v([0.0; 3]));
        self.next(None, self.body.transform(&m), "turn")
    }

    /// The body's triangles as they are, not moved to any grid and not checked; none after a fault.
    pub fn facets(&self) -> Vec<[[f64; 3]; 3]> {
        let (points, triangles) = Solid::triangles(&self.body);
        triangles
            .iter()
            .map(|t| t.map(|v| points[v as usize]))
            .collect()
    }

    fn triangles(body: &Manifold) -> (Vec<[f64; 3]>, Vec<[u32; 3]>) {
        let mesh = body.get_mesh_gl64(-1);
        let stride = mesh.num_prop as usize;
        let points = mesh
            .vert_properties
            .chunks_exact(stride)
            .map(|p| [p[0], p[1], p[2]])
            .collect();
        let triangles = mesh
            .tri_verts
            .chunks_exact(3)
            .map(|t| [t[0] as u32, t[1] as u32, t[2] as u32])
            .collect();
        (points, triangles)
    }

    /// The body's surface on the grid of [`Surface`], proven closed.
    ///
    /// # Errors
    /// The first fault met on the way, or what is wrong with the surface, with the part's name.
    pub fn mesh(&self, part: &str) -> Result<Surface, DemoError> {
        if let Some(fault) = &self.fault {
            return Err(DemoError::Build {
                part: part.to_string(),
                fault: fault.clone(),
            });
        }
        let (points, triangles) = Solid::triangles(&self.body.simplify(SIMPLE_MM));
        let surface = Surface::snapped(&points, &triangles).tidied();
        surface.prove(part)?;
        Ok(surface)
    }
}
