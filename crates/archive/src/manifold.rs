//! Splitting vertices where bodies touch, so that a mesh is closed by vertex index.
//!
//! The 3MF core standard 1.4 asks in 4.1 that every edge be shared by exactly one other triangle, matched by
//! vertex index, and in 4.1.3 allows duplicate vertices exactly where merging would break that. Exact welding
//! makes such edges and vertices wherever two bodies touch along an edge or in a point; splitting undoes it
//! without moving anything.

use std::collections::{BTreeMap, BTreeSet};

use crate::half_edges::{HalfEdge, by_edge, ends, next, open_edges, same_edge};
use mesh::vector::{Vec3, cross, dot, scale, sub, unit, wide};

/// A mesh whose every edge has two triangles, by index.
#[derive(Debug, Clone, PartialEq)]
pub struct Split {
    /// Positions; where sheets were parted, the same position stands more than once.
    pub vertices: Vec<[f32; 3]>,
    /// Triangles by vertices; those along a halved edge are halved too.
    pub triangles: Vec<[u32; 3]>,
}

/// Why a mesh has no form with two triangles at every edge.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{open_edges} triangle edges have no partner that runs the other way")]
pub struct OpenFault {
    /// Half-edges without a partner.
    pub open_edges: usize,
}

/// Splits vertices so that every edge has two triangles and every vertex one fan, by index. At an edge with
/// four or more triangles those are paired that have material between them; where that does not part the edge
/// (two cavities that touch), those that have space between them. Where sheets hang together at both ends of
/// the edge neither does, and the edge is halved at its midpoint, once for each pair.
///
/// # Errors
/// [`OpenFault`]: the mesh is not closed.
pub fn split(vertices: &[[f32; 3]], triangles: &[[u32; 3]]) -> Result<Split, OpenFault> {
    let open_edges = open_edges(triangles);
    if open_edges != 0 {
        return Err(OpenFault { open_edges });
    }
    let parted = |by_space: &BTreeSet<(u32, u32)>| {
        let pairs = pairs(vertices, triangles, by_space);
        let parted = part(vertices, triangles, pairs.iter().copied());
        let crowded = parted.crowded_edges();
        (pairs, parted, crowded)
    };
    let (pairs, by_material, crowded) = parted(&BTreeSet::new());
    if crowded.is_empty() {
        return Ok(by_material.split);
    }
    let (_, by_space, still) = parted(&crowded);
    if still.is_empty() {
        return Ok(by_space.split);
    }
    Ok(halved(vertices, triangles, &pairs, &crowded))
}

/// A split mesh that remembers where its vertices come from.
struct Parted {
    split: Split,
    vertex_of: Vec<u32>,
}

impl Parted {
    /// Edges that still have more than two triangles, by the vertices they had before.
    fn crowded_edges(&self) -> BTreeSet<(u32, u32)> {
        let old = |v: u32| self.vertex_of[v as usize];
        by_edge(&self.split.triangles)
            .chunk_by(same_edge)
            .filter(|edge| edge.len() != 2)
            .map(|edge| (old(edge[0].0), old(edge[0].1)))
            .map(|(a, b)| (a.min(b), a.max(b)))
            .collect()
    }
}

/// Half-edges in pairs, forward and backward, two at each edge or as many pairs as the edge has. Triangles at a
/// crowded edge are paired by the material between them, at the edges of `by_space` by the space.
fn pairs(
    vertices: &[[f32; 3]],
    triangles: &[[u32; 3]],
    by_space: &BTreeSet<(u32, u32)>,
) -> Vec<(HalfEdge, HalfEdge)> {
    let mut pairs = Vec::with_capacity(3 * triangles.len() / 2);
    for edge in by_edge(triangles).chunk_by(same_edge) {
        let (forward, backward): (Vec<HalfEdge>, Vec<HalfEdge>) = edge
            .iter()
            .map(|&(_, _, h)| h)
            .partition(|&h| ends(triangles, h).0 == edge[0].0);
        if let ([there], [back]) = (&forward[..], &backward[..]) {
            pairs.push((*there, *back));
        } else {
            let space = by_space.contains(&(edge[0].0, edge[0].1));
            pairs.extend(around(vertices, triangles, &forward, &backward, space));
        }
    }
    pairs
}

