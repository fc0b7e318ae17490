//! The proof that a surface is a sound solid: what every part of the demo kit must pass before it is written.
//! It must not know a part's meaning.

use std::collections::BTreeMap;

use manifold_rust::manifold::Manifold;
use manifold_rust::types::{Error, MeshGL};

use crate::DemoError;
use crate::surface::{Surface, cross, dot, length, sub, unit};

/// Faces lower than this over their longest side are slivers, mm.
const LEAST_HEIGHT_MM: f64 = 0.0012;

/// Convex edges sharper than this print badly, degrees; a part of the demo kit has none.
const SHARPEST_EDGE_DEG: f64 = 61.0;

impl Surface {
    /// Proves that the surface closes one sound body: each edge between two faces that turn alike, one piece,
    /// no sheet that touches another at a vertex, no face without height, no face through another, outward,
    /// no convex edge too sharp to print.
    ///
    /// # Errors
    /// What is wrong first, with the part's name and the place.
    pub fn prove(&self, part: &str) -> Result<(), DemoError> {
        self.sound().map_err(|fault| DemoError::Unsound {
            part: part.to_string(),
            fault,
        })
    }

    fn sound(&self) -> Result<(), String> {
        let edges = self.edges()?;
        self.one_fan_a_vertex(&edges)?;
        for t in 0..self.triangles.len() {
            if self.height_mm(self.triangles[t]) < LEAST_HEIGHT_MM {
                return Err(format!("a face without height at {:?}", self.corners(t)));
            }
        }
        if self.volume_mm3() <= 0.0 {
            return Err("inside out".to_string());
        }
        self.crosses_nothing()?;
        self.no_sharp_edge(&edges)
    }

    /// Walks around every vertex: all its faces must be met in one round, and one walk over all edges
    /// must meet all faces.
    fn one_fan_a_vertex(&self, edges: &BTreeMap<(u32, u32), usize>) -> Result<(), String> {
        let mut faces_at = vec![0usize; self.points.len()];
        let mut start = vec![None; self.points.len()];
        for t in &self.triangles {
            for i in 0..3 {
                faces_at[t[i] as usize] += 1;
                start[t[i] as usize] = Some(t[(i + 1) % 3]);
            }
        }
        for v in 0..self.points.len() as u32 {
            let Some(first) = start[v as usize] else {
                continue;
            };
            let mut spoke = first;
            let mut seen = 0;
            loop {
                let t = self.triangles[edges[&(v, spoke)]];
                seen += 1;
                let at = t.iter().position(|&x| x == v).unwrap_or(0);
                spoke = t[(at + 2) % 3];
                if spoke == first || seen > faces_at[v as usize] {
                    break;
                }
            }
            if seen != faces_at[v as usize] {
                return Err(format!(
                    "sheets touch at the vertex {:?}",
                    self.points[v as usize]
                ));
            }
        }
        let mut met = vec![false; self.triangles.len()];
        let mut open = vec![0usize];
        met[0] = true;
        while let Some(k) = open.pop() {
            let t = self.triangles[k];
            for i in 0..3 {
                let other = edges[&(t[(i + 1) % 3], t[i])];
                if !met[other] {
                    met[other] = true;
                    open.push(other);
                }
            }
        }
        match met.iter().position(|m| !m) {
            Some(k) => Err(format!("a second body at {:?}", self.corners(k)[0])),
            None => Ok(()),
        }
    }

    fn crosses_nothing(&self) -> Result<(), String> {
        let mesh = MeshGL {
            num_prop: 3,
            vert_properties: self.points.iter().flatten().copied().collect(),
            tri_verts: self.triangles.iter().flatten().copied().collect(),
            ..MeshGL::default()
        };
        let body = Manifold::from_mesh_gl(&mesh);
        if body.status() != Error::NoError {
            return Err(format!("no solid: {}", body.status().to_str()));
        }
        if body.has_self_intersections() {
            return Err("a face passes through another".to_string());
        }
        Ok(())
    }

