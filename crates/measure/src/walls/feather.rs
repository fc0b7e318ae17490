//! Feather edges: two faces that meet at a narrow angle. What tapers to nothing there is no wall.

use mesh::Mesh;
use mesh::tree::{NONE, Tree};
use mesh::vector::{Vec3, add, cross, distance, dot, scale, sub, unit};
use serde::{Deserialize, Serialize};

use super::ball::Ground;
use super::field::Reading;

/// A run of connected feather edges.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Feather {
    /// Middle of its narrowest edge, mm.
    pub at: Vec3,
    /// Angle between the two faces there, through the material, degrees.
    pub angle_deg: f64,
    /// Unit vector along the edge there.
    pub along: Vec3,
    /// Unit vector from the edge into the material there.
    pub inward: Vec3,
    /// Length of all its edges, mm.
    pub length_mm: f64,
}

impl Feather {
    /// How far from the edge the material is thinner than a bead, mm: bead / (2 sin(a/2)), along a face.
    pub fn recedes_mm(&self, bead_mm: f64) -> f64 {
        bead_mm / (2.0 * libm::sin(0.5 * self.angle_deg.to_radians()))
    }

    /// Whether the edge points into the cone of half angle `cone_deg` about the unit vector `toward`.
    pub fn looks_along(&self, toward: Vec3, cone_deg: f64) -> bool {
        dot(scale(self.inward, -1.0), toward) >= libm::cos(cone_deg.to_radians())
    }
}

/// One edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edge {
    ends: [u32; 2],
    middle: Vec3,
    along: Vec3,
    inward: Vec3,
    length: f64,
    /// Half the angle through the material: its sine.
    half_sine: f64,
}

/// Faces that meet at 60 degrees or less: normals at least 120 degrees apart.
const NARROW: f64 = -0.5;
/// Below two degrees the faces are a sheet: its thickness is a wall's.
const SHEET_HALF_SINE: f64 = 0.0175;

/// Every feather edge of a mesh that really tapers over the depth where it is thinner than a bead.
pub(super) fn edges(ground: &Ground, bead_mm: f64) -> Vec<Edge> {
    let mesh = ground.mesh;
    let pairs = sharp_pairs(mesh, ground.normals);
    parallel::map(&pairs, |_, &(f, g, ends)| {
        let edge = edge(mesh, ground.normals, f, g, ends)?;
        tapers(ground.tree, &edge, bead_mm).then_some(edge)
    })
    .into_iter()
    .flatten()
    .collect()
}

/// Facet pairs whose normals are far enough apart, with the edge between them.
fn sharp_pairs(mesh: &Mesh, normals: &[Vec3]) -> Vec<(u32, u32, [u32; 2])> {
    // Half-edges by counting sort on the lower vertex.
    let mut start = vec![0u32; mesh.vertices.len() + 1];
    let each = |t: &[u32; 3]| [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])];
    for t in &mesh.triangles {
        for (a, b) in each(t) {
            start[a.min(b) as usize + 1] += 1;
        }
    }
    for v in 1..start.len() {
        start[v] += start[v - 1];
    }
    let mut at = start.clone();
    let mut halves = vec![(0u32, 0u32); 3 * mesh.triangles.len()];
    for (i, t) in mesh.triangles.iter().enumerate() {
        for (a, b) in each(t) {
            let slot = &mut at[a.min(b) as usize];
            halves[*slot as usize] = (a.max(b), i as u32);
            *slot += 1;
        }
    }
    let found = parallel::chunks(mesh.vertices.len(), 8192, |range| {
        let mut out = Vec::new();
        let mut bucket = Vec::new();
        for v in range {
            bucket.clear();
            bucket.extend_from_slice(&halves[start[v] as usize..start[v + 1] as usize]);
            bucket.sort_unstable();
            for pair in bucket.chunk_by(|a, b| a.0 == b.0) {
                // More than two faces at an edge: which two belong together is not known.
                if let [(high, f), (_, g)] = *pair
                    && dot(normals[f as usize], normals[g as usize]) <= NARROW
                {
                    out.push((f, g, [v as u32, high]));
                }
            }
        }
        out
    });
    found.concat()
}

fn edge(mesh: &Mesh, normals: &[Vec3], f: u32, g: u32, ends: [u32; 2]) -> Option<Edge> {
    let (nf, ng) = (normals[f as usize], normals[g as usize]);
    let [a, b] = ends.map(|v| mesh.vertices[v as usize].map(f64::from));
    let apex = |t: u32| {
        let v = mesh.triangles[t as usize]
            .into_iter()
            .find(|v| !ends.contains(v))?;
        Some(mesh.vertices[v as usize].map(f64::from))
    };
    // Convex: each face's third corner lies behind the other face.
    if dot(nf, sub(apex(g)?, a)) >= 0.0 || dot(ng, sub(apex(f)?, a)) >= 0.0 {
        return None;
    }
    let along = unit(sub(b, a))?;
    // Normals at the angle 180 - a: their sum is 2 sin(a/2) long and points away from the material.
    let sum = add(nf, ng);
    let half_sine = 0.5 * dot(sum, sum).sqrt();
    let inward = unit(scale(sum, -1.0))?;
    (half_sine >= SHEET_HALF_SINE).then(|| Edge {
        ends,
        middle: scale(add(a, b), 0.5),
        along,
        inward,
        length: distance(a, b),
        half_sine,
    })
}