/// Halves the edges of `crowded` at their midpoints, a midpoint of its own for each pair of triangles, and their
/// triangles with them; then parts the result.
fn halved(
    vertices: &[[f32; 3]],
    triangles: &[[u32; 3]],
    pairs: &[(HalfEdge, HalfEdge)],
    crowded: &BTreeSet<(u32, u32)>,
) -> Split {
    let mut vertices = vertices.to_vec();
    let mut middle: BTreeMap<HalfEdge, u32> = BTreeMap::new();
    for &(there, back) in pairs {
        let (a, b) = ends(triangles, there);
        if crowded.contains(&(a.min(b), a.max(b))) {
            let [p, q] = [a, b].map(|v| wide(vertices[v as usize]));
            middle.insert(there, vertices.len() as u32);
            middle.insert(back, vertices.len() as u32);
            vertices.push([0, 1, 2].map(|k| (0.5 * (p[k] + q[k])) as f32));
        }
    }
    let mut finer = Vec::with_capacity(triangles.len() + middle.len());
    for (t, &corners) in triangles.iter().enumerate() {
        let h = 3 * t as u32;
        let middles = [h, h + 1, h + 2].map(|h| middle.get(&h).copied());
        halve(corners, middles, &mut finer);
    }
    let none = BTreeSet::new();
    let pairs = self::pairs(&vertices, &finer, &none);
    part(&vertices, &finer, pairs.into_iter()).split
}

/// Cuts a triangle at the midpoints of its edges, from each to the corner opposite.
fn halve(corners: [u32; 3], middles: [Option<u32>; 3], out: &mut Vec<[u32; 3]>) {
    let Some(k) = middles.iter().position(Option::is_some) else {
        out.push(corners);
        return;
    };
    let [a, b, apex] = [0, 1, 2].map(|i| corners[(k + i) % 3]);
    let m = middles[k].unwrap_or(a);
    halve([a, m, apex], [None, None, middles[(k + 2) % 3]], out);
    halve([m, b, apex], [None, middles[(k + 1) % 3], None], out);
}

/// Parts the sheets: corners of paired triangles at the ends of their edge are one vertex, and no others.
fn part(
    vertices: &[[f32; 3]],
    triangles: &[[u32; 3]],
    pairs: impl Iterator<Item = (HalfEdge, HalfEdge)>,
) -> Parted {
    let mut sheets = Sheets((0..3 * triangles.len() as u32).collect());
    for (there, back) in pairs {
        sheets.join(there, next(back));
        sheets.join(next(there), back);
    }
    // A sheet around a vertex is named by its least corner; new vertices in the order (old vertex, sheet).
    let corners = 3 * triangles.len() as u32;
    let corner_vertex = |c: u32| triangles[c as usize / 3][c as usize % 3];
    let mut names: Vec<(u32, u32)> = (0..corners)
        .filter(|&c| sheets.root(c) == c)
        .map(|c| (corner_vertex(c), c))
        .collect();
    names.sort_unstable();
    let mut number = vec![0u32; corners as usize];
    for (new, &(_, root)) in names.iter().enumerate() {
        number[root as usize] = new as u32;
    }
    let mut split = vec![[0u32; 3]; triangles.len()];
    for c in 0..corners {
        let root = sheets.root(c);
        split[c as usize / 3][c as usize % 3] = number[root as usize];
    }
    let vertex_of: Vec<u32> = names.into_iter().map(|(v, _)| v).collect();
    Parted {
        split: Split {
            vertices: vertex_of.iter().map(|&v| vertices[v as usize]).collect(),
            triangles: split,
        },
        vertex_of,
    }
}

/// Corners that belong to one sheet: union-find, the least corner is the root.
struct Sheets(Vec<u32>);

impl Sheets {
    fn root(&mut self, mut c: u32) -> u32 {
        while self.0[c as usize] != c {
            self.0[c as usize] = self.0[self.0[c as usize] as usize];
            c = self.0[c as usize];
        }
        c
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b) as usize] = a.min(b);
    }
}