    fn no_sharp_edge(&self, edges: &BTreeMap<(u32, u32), usize>) -> Result<(), String> {
        for (&(a, b), &left) in edges {
            if a > b {
                continue;
            }
            let right = edges[&(b, a)];
            let n = unit(self.doubled_area(left));
            let m = unit(self.doubled_area(right));
            let along = unit(sub(
                self.points[b as usize].map(f64::from),
                self.points[a as usize].map(f64::from),
            ));
            // Convex where the normals turn about the edge as the left face has it.
            let convex = dot(cross(n, m), along) > 0.0;
            let bend = libm::atan2(length(cross(n, m)), dot(n, m)).to_degrees();
            if convex && 180.0 - bend < SHARPEST_EDGE_DEG {
                return Err(format!(
                    "an edge of {:.1} degrees at {:?}",
                    180.0 - bend,
                    self.points[a as usize]
                ));
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A box of 10 mm, outward, from its eight corners (bit 0 is x, bit 1 is y, bit 2 is z).
    fn cube() -> Surface {
        let points: Vec<[f64; 3]> = (0..8)
            .map(|k| [k & 1, k >> 1 & 1, k >> 2 & 1].map(|b| 10.0 * f64::from(b)))
            .collect();
        Surface::snapped(
            &points,
            &[
                [0, 2, 3],
                [0, 3, 1],
                [4, 5, 7],
                [4, 7, 6],
                [0, 1, 5],
                [0, 5, 4],
                [1, 3, 7],
                [1, 7, 5],
                [3, 2, 6],
                [3, 6, 7],
                [2, 0, 4],
                [2, 4, 6],
            ],
        )
    }

    fn two(by: [f32; 3]) -> Surface {
        let a = cube();
        let mut points: Vec<[f64; 3]> = a.points.iter().map(|p| p.map(f64::from)).collect();
        points.extend(
            a.points
                .iter()
                .map(|p| [0, 1, 2].map(|k| f64::from(p[k] + by[k]))),
        );
        let mut triangles = a.triangles.clone();
        triangles.extend(a.triangles.iter().map(|t| t.map(|v| v + 8)));
        Surface::snapped(&points, &triangles)
    }

    #[test]
    fn a_sound_box_is_proven_and_measured() {
        let cube = cube();
        cube.prove("box").expect("a box is sound");
        assert!((cube.volume_mm3() - 1000.0).abs() < 1e-9);
        assert_eq!(cube.bounds(), ([0.0; 3], [10.0; 3]));
    }

    #[test]
    fn each_fault_is_refused_in_its_own_words() {
        let mut open = cube();
        open.triangles.pop();
        let mut turned = cube();
        turned.triangles[3].swap(0, 1);
        let mut inward = cube();
        inward.triangles.iter_mut().for_each(|t| t.swap(0, 1));
        let mut pierced = cube();
        // A corner of the lid pushed out through the floor.
        pierced.points[7] = [5.0, 5.0, -5.0];
        let mut sharp = cube();
        // The lid slides out until it hangs over at 45 degrees.
        for k in 4..8 {
            sharp.points[k][0] += 10.0;
        }
        for (surface, words) in [
            (open, "open edge"),
            (turned, "turn the same way"),
            (inward, "inside out"),
            (two([30.0, 0.0, 0.0]), "second body"),
            (two([10.0, 10.0, 10.0]), "touch at the vertex"),
            (two([10.0, 10.0, 0.0]), "turn the same way"),
            (pierced, "through another"),
            (sharp, "an edge of 45.0 degrees"),
        ] {
            let fault = surface.prove("x").expect_err(words).to_string();
            assert!(fault.contains(words), "{words}: {fault}");
        }
    }

    #[test]
    fn faces_without_height_are_turned_away() {
        // The middle of an edge of the lid, used by the lid only, with a flat face to the wall.
        let mut cube = cube();
        cube.points.push([5.0, 0.0, 10.0]);
        cube.triangles.retain(|t| *t != [4, 5, 7]);
        cube.triangles.extend([[4, 8, 7], [8, 5, 7], [4, 5, 8]]);
        assert!(cube.prove("box").is_err());
        let tidy = cube.tidied();
        tidy.prove("box").expect("no face without height is left");
        assert!((tidy.volume_mm3() - 1000.0).abs() < 1e-9);
    }
}
