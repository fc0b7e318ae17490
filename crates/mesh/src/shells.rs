//! Shells: the pieces of surface that hang together over edges.
//!
//! Edge-connected means: over the partners of [`crate::edges`]. Pieces that touch at a vertex, or along an edge
//! where more than two faces meet, are different shells. Every triangle belongs to one shell; a facet stored twice
//! belongs to its first copy's and counts in no sum. Shells are numbered by their first triangle.

use crate::edges::{Edges, NONE};
use crate::mass::{MassProperties, Sums};
use crate::shape::{Bounds, Mesh};
use crate::vector::{Vec3, sub};

/// Facets a chunk.
const CHUNK: usize = 1 << 14;

/// Up to this many shells every chunk keeps sums for all of them; beyond, one thread sums.
const DENSE: usize = 64;

/// One shell.
#[derive(Debug, Clone, PartialEq)]
pub struct Shell {
    /// Triangles, second copies not counted.
    pub triangles: usize,
    /// The number of its first triangle in the mesh.
    pub first_triangle: u32,
    /// Signed volume as stored, mm3; says little where the shell is open.
    pub volume_mm3: f64,
    /// Area, mm2.
    pub area_mm2: f64,
    /// Its box.
    pub bounds: Bounds,
    /// Half-edges without a partner.
    pub loose: usize,
    /// Edges whose two partners walk it in the same direction.
    pub turned_edges: usize,
}

impl Shell {
    /// It has no rim.
    pub fn closed(&self) -> bool {
        self.loose == 0
    }
}

/// The shells of a mesh.
#[derive(Debug, Clone, PartialEq)]
pub struct Shells {
    /// The shell of every triangle.
    pub of_triangle: Vec<u32>,
    /// The shells, by first triangle.
    pub list: Vec<Shell>,
    /// Volume, area, centroid and inertia of the whole mesh as stored, second copies of facets left out.
    pub mass: MassProperties,
}

impl Shells {
    /// Finds and measures the shells.
    pub fn build(mesh: &Mesh, edges: &Edges) -> Shells {
        let (of_triangle, count) = label(mesh, edges);
        let centre = mesh.bounds().map_or([0.0; 3], |b| b.centre());
        let tallies = tally(mesh, edges, &of_triangle, count, centre);
        let mut total = Sums::default();
        let mut list: Vec<Shell> = tallies
            .iter()
            .map(|tally| {
                total.add(&tally.sums);
                Shell {
                    triangles: tally.triangles,
                    first_triangle: tally.first,
                    volume_mm3: tally.sums.volume_mm3(),
                    area_mm2: tally.sums.area_mm2(),
                    bounds: Bounds {
                        min: tally.min.map(f64::from),
                        max: tally.max.map(f64::from),
                    },
                    loose: 0,
                    turned_edges: 0,
                }
            })
            .collect();
        for &h in &edges.loose {
            list[of_triangle[h as usize / 3] as usize].loose += 1;
        }
        for pair in &edges.turned {
            list[of_triangle[pair[0] as usize / 3] as usize].turned_edges += 1;
        }
        Shells {
            of_triangle,
            list,
            mass: total.about(centre),
        }
    }
}

impl Shells {
    /// Shells joined to pieces: `of_shell` has the piece of each, numbered by their first shell.
    pub fn joined(&self, of_shell: &[u32]) -> Shells {
        let mut list: Vec<Shell> = Vec::new();
        for (shell, &piece) in self.list.iter().zip(of_shell) {
            match list.get_mut(piece as usize) {
                None => list.push(shell.clone()),
                Some(whole) => {
                    whole.triangles += shell.triangles;
                    whole.first_triangle = whole.first_triangle.min(shell.first_triangle);
                    whole.volume_mm3 += shell.volume_mm3;
                    whole.area_mm2 += shell.area_mm2;
                    whole.loose += shell.loose;
                    whole.turned_edges += shell.turned_edges;
                    for k in 0..3 {
                        whole.bounds.min[k] = whole.bounds.min[k].min(shell.bounds.min[k]);
                        whole.bounds.max[k] = whole.bounds.max[k].max(shell.bounds.max[k]);
                    }
                }
            }
        }
        Shells {
            of_triangle: self
                .of_triangle
                .iter()
                .map(|&s| of_shell[s as usize])
                .collect(),
            list,
            mass: self.mass,
        }
    }
}

/// Union-find over facets, the lower number leading; then shells numbered in order of their first facet.
fn label(mesh: &Mesh, edges: &Edges) -> (Vec<u32>, usize) {
    let faces = mesh.triangles.len();
    let mut leader: Vec<u32> = (0..faces as u32).collect();
    for (t, twins) in edges.twins.chunks_exact(3).enumerate() {
        for &twin in twins {
            let other = twin / 3;
            if twin != NONE && other < t as u32 {
                unite(&mut leader, t as u32, other);
            }
        }
    }
    for (&copy, &original) in edges.repeated.iter().zip(&edges.repeated_of) {
        unite(&mut leader, copy, original);
    }
    let mut count = 0;
    for t in 0..faces {
        // Leaders come before their followers, so a leader's number is known by now.
        let l = leader[t] as usize;
        leader[t] = if l == t {
            count += 1;
            count - 1
        } else {
            leader[l]
        };
    }
    (leader, count as usize)
}