/// Whether the material is as thin as the wedge says half-way to where a bead fits: slivers and folds are not.
fn tapers(tree: &Tree, edge: &Edge, bead_mm: f64) -> bool {
    let deep = 0.5 * bead_mm / (2.0 * edge.half_sine);
    let at = add(edge.middle, scale(edge.inward, deep));
    let Some(across) = unit(cross(edge.along, edge.inward)) else {
        return false;
    };
    let half = |way: Vec3| {
        tree.first_hit(at, way.map(|x| x + 0.0), 4.0 * bead_mm, NONE)
            .filter(|hit| !hit.outer)
            .map(|hit| hit.t)
    };
    let tangent = edge.half_sine / (1.0 - edge.half_sine * edge.half_sine).sqrt();
    let expected = 2.0 * deep * tangent;
    match (half(across), half(scale(across, -1.0))) {
        (Some(a), Some(b)) => (0.5 * expected..=2.0 * expected).contains(&(a + b)),
        _ => false,
    }
}

/// Edges that hang together by their ends, as one feather each, in the order of their first edges.
pub(super) fn chains(edges: &[Edge]) -> Vec<Feather> {
    let mut by_vertex: Vec<(u32, usize)> = edges
        .iter()
        .enumerate()
        .flat_map(|(i, e)| e.ends.map(|v| (v, i)))
        .collect();
    by_vertex.sort_unstable();
    let mut parent: Vec<usize> = (0..edges.len()).collect();
    fn root(parent: &mut [usize], mut i: usize) -> usize {
        while parent[i] != i {
            parent[i] = parent[parent[i]];
            i = parent[i];
        }
        i
    }
    for pair in by_vertex.windows(2) {
        if pair[0].0 == pair[1].0 {
            let (a, b) = (root(&mut parent, pair[0].1), root(&mut parent, pair[1].1));
            parent[a.max(b)] = a.min(b);
        }
    }
    let mut chains: Vec<Option<(Feather, f64)>> = vec![None; edges.len()];
    for (i, edge) in edges.iter().enumerate() {
        let chain = &mut chains[root(&mut parent, i)];
        let feather = Feather {
            at: edge.middle,
            angle_deg: (2.0 * libm::asin(edge.half_sine)).to_degrees(),
            along: edge.along,
            inward: edge.inward,
            length_mm: edge.length,
        };
        match chain {
            None => *chain = Some((feather, edge.half_sine)),
            Some((known, sine)) => {
                let length = known.length_mm + edge.length;
                if edge.half_sine < *sine {
                    *known = feather;
                    *sine = edge.half_sine;
                }
                known.length_mm = length;
            }
        }
    }
    chains.into_iter().flatten().map(|(f, _)| f).collect()
}

/// Finds whether the wedge that a reading sees ends in a feather edge.
pub(super) struct Apexes {
    /// Points along the edges by cell, ascending.
    points: Vec<([i32; 3], Vec3)>,
}

/// Side of a cell, mm; points stand this far apart along an edge.
const CELL_MM: f64 = 1.0;

impl Apexes {
    pub(super) fn new(edges: &[Edge]) -> Apexes {
        let mut points = Vec::new();
        for edge in edges {
            let n = (edge.length / CELL_MM).ceil().max(1.0) as usize;
            for k in 0..=n {
                let s = (k as f64 / n as f64 - 0.5) * edge.length;
                let p = add(edge.middle, scale(edge.along, s));
                points.push((cell(p), p));
            }
        }
        points.sort_by_key(|p| p.0);
        Apexes { points }
    }

    /// Whether the two contact planes of a reading meet near a feather edge.
    pub(super) fn holds(&self, reading: &Reading, outward: Vec3) -> bool {
        if self.points.is_empty() || reading.rate <= 0.0 {
            return false;
        }
        let to = sub(reading.contact, reading.centre);
        let Some(toward) = unit(sub(to, scale(outward, dot(to, outward)))) else {
            return false;
        };
        let away = reading.thickness_mm / reading.rate;
        let apex = add(reading.at, scale(toward, away));
        // Points stand a cell apart along the edge; curved faces miss their edge by a part of the way.
        let miss = 0.75 * CELL_MM + 0.25 * away;
        let reach = (miss / CELL_MM).ceil() as i32;
        // Wedges of a few degrees: the edge is too far away to say.
        if reach > 4 {
            return false;
        }
        let [x, y, z] = cell(apex);
        for dx in -reach..=reach {
            for dy in -reach..=reach {
                let from = [x + dx, y + dy, z - reach];
                let to = [x + dx, y + dy, z + reach];
                let start = self.points.partition_point(|p| p.0 < from);
                for (key, p) in &self.points[start..] {
                    if *key > to {
                        break;
                    }
                    if distance(*p, apex) <= miss {
                        return true;
                    }
                }
            }
        }
        false
    }
}

fn cell(p: Vec3) -> [i32; 3] {
    p.map(|x| (x / CELL_MM).floor() as i32)
}