/// Pairs the triangles around a crowded edge. Seen along the edge, material lies clockwise of a forward
/// triangle and counter-clockwise of a backward one; so walking counter-clockwise, a backward triangle opens
/// a wedge of material and a forward one closes it, like brackets. With `space` it is the other way round.
/// Gives pairs of a forward and a backward half-edge.
fn around(
    vertices: &[[f32; 3]],
    triangles: &[[u32; 3]],
    forward: &[HalfEdge],
    backward: &[HalfEdge],
    space: bool,
) -> Vec<(HalfEdge, HalfEdge)> {
    let (a, b) = ends(triangles, forward[0]);
    let at = |v: u32| wide(vertices[v as usize]);
    let axis = unit(sub(at(b), at(a))).unwrap_or([0.0, 0.0, 1.0]);
    // Any fixed vector that is not along the axis spans the plane across it.
    let flattest = (0..3).fold(0, |m, k| if axis[k].abs() < axis[m].abs() { k } else { m });
    let mut helper = [0.0; 3];
    helper[flattest] = 1.0;
    let x = sub(helper, scale(axis, dot(helper, axis)));
    let y = cross(axis, x);
    let angle = |h: HalfEdge| {
        let apex = triangles[h as usize / 3][(h as usize + 2) % 3];
        let w: Vec3 = sub(at(apex), at(a));
        libm::atan2(dot(w, y), dot(w, x))
    };
    let mut fan: Vec<(f64, bool, HalfEdge)> = Vec::new();
    fan.extend(backward.iter().map(|&h| (angle(h), space, h)));
    fan.extend(forward.iter().map(|&h| (angle(h), !space, h)));
    fan.sort_by(|p, q| p.0.total_cmp(&q.0).then((p.1, p.2).cmp(&(q.1, q.2))));
    // Twice around: brackets that are open at the end of the first turn close in the second.
    let mut open: Vec<HalfEdge> = Vec::new();
    let mut pairs = Vec::new();
    let mut closed = vec![false; fan.len()];
    for step in 0..2 * fan.len() {
        let (_, closes, h) = fan[step % fan.len()];
        if !closes && step < fan.len() {
            open.push(h);
        } else if closes
            && !closed[step % fan.len()]
            && let Some(opened) = open.pop()
        {
            closed[step % fan.len()] = true;
            pairs.push(if space { (opened, h) } else { (h, opened) });
        }
    }
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stl::tests::{cube, joined, tetrahedron};

    fn counts(vertices: &[[f32; 3]], triangles: &[[u32; 3]]) -> (usize, usize, usize) {
        let s = split(vertices, triangles).expect("closed");
        let edges = by_edge(&s.triangles);
        assert!(edges.chunk_by(same_edge).all(|e| e.len() == 2));
        assert_eq!(open_edges(&s.triangles), 0);
        if s.triangles.len() == triangles.len() {
            for (new, old) in s.triangles.iter().zip(triangles) {
                assert_eq!(
                    new.map(|v| s.vertices[v as usize]),
                    old.map(|v| vertices[v as usize])
                );
            }
        }
        (s.vertices.len(), edges.len() / 2, s.triangles.len())
    }

    /// Counts V, E, F by Euler and Poincare (derived): two separate cubes have 16, 36, 24 however they touch.
    #[test]
    fn touching_cubes_come_apart() {
        let alone = cube([0.0; 3]);
        assert_eq!(counts(&alone.vertices, &alone.triangles), (8, 18, 12));
        let at_edge = joined(&cube([0.0; 3]), &cube([1.0, 1.0, 0.0]));
        assert_eq!(at_edge.vertices.len(), 14);
        assert_eq!(counts(&at_edge.vertices, &at_edge.triangles), (16, 36, 24));
        let at_vertex = joined(&cube([0.0; 3]), &cube([1.0, 1.0, 1.0]));
        assert_eq!(at_vertex.vertices.len(), 15);
        assert_eq!(
            counts(&at_vertex.vertices, &at_vertex.triangles),
            (16, 36, 24)
        );
    }

    #[test]
    fn the_bodies_on_an_edge_are_told_apart_by_their_material() {
        let at_edge = joined(&cube([0.0; 3]), &cube([1.0, 1.0, 0.0]));
        let s = split(&at_edge.vertices, &at_edge.triangles).expect("closed");
        let of = |range: std::ops::Range<usize>| -> std::collections::BTreeSet<u32> {
            s.triangles[range].iter().flatten().copied().collect()
        };
        assert!(of(0..12).is_disjoint(&of(12..24)));
    }

    #[test]
    fn two_cavities_that_touch_along_an_edge_come_apart() {
        let cavity = |x, y, z| z == 1 && [(1, 2), (2, 1)].contains(&(x, y));
        let within = |k: i32| (0..4).contains(&k);
        let mesh = voxels(4, |x, y, z| {
            within(x) && within(y) && within(z) && !cavity(x, y, z)
        });
        assert_eq!(open_edges(&mesh.triangles), 0);
        let (v, e, f) = counts(&mesh.vertices, &mesh.triangles);
        // Three closed shells of genus 0: V - E + F = 2 S (Euler and Poincare).
        assert_eq!(v + f - e, 6);
        assert_eq!(v, mesh.vertices.len() + 2);
    }

    #[test]
    fn a_wall_with_a_cube_missing_on_each_side_of_an_edge_is_parted() {
        // A checkerboard tower on a floor: the columns touch along edges that start in the floor's face.
        let mesh = voxels(4, |x, y, z| {
            let within = (0..4).contains(&x) && (0..4).contains(&y) && (0..3).contains(&z);
            within && (z == 0 || (x + y) % 2 == 0)
        });
        let (v, e, f) = counts(&mesh.vertices, &mesh.triangles);
        assert_eq!((e * 2, f % 2), (f * 3, 0));
        assert!(v > mesh.vertices.len());
    }

    #[test]
    fn an_edge_whose_sheets_hang_together_at_both_ends_is_halved() {
        let mesh = joined(&cube([0.0; 3]), &cube([1.0, 1.0, 0.0]));
        let none = BTreeSet::new();
        let edge = by_edge(&mesh.triangles)
            .chunk_by(same_edge)
            .find(|e| e.len() == 4)
            .map(|e| (e[0].0, e[0].1))
            .expect("the shared edge");
        // Two cubes come apart without it; halved all the same, each gets a midpoint of its own.
        let pairs = pairs(&mesh.vertices, &mesh.triangles, &none);
        let s = halved(&mesh.vertices, &mesh.triangles, &pairs, &[edge].into());
        assert_eq!((s.vertices.len(), s.triangles.len()), (18, 28));
        let midpoint = s.vertices.iter().filter(|p| **p == [1.0, 1.0, 0.5]);
        assert_eq!(midpoint.count(), 2);
        assert!(
            by_edge(&s.triangles)
                .chunk_by(same_edge)
                .all(|e| e.len() == 2)
        );
        let volume = |vertices: &[[f32; 3]], triangles: &[[u32; 3]]| -> f64 {
            let at = |v: u32| wide(vertices[v as usize]);
            let six = |t: &[u32; 3]| dot(at(t[0]), cross(at(t[1]), at(t[2])));
            triangles.iter().map(six).sum::<f64>() / 6.0
        };
        assert!((volume(&s.vertices, &s.triangles) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn triangles_are_halved_at_any_of_their_edges() {
        for mask in 0..8u32 {
            let middles = [0, 1, 2].map(|k| (mask >> k & 1 == 1).then_some(3 + k));
            let mut out = Vec::new();
            halve([0, 1, 2], middles, &mut out);
            assert_eq!(out.len() as u32, 1 + mask.count_ones());
            // Corners and midpoints of a right triangle of area 2: the pieces add up, all wound alike.
            let at = [[0, 0], [2, 0], [0, 2], [1, 0], [1, 1], [0, 1]];
            let doubled: i32 = out
                .iter()
                .map(|t| {
                    let [a, b, c] = t.map(|v| at[v as usize]);
                    let area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
                    assert!(area > 0);
                    area
                })
                .sum();
            assert_eq!(doubled, 4);
        }
    }

    /// The surface of all unit cells that are solid, welded.
    fn voxels(n: i32, solid: impl Fn(i32, i32, i32) -> bool) -> mesh::Mesh {
        let mut all = mesh::Mesh::default();
        for (x, y, z) in (0..n * n * n).map(|i| (i % n, i / n % n, i / n / n)) {
            if !solid(x, y, z) {
                continue;
            }
            let mut cell = cube([x as f32, y as f32, z as f32]);
            // cube() lists two triangles a face: -z, +z, -y, +y, -x, +x.
            let beyond = [
                (0, 0, -1),
                (0, 0, 1),
                (0, -1, 0),
                (0, 1, 0),
                (-1, 0, 0),
                (1, 0, 0),
            ];
            let kept = cell
                .triangles
                .chunks(2)
                .zip(beyond)
                .filter(|(_, (i, j, k))| !solid(x + i, y + j, z + k))
                .flat_map(|(pair, _)| pair.to_vec())
                .collect();
            cell = mesh::Mesh::new(cell.vertices, kept);
            all = joined(&all, &cell);
        }
        all
    }

    #[test]
    fn open_meshes_are_not_split() {
        let mut open = tetrahedron([0.0; 3]);
        open.triangles.pop();
        assert_eq!(open_edges(&open.triangles), 3);
        assert_eq!(
            split(&open.vertices, &open.triangles),
            Err(OpenFault { open_edges: 3 })
        );
    }
}
