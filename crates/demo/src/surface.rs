//! A triangle surface on a grid that a 32-bit float holds exactly. It must not know how it was built.

use std::collections::BTreeMap;

/// Coordinates are whole multiples of this, mm: 1/1024, so that no later rounding can move a vertex.
pub const GRID_MM: f64 = 1.0 / 1024.0;

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
        let flat = |s: &Surface, t: [u32; 3]| s.height_mm(t) < GRID_MM;
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
    pub(crate) fn height_mm(&self, t: [u32; 3]) -> f64 {
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

    /// Moved by a vector whose coordinates lie on the grid.
    pub(crate) fn moved(&self, by: [f64; 3]) -> Surface {
        let move_one = |p: &[f32; 3]| [0, 1, 2].map(|k| (f64::from(p[k]) + by[k]) as f32);
        Surface {
            points: self.points.iter().map(move_one).collect(),
            triangles: self.triangles.clone(),
        }
    }

    /// The same faces with every edge halved: four triangles for each. A middle moves to the grid, so the surface
    /// moves by half of it at most.
    pub(crate) fn halved(&self) -> Surface {
        let mut points: Vec<[f64; 3]> = self.points.iter().map(|p| p.map(f64::from)).collect();
        let mut middles: BTreeMap<(u32, u32), u32> = BTreeMap::new();
        let mut triangles = Vec::new();
        for &[a, b, c] in &self.triangles {
            let [ab, bc, ca] = [(a, b), (b, c), (c, a)].map(|(i, j)| {
                *middles.entry((i.min(j), i.max(j))).or_insert_with(|| {
                    let (p, q) = (points[i as usize], points[j as usize]);
                    points.push([0, 1, 2].map(|k| 0.5 * (p[k] + q[k])));
                    points.len() as u32 - 1
                })
            });
            triangles.extend([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]);
        }
        Surface::snapped(&points, &triangles)
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
    pub(crate) fn edges(&self) -> Result<BTreeMap<(u32, u32), usize>, String> {
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
}

pub(crate) fn sub(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(crate) fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(crate) fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

pub(crate) fn length(a: [f64; 3]) -> f64 {
    dot(a, a).sqrt()
}

pub(crate) fn unit(a: [f64; 3]) -> [f64; 3] {
    let l = length(a);
    a.map(|x| x / l)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_grid_holds_every_coordinate_exactly() {
        let surface = Surface::snapped(&[[0.1, 107.3, 219.999]], &[]);
        for x in surface.points[0] {
            assert_eq!(f64::from(x) * 1024.0, libm::round(f64::from(x) * 1024.0));
        }
    }
}
