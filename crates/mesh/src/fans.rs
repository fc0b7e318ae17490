//! The walk round every vertex: how many fans of facets meet there.
//!
//! On a sound surface the facets about a vertex are one fan. Sheets that touch at a vertex only are two, and no
//! edge shows it. A fan is followed over the partners of [`crate::edges`], whatever way its facets are wound.

use crate::edges::{Edges, NONE, ends, other_at};
use crate::shape::Mesh;
use crate::shells::Shells;

/// Vertices a chunk.
const CHUNK: usize = 1 << 14;

/// Fans of a mesh.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fans {
    /// Vertices where more than one fan meets and no edge at the vertex is crowded, ascending.
    pub pinched: Vec<u32>,
    /// Fans of each shell: its vertices, one counted once for each fan.
    pub of_shell: Vec<usize>,
    /// Pairs of shells (lower first) that share an edge where more than two faces meet, ascending.
    pub joined_at_edges: Vec<[u32; 2]>,
}

impl Fans {
    /// Walks round every vertex.
    pub fn build(mesh: &Mesh, edges: &Edges, shells: &Shells) -> Fans {
        let mut fans = Fans {
            of_shell: vec![0; shells.list.len()],
            ..Fans::default()
        };
        let (first, corners) = corners_of_vertices(mesh, edges);
        let parts = parallel::chunks(mesh.vertices.len(), CHUNK, |range| {
            let mut several = Vec::new();
            let mut runs: Vec<(u32, usize)> = Vec::new();
            for v in range {
                if corners[v] == 0 {
                    continue;
                }
                if walk(mesh, edges, v as u32, first[v], corners[v]) != corners[v] {
                    several.push(v as u32);
                    continue;
                }
                let shell = shells.of_triangle[first[v] as usize / 3];
                match runs.last_mut() {
                    Some((s, n)) if *s == shell => *n += 1,
                    _ => runs.push((shell, 1)),
                }
            }
            (several, runs)
        });
        drop((first, corners));
        let mut several = Vec::new();
        for (found, runs) in parts {
            several.extend(found);
            for (shell, n) in runs {
                fans.of_shell[shell as usize] += n;
            }
        }
        fans.sort_out(mesh, edges, shells, &several);
        fans
    }

    /// Counts the fans at vertices that have several, and tells pinches from crowded edges.
    fn sort_out(&mut self, mesh: &Mesh, edges: &Edges, shells: &Shells, several: &[u32]) {
        let mut crowded: Vec<u32> = Vec::new();
        for edge in 0..edges.crowded_edges() {
            let faces = edges.crowded(edge);
            crowded.extend(ends(mesh, faces[0]));
            let mut own: Vec<u32> = faces
                .iter()
                .map(|h| shells.of_triangle[*h as usize / 3])
                .collect();
            own.sort_unstable();
            own.dedup();
            self.joined_at_edges
                .extend(own.windows(2).map(|w| [w[0], w[1]]));
        }
        crowded.sort_unstable();
        crowded.dedup();
        self.joined_at_edges.sort_unstable();
        self.joined_at_edges.dedup();
        if several.is_empty() {
            return;
        }
        let mut at: Vec<(u32, u32)> = Vec::new();
        for (t, triangle) in mesh.triangles.iter().enumerate() {
            for (k, v) in triangle.iter().enumerate() {
                if several.binary_search(v).is_ok() && edges.counts(t as u32) {
                    at.push((*v, 3 * t as u32 + k as u32));
                }
            }
        }
        at.sort_unstable();
        let mut walked: Vec<u32> = Vec::new();
        for corners in at.chunk_by(|a, b| a.0 == b.0) {
            let v = corners[0].0;
            walked.clear();
            for &(_, corner) in corners {
                if !walked.contains(&(corner / 3)) {
                    follow(mesh, edges, v, corner, corners.len() as u32, |t| {
                        walked.push(t)
                    });
                    self.of_shell[shells.of_triangle[corner as usize / 3] as usize] += 1;
                }
            }
            if crowded.binary_search(&v).is_err() {
                self.pinched.push(v);
            }
        }
    }
}

/// A half-edge that starts at every vertex, and how many facets are about it.
fn corners_of_vertices(mesh: &Mesh, edges: &Edges) -> (Vec<u32>, Vec<u32>) {
    let mut first = vec![NONE; mesh.vertices.len()];
    let mut corners = vec![0u32; mesh.vertices.len()];
    for (t, triangle) in mesh.triangles.iter().enumerate() {
        if !edges.counts(t as u32) {
            continue;
        }
        for (k, &v) in triangle.iter().enumerate() {
            first[v as usize] = 3 * t as u32 + k as u32;
            corners[v as usize] += 1;
        }
    }
    (first, corners)
}

/// How many facets the fan has that holds the corner (a half-edge that starts at `v`).
#[inline]
fn walk(mesh: &Mesh, edges: &Edges, v: u32, corner: u32, most: u32) -> u32 {
    let mut steps = 0;
    follow(mesh, edges, v, corner, most, |_| steps += 1);
    steps
}

/// Visits the facets of a fan once each; stops after `most`, so that a broken joint cannot go round for ever.
#[inline]
fn follow(mesh: &Mesh, edges: &Edges, v: u32, corner: u32, most: u32, mut visit: impl FnMut(u32)) {
    let back = other_at(mesh, corner, v);
    let mut steps = 1;
    visit(corner / 3);
    for (start, stop) in [(corner, back), (back, NONE)] {
        let mut exit = start;
        loop {
            let twin = edges.twins[exit as usize];
            if twin == NONE {
                break; // a rim: go the other way from the first facet
            }
            if twin == stop || steps >= most {
                return; // once round
            }
            steps += 1;
            visit(twin / 3);
            exit = other_at(mesh, twin, v);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{cuboid, moved, torus, welded};

    fn fans(soup: &[[[f32; 3]; 3]]) -> Fans {
        let mesh = welded(soup);
        let edges = Edges::build(&mesh);
        Fans::build(&mesh, &edges, &Shells::build(&mesh, &edges))
    }

    #[test]
    fn cubes_that_touch_at_a_vertex_are_pinched_there() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup.extend(moved(&soup.clone(), [20.0; 3]));
        let got = fans(&soup);
        assert_eq!(got.pinched.len(), 1);
        assert_eq!(got.of_shell, [8, 8]);
        assert!(got.joined_at_edges.is_empty());
    }

    #[test]
    fn cubes_that_touch_along_an_edge_are_not_pinched_besides() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup.extend(moved(&soup.clone(), [20.0, 20.0, 0.0]));
        let got = fans(&soup);
        assert!(got.pinched.is_empty());
        assert_eq!(got.of_shell, [8, 8]);
        assert_eq!(got.joined_at_edges, [[0, 1]]);
    }

    #[test]
    fn clean_shapes_have_one_fan_a_vertex() {
        let mut flipped = cuboid([0.0; 3], [20.0; 3]);
        flipped[3].swap(0, 1);
        let mut open = cuboid([0.0; 3], [20.0; 3]);
        open.remove(5);
        for (soup, vertices) in [(torus(64, 32, 20.0, 5.0), 2048), (flipped, 8), (open, 8)] {
            let got = fans(&soup);
            assert!(got.pinched.is_empty());
            assert_eq!(got.of_shell, [vertices]);
        }
    }

    #[test]
    fn two_open_sheets_that_touch_at_a_vertex_are_pinched() {
        let soup = [
            [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]],
            [[0.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, -1.0, 0.0]],
        ];
        assert_eq!(fans(&soup).pinched.len(), 1);
    }
}