#[inline]
fn unite(leader: &mut [u32], a: u32, b: u32) {
    let a = find(leader, a);
    let b = find(leader, b);
    if a != b {
        leader[a.max(b) as usize] = a.min(b);
    }
}

#[inline]
fn find(leader: &mut [u32], mut x: u32) -> u32 {
    while leader[x as usize] != x {
        let up = leader[leader[x as usize] as usize];
        leader[x as usize] = up;
        x = up;
    }
    x
}

#[derive(Clone, Copy)]
struct Tally {
    sums: Sums,
    triangles: usize,
    first: u32,
    min: [f32; 3],
    max: [f32; 3],
}

const NOTHING: Tally = Tally {
    sums: Sums::ZERO,
    triangles: 0,
    first: u32::MAX,
    min: [f32::INFINITY; 3],
    max: [f32::NEG_INFINITY; 3],
};

impl Tally {
    fn add(&mut self, other: &Tally) {
        self.sums.add(&other.sums);
        self.triangles += other.triangles;
        self.first = self.first.min(other.first);
        for k in 0..3 {
            self.min[k] = self.min[k].min(other.min[k]);
            self.max[k] = self.max[k].max(other.max[k]);
        }
    }
}

fn tally(
    mesh: &Mesh,
    edges: &Edges,
    of_triangle: &[u32],
    count: usize,
    centre: Vec3,
) -> Vec<Tally> {
    let one = |tallies: &mut [Tally], t: usize| {
        let tally = &mut tallies[of_triangle[t] as usize];
        tally.first = tally.first.min(t as u32);
        if !edges.counts(t as u32) {
            return;
        }
        tally.triangles += 1;
        for v in mesh.triangles[t] {
            let p = mesh.vertices[v as usize];
            for k in 0..3 {
                tally.min[k] = tally.min[k].min(p[k]);
                tally.max[k] = tally.max[k].max(p[k]);
            }
        }
        tally
            .sums
            .add_facet(mesh.corners(t).map(|p| sub(p, centre)));
    };
    let mut total = vec![NOTHING; count];
    if count <= DENSE {
        let parts = parallel::chunks(mesh.triangles.len(), CHUNK, |range| {
            let mut own = vec![NOTHING; count];
            for t in range {
                one(&mut own, t);
            }
            own
        });
        for part in &parts {
            for (all, own) in total.iter_mut().zip(part) {
                all.add(own);
            }
        }
    } else {
        for t in 0..mesh.triangles.len() {
            one(&mut total, t);
        }
    }
    total
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{Soup, cuboid, moved, reversed, torus, welded};

    fn shells(soup: &[[[f32; 3]; 3]]) -> Shells {
        let mesh = welded(soup);
        Shells::build(&mesh, &Edges::build(&mesh))
    }

    #[test]
    fn a_void_is_a_shell_of_negative_volume() {
        let mut soup = cuboid([0.0; 3], [3.0; 3]);
        soup.extend(reversed(&cuboid([1.0; 3], [2.0; 3])));
        let got = shells(&soup);
        let volumes: Vec<f64> = got.list.iter().map(|s| s.volume_mm3).collect();
        assert_eq!(volumes, [27.0, -1.0]);
        assert_eq!(got.mass.volume_mm3, 26.0);
        assert_eq!(got.list[1].first_triangle, 12);
        assert_eq!(got.list[1].bounds.min, [1.0; 3]);
    }

    #[test]
    fn boxes_that_touch_at_a_vertex_or_an_edge_or_a_face_are_two_shells() {
        for d in [[20.0; 3], [20.0, 20.0, 0.0], [20.0, 0.0, 0.0]] {
            let mut soup = cuboid([0.0; 3], [20.0; 3]);
            soup.extend(moved(&soup.clone(), d));
            let got = shells(&soup);
            let volumes: Vec<f64> = got.list.iter().map(|s| s.volume_mm3).collect();
            assert_eq!(volumes, [8000.0, 8000.0], "{d:?}");
            assert!(got.list.iter().all(Shell::closed));
        }
    }

    #[test]
    fn a_facet_stored_twice_adds_no_volume() {
        let mut soup = cuboid([5.0; 3], [25.0; 3]);
        soup.push(soup[7]);
        let got = shells(&soup);
        assert_eq!(got.list.len(), 1);
        assert_eq!(got.list[0].triangles, 12);
        assert_eq!(got.mass.volume_mm3, 8000.0);
        assert_eq!(got.of_triangle[12], 0);
    }

    #[test]
    fn more_shells_than_are_summed_in_parallel() {
        let mut soup = Soup::new();
        for i in 0..200 {
            soup.extend(moved(
                &cuboid([0.0; 3], [1.0; 3]),
                [2.0 * i as f32, 0.0, 0.0],
            ));
        }
        let got = shells(&soup);
        assert_eq!(got.list.len(), 200);
        assert!(
            got.list
                .iter()
                .all(|s| (s.volume_mm3 - 1.0).abs() < 1e-9 && s.triangles == 12)
        );
    }

    #[test]
    fn the_whole_is_what_the_plain_integration_says() {
        let mesh = welded(&torus(64, 32, 20.0, 5.0));
        let got = Shells::build(&mesh, &Edges::build(&mesh));
        let plain = MassProperties::of(&mesh);
        assert!((got.mass.volume_mm3 - plain.volume_mm3).abs() < 1e-9 * plain.volume_mm3);
        assert_eq!(got.list.len(), 1);
    }
}
