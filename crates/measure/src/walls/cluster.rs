//! Readings that belong to one thin place: neighbours on the surface, and the two walls of one wall.

use mesh::vector::{Vec3, add, dot, scale, unit};

use super::field::Reading;

/// Side of a cell, mm: readings in one cell that face the same way are one node.
const CELL_MM: f64 = 1.0;
/// Neighbours face the same way within 60 degrees.
const SAME_FACE: f64 = 0.5;
/// Two readings are neighbours up to this many spacings apart: the diagonal of their lattice, with room.
const LINK: f64 = 1.5;

type Cell = [i32; 3];

/// A cell and the face of a cube that its readings look through.
type Key = (Cell, u8);

struct Node {
    key: Key,
    /// Mean direction towards the air.
    outward: Vec3,
    spacing: f64,
    readings: Vec<u32>,
}

fn cell_of(p: Vec3) -> Cell {
    p.map(|x| (x / CELL_MM).floor() as i32)
}

fn face_of(outward: Vec3) -> u8 {
    let mut face = 0;
    for k in 1..3 {
        if outward[k].abs() > outward[face].abs() {
            face = k;
        }
    }
    (face * 2) as u8 + u8::from(outward[face] < 0.0)
}

/// Groups readings into places; each group holds indices into `readings`, ascending, and the groups stand in
/// the order of their first readings in space. `normals` are those of the facets.
pub(super) fn clusters(readings: &[Reading], normals: &[Vec3]) -> Vec<Vec<u32>> {
    let nodes = nodes(readings, normals);
    let mut parent: Vec<u32> = (0..nodes.len() as u32).collect();
    for (i, node) in nodes.iter().enumerate() {
        link_neighbours(&nodes, i, node, &mut parent);
        link_opposite(&nodes, readings, normals, i, node, &mut parent);
    }
    let mut groups: Vec<Vec<u32>> = vec![Vec::new(); nodes.len()];
    for (i, node) in nodes.iter().enumerate() {
        groups[root(&mut parent, i as u32) as usize].extend(&node.readings);
    }
    groups.retain(|g| !g.is_empty());
    for group in &mut groups {
        group.sort_unstable();
    }
    groups
}

fn nodes(readings: &[Reading], normals: &[Vec3]) -> Vec<Node> {
    let mut keyed: Vec<(Key, u32)> = readings
        .iter()
        .enumerate()
        .map(|(i, r)| {
            let face = face_of(normals[r.triangle as usize]);
            ((cell_of(r.at), face), i as u32)
        })
        .collect();
    keyed.sort_unstable();
    keyed
        .chunk_by(|a, b| a.0 == b.0)
        .map(|run| {
            let mut outward = [0.0; 3];
            let mut spacing = 0.0f64;
            for &(_, i) in run {
                let r = &readings[i as usize];
                outward = add(outward, normals[r.triangle as usize]);
                spacing = spacing.max(r.spacing_mm);
            }
            Node {
                key: run[0].0,
                outward: unit(outward).unwrap_or([0.0; 3]),
                spacing,
                readings: run.iter().map(|&(_, i)| i).collect(),
            }
        })
        .collect()
}

fn link_neighbours(nodes: &[Node], i: usize, node: &Node, parent: &mut [u32]) {
    let reach = (LINK * node.spacing / CELL_MM).ceil().max(1.0) as i32;
    let ([x, y, z], _) = node.key;
    for dx in -reach..=reach {
        for dy in -reach..=reach {
            // A row of cells is a run of the sorted keys.
            let from = ([x + dx, y + dy, z - reach], 0);
            let to = ([x + dx, y + dy, z + reach], u8::MAX);
            let start = nodes.partition_point(|n| n.key < from);
            for (j, other) in nodes.iter().enumerate().skip(start) {
                if other.key > to {
                    break;
                }
                if j != i && dot(node.outward, other.outward) >= SAME_FACE {
                    join(parent, i as u32, j as u32);
                }
            }
        }
    }
}

/// Joins the two faces of a wall: the nodes at the contacts of a node's readings.
fn link_opposite(
    nodes: &[Node],
    readings: &[Reading],
    normals: &[Vec3],
    i: usize,
    node: &Node,
    parent: &mut [u32],
) {
    let middle = node.readings[node.readings.len() / 2];
    let reading = &readings[middle as usize];
    let facing = normals[reading.opposite as usize];
    let reach = (LINK * node.spacing / CELL_MM).ceil().max(1.0) as i32;
    let [x, y, z] = cell_of(reading.contact);
    for dx in -reach..=reach {
        for dy in -reach..=reach {
            let from = ([x + dx, y + dy, z - reach], 0);
            let to = ([x + dx, y + dy, z + reach], u8::MAX);
            let start = nodes.partition_point(|n| n.key < from);
            for (j, other) in nodes.iter().enumerate().skip(start) {
                if other.key > to {
                    break;
                }
                if dot(facing, other.outward) >= SAME_FACE {
                    join(parent, i as u32, j as u32);
                }
            }
        }
    }
}

fn root(parent: &mut [u32], mut i: u32) -> u32 {
    while parent[i as usize] != i {
        parent[i as usize] = parent[parent[i as usize] as usize];
        i = parent[i as usize];
    }
    i
}

fn join(parent: &mut [u32], a: u32, b: u32) {
    let (a, b) = (root(parent, a), root(parent, b));
    parent[a.max(b) as usize] = a.min(b);
}

/// Longest side of the box around some readings, mm.
pub(super) fn extent(readings: &[Reading], group: &[u32]) -> f64 {
    let mut low = [f64::INFINITY; 3];
    let mut high = [f64::NEG_INFINITY; 3];
    for &i in group {
        for k in 0..3 {
            let x = readings[i as usize].at[k];
            low[k] = low[k].min(x);
            high[k] = high[k].max(x);
        }
    }
    let size = add(high, scale(low, -1.0));
    dot(size, size).sqrt()
}
