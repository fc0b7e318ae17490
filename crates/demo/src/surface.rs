//! A triangle surface on a grid that a 32-bit float holds exactly, and the proof that it is a sound solid.
//! It must not know how the surface was built.

use std::collections::BTreeMap;

use manifold_rust::manifold::Manifold;
use manifold_rust::types::{Error, MeshGL};

use crate::DemoError;

/// Coordinates are whole multiples of this, mm: 1/1024, so that no later rounding can move a vertex.
pub const GRID_MM: f64 = 1.0 / 1024.0;

/// Convex edges sharper than this print badly, degrees; a part of the demo kit has none.
const SHARPEST_EDGE_DEG: f64 = 61.0;

/// How often [`Surface::tidied`] goes over all faces.
const TIDY_ROUNDS: usize = 16;

/// A triangle surface, mm; triangles turn counter-clockwise seen from outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Vertex positions.
    pub points: Vec<[f32; 3]>,
    /// Vertex ids of each triangle.
    pub triangles: Vec<[u32; 3]>,
}

impl Surface {
    /// Moves every point to the grid, welds equal points and drops triangles that lost a side.
    pub fn snapped(points: &[[f64; 3]], triangles: &[[u32; 3]]) -> Surface {
        let mut ids: BTreeMap<[i64; 3], u32> = BTreeMap::new();
        let mut kept = Vec::new();
        let id: Vec<u32> = points
            .iter()
            .map(|p| {
                let key = p.map(|x| libm::round(x / GRID_MM) as i64);
                *ids.entry(key).or_insert_with(|| {
                    kept.push(key.map(|k| (k as f64 * GRID_MM) as f32));
                    kept.len() as u32 - 1
                })
            })
            .collect();
        let triangles = triangles
            .iter()
            .map(|t| t.map(|v| id[v as usize]))
            .filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0])
            .collect();
        Surface {
            points: kept,
            triangles,
        }
    }

    /// Turns away the triangles without height that joining coplanar faces leaves: the long edge of each is
    /// replaced by the other diagonal of the two faces beside it, which moves the surface by less than the
    /// grid. What is left after a bounded number of rounds is for [`Surface::prove`] to refuse.
    pub fn tidied(mut self) -> Surface {
        let flat = |s: &Surface, t: [u32; 3]| s.height(t) < GRID_MM;
        for _ in 0..TIDY_ROUNDS {
            let mut changed = false;
            let Ok(mut edges) = self.edges() else {
                return self;
            };
            for k in 0..self.triangles.len() {
                let t = self.triangles[k];
                if !flat(&self, t) {
                    continue;
                }
                let side = |i: usize| {
                    let [a, b] =
                        [t[i], t[(i + 1) % 3]].map(|v| self.points[v as usize].map(f64::from));
                    length(sub(b, a))
                };
                let i = (0..3).fold(0, |best, i| if side(i) > side(best) { i } else { best });
                let [a, b, c] = [t[i], t[(i + 1) % 3], t[(i + 2) % 3]];
                let Some(&other) = edges.get(&(b, a)) else {
                    continue;
                };
                let Some(&d) = self.triangles[other].iter().find(|&&v| v != a && v != b) else {
                    continue;
                };
                let (left, right) = ([a, d, c], [d, b, c]);
                if edges.contains_key(&(c, d)) || edges.contains_key(&(d, c)) {
                    continue;
                }
                if flat(&self, left) && flat(&self, right) {
                    continue;
                }
                self.triangles[k] = left;
                self.triangles[other] = right;
                edges.remove(&(a, b));
                edges.remove(&(b, a));
                for (face, corners) in [(k, left), (other, right)] {
                    for i in 0..3 {
                        edges.insert((corners[i], corners[(i + 1) % 3]), face);
                    }
                }
                changed = true;
            }
            if !changed {
                break;
            }
        }
        self
    }

    /// Height of a triangle over its longest side, mm.
    fn height(&self, t: [u32; 3]) -> f64 {
        let [a, b, c] = t.map(|v| self.points[v as usize].map(f64::from));
        let longest = [sub(b, a), sub(c, b), sub(a, c)]
            .map(length)
            .into_iter()
            .fold(0.0, f64::max);
        length(cross(sub(b, a), sub(c, a))) / longest
    }

    /// The corners of a triangle, widened.
    pub fn corners(&self, triangle: usize) -> [[f64; 3]; 3] {
        self.triangles[triangle].map(|v| self.points[v as usize].map(f64::from))
    }

    /// Twice the area of a triangle along its outward normal.
    pub fn doubled_area(&self, triangle: usize) -> [f64; 3] {
        let [a, b, c] = self.corners(triangle);
        cross(sub(b, a), sub(c, a))
    }

    /// Volume within, mm3.
    pub fn volume_mm3(&self) -> f64 {
        (0..self.triangles.len())
            .map(|t| {
                let [a, b, c] = self.corners(t);
                dot(a, cross(b, c)) / 6.0
            })
            .sum()
    }

    /// Least and greatest corner of the box around it.
    pub fn bounds(&self) -> ([f32; 3], [f32; 3]) {
        let mut min = [f32::INFINITY; 3];
        let mut max = [f32::NEG_INFINITY; 3];
        for p in &self.points {
            for k in 0..3 {
                min[k] = min[k].min(p[k]);
                max[k] = max[k].max(p[k]);
            }
        }
        (min, max)
    }

    /// Which triangle has each directed edge.
    fn edges(&self) -> Result<BTreeMap<(u32, u32), usize>, String> {
        let mut edges = BTreeMap::new();
        for (k, t) in self.triangles.iter().enumerate() {
            for i in 0..3 {
                let edge = (t[i], t[(i + 1) % 3]);
                if edges.insert(edge, k).is_some() {
                    return Err(format!(
                        "two faces turn the same way along an edge at {:?}",
                        self.points[edge.0 as usize]
                    ));
                }
            }
        }
        for &(a, b) in edges.keys() {
            if !edges.contains_key(&(b, a)) {
                return Err(format!("open edge at {:?}", self.points[a as usize]));
            }
        }
        Ok(edges)
    }

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
            if self.height(self.triangles[t]) < GRID_MM {
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

fn sub(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

fn length(a: [f64; 3]) -> f64 {
    dot(a, a).sqrt()
}

fn unit(a: [f64; 3]) -> [f64; 3] {
    let l = length(a);
    a.map(|x| x / l)
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

    #[test]
    fn the_grid_holds_every_coordinate_exactly() {
        let surface = Surface::snapped(&[[0.1, 107.3, 219.999]], &[]);
        for x in surface.points[0] {
            assert_eq!(f64::from(x) * 1024.0, libm::round(f64::from(x) * 1024.0));
        }
    }
}
