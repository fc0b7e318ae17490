//! The second topology: what an open mesh would be if vertices that nearly meet were one.
//!
//! Nothing is changed: the merge is tried on a copy and both answers are kept. Vertices at most the tolerance apart
//! are one, and so are chains of such. Merging cannot open a surface that is closed, so only open ones are tried.
//! The least distance at which the rims close is looked for among the distances of rim vertices.
//!
//! Cost: a grid of cells four tolerances wide; the pairs looked at are bounded, beyond that the merge is not measured.

use crate::edges::{Edges, ends};
use crate::shape::Mesh;
use crate::vector::{distance, wide};

/// The most pairs of vertices whose distance is looked at.
const MOST_PAIRS: usize = 30_000_000;

/// Beyond so many rim edges, or near pairs of their vertices, the distance at which they close is not looked for.
const MOST_RIM_EDGES: usize = 200_000;
const MOST_RIM_PAIRS: usize = 1_000_000;

/// What merging gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Merged {
    /// Vertices at most this far apart were one, mm.
    pub tolerance_mm: f64,
    /// Vertices less than before.
    pub vertices_merged: usize,
    /// Facets that merging left without a surface.
    pub facets_collapsed: usize,
    /// Edges with one face, after.
    pub boundary_edges: usize,
    /// Edges with more than two faces, after.
    pub crowded_edges: usize,
    /// Edges with two faces that walk it the same way, after.
    pub same_direction: usize,
    /// The mesh has no rim any more.
    pub closes: bool,
    /// The least distance at which it has none, mm, where merging rim vertices alone does it.
    pub closes_at_mm: Option<f64>,
    /// Half-edges of the original mesh that still have no partner, ascending.
    pub still_loose: Vec<u32>,
}

/// The mesh with vertices at most the tolerance apart made one, and how many vertices vanished. `None` where vertices
/// crowd so much that too many pairs would have to be looked at. Facets that lose their surface are left out; `filed`
/// then holds each facet's number in the mesh given.
pub fn merged(mesh: &Mesh, tolerance_mm: f64) -> Option<(Mesh, usize)> {
    let all: Vec<u32> = (0..mesh.vertices.len() as u32).collect();
    let mut leader = all.clone();
    near_pairs(mesh, &all, tolerance_mm, |_, a, b| unite(&mut leader, a, b))?;
    drop(all);
    let mut merged = 0;
    for v in 0..leader.len() as u32 {
        leader[v as usize] = find(&mut leader, v);
        merged += usize::from(leader[v as usize] != v);
    }
    let mut second = Mesh {
        vertices: mesh.vertices.clone(),
        triangles: Vec::with_capacity(mesh.triangles.len()),
        filed: Vec::with_capacity(mesh.triangles.len()),
    };
    for (t, corners) in mesh.triangles.iter().enumerate() {
        let [a, b, c] = corners.map(|v| leader[v as usize]);
        if a != b && b != c && c != a {
            second.triangles.push([a, b, c]);
            second.filed.push(t as u32);
        }
    }
    Some((second, merged))
}

/// Tries the merge. `None` where vertices crowd so much that too many pairs would have to be looked at.
pub fn merge(mesh: &Mesh, edges: &Edges, tolerance_mm: f64) -> Option<Merged> {
    let (second, merged) = merged(mesh, tolerance_mm)?;
    let after = Edges::build(&second);
    let still_loose = after
        .loose
        .iter()
        .map(|h| 3 * second.filed[*h as usize / 3] + h % 3)
        .collect();
    Some(Merged {
        tolerance_mm,
        vertices_merged: merged,
        facets_collapsed: mesh.triangles.len() - second.triangles.len(),
        boundary_edges: after.boundary_edges,
        crowded_edges: after.crowded_edges(),
        same_direction: after.same_direction,
        closes: after.closed(),
        closes_at_mm: if after.closed() {
            closes_at(mesh, edges, tolerance_mm)
        } else {
            None
        },
        still_loose,
    })
}

/// The least distance at which joining rim vertices leaves every rim edge an even number of times.
fn closes_at(mesh: &Mesh, edges: &Edges, tolerance_mm: f64) -> Option<f64> {
    if edges.loose.len() > MOST_RIM_EDGES {
        return None;
    }
    let lines: Vec<[u32; 2]> = edges.loose.iter().map(|&h| ends(mesh, h)).collect();
    let mut on_rims: Vec<u32> = lines.iter().flatten().copied().collect();
    on_rims.sort_unstable();
    on_rims.dedup();
    let mut pairs = Vec::new();
    near_pairs(mesh, &on_rims, tolerance_mm, |d, a, b| {
        // As many as are kept; one more tells that some are missing.
        if pairs.len() <= MOST_RIM_PAIRS {
            pairs.push((d, a, b));
        }
    })?;
    if pairs.len() > MOST_RIM_PAIRS {
        return None;
    }
    pairs.sort_by(|x, y| x.0.total_cmp(&y.0).then((x.1, x.2).cmp(&(y.1, y.2))));
    let number = |v: u32| on_rims.partition_point(|&w| w < v) as u32;
    let numbered: Vec<[u32; 2]> = lines.iter().map(|l| l.map(number)).collect();
    let joined: Vec<[u32; 2]> = pairs.iter().map(|p| [number(p.1), number(p.2)]).collect();
    let closes = |first: usize| {
        let mut leader: Vec<u32> = (0..on_rims.len() as u32).collect();
        for &[a, b] in &joined[..first] {
            unite(&mut leader, a, b);
        }
        let mut left: Vec<[u32; 2]> = Vec::with_capacity(numbered.len());
        for line in &numbered {
            let [a, b] = line.map(|v| find(&mut leader, v));
            if a != b {
                left.push([a.min(b), a.max(b)]);
            }
        }
        left.sort_unstable();
        left.chunk_by(|a, b| a == b).all(|same| same.len() % 2 == 0)
    };
    if !closes(pairs.len()) {
        return None;
    }
    // Closed stays closed as more vertices join, so the least number of pairs can be halved down to.
    let (mut no, mut yes) = (0, pairs.len());
    while yes - no > 1 {
        let middle = no + (yes - no) / 2;
        if closes(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    pairs.get(yes.checked_sub(1)?).map(|p| p.0)
}

/// Calls `found` for pairs of the given vertices (lower first) at most `reach` apart, with their distance.
/// `None` where too many pairs would have to be looked at.
fn near_pairs(
    mesh: &Mesh,
    vertices: &[u32],
    reach: f64,
    mut found: impl FnMut(f64, u32, u32),
) -> Option<()> {
    if !(reach > 0.0 && reach.is_finite()) {
        return Some(());
    }
    let Some(bounds) = mesh.bounds() else {
        return Some(());
    };
    let width = 4.0 * reach;
    let at = |v: u32| wide(mesh.vertices[v as usize]);
    let cell = |v: u32| [0, 1, 2].map(|k| ((at(v)[k] - bounds.min[k]) / width).floor());
    let key = |c: [f64; 3]| {
        // Distinct cells may share a key; their vertices are then compared in vain.
        c.iter().fold(0u64, |h, &x| {
            (h ^ (x as i64 as u64))
                .wrapping_mul(0x9e37_79b9_7f4a_7c15)
                .rotate_left(29)
        })
    };
    let mut sorted: Vec<(u64, u32)> = vertices.iter().map(|&v| (key(cell(v)), v)).collect();
    parallel::sort_by_key(&mut sorted, |&e| e);
    let index = Index::new(&sorted);
    let mut looked = 0;
    for &v in vertices {
        let p = at(v);
        let own = cell(v);
        // A cell is four reaches wide: at most one neighbour on each axis is near.
        let step = [0, 1, 2].map(|k| {
            let inside = p[k] - bounds.min[k] - own[k] * width;
            if inside < reach {
                -1.0
            } else if inside > width - reach {
                1.0
            } else {
                0.0
            }
        });
        for corner in 0..8 {
            let used = [0, 1, 2].map(|k| corner >> k & 1 == 1);
            if (0..3).any(|k| used[k] && step[k] == 0.0) {
                continue;
            }
            let neighbour = [0, 1, 2].map(|k| own[k] + if used[k] { step[k] } else { 0.0 });
            for &(_, w) in index.of(&sorted, key(neighbour)) {
                looked += 1;
                // Another cell with the same key would give a pair twice.
                if w > v && cell(w) == neighbour {
                    let d = distance(p, at(w));
                    if d <= reach {
                        found(d, v, w);
                    }
                }
            }
        }
        if looked > MOST_PAIRS {
            return None;
        }
    }
    Some(())
}

/// Where the run of a key begins in a sorted list: open addressing by the key's high bits.
struct Index {
    slots: Vec<u32>,
    shift: u32,
}

impl Index {
    fn new(sorted: &[(u64, u32)]) -> Index {
        let slots = (2 * sorted.len()).next_power_of_two().max(16);
        let mut index = Index {
            slots: vec![u32::MAX; slots],
            shift: 64 - slots.trailing_zeros(),
        };
        for (i, e) in sorted.iter().enumerate() {
            if i == 0 || sorted[i - 1].0 != e.0 {
                let mut slot = index.first_slot(e.0);
                while index.slots[slot] != u32::MAX {
                    slot = (slot + 1) & (slots - 1);
                }
                index.slots[slot] = i as u32;
            }
        }
        index
    }

    fn first_slot(&self, key: u64) -> usize {
        (key.wrapping_mul(0xbf58_476d_1ce4_e5b9) >> self.shift) as usize
    }

    fn of<'a>(&self, sorted: &'a [(u64, u32)], key: u64) -> &'a [(u64, u32)] {
        let mut slot = self.first_slot(key);
        loop {
            match self.slots[slot] {
                u32::MAX => return &[],
                i if sorted[i as usize].0 == key => {
                    let rest = &sorted[i as usize..];
                    return &rest[..rest.iter().take_while(|e| e.0 == key).count()];
                }
                _ => slot = (slot + 1) & (self.slots.len() - 1),
            }
        }
    }
}

fn unite(leader: &mut [u32], a: u32, b: u32) {
    let (a, b) = (find(leader, a), find(leader, b));
    leader[a.max(b) as usize] = a.min(b);
}

fn find(leader: &mut [u32], mut x: u32) -> u32 {
    while leader[x as usize] != x {
        leader[x as usize] = leader[leader[x as usize] as usize];
        x = leader[x as usize];
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{Soup, cuboid, torus, welded};

    fn merged(soup: &[[[f32; 3]; 3]], tolerance: f64) -> Merged {
        let mesh = welded(soup);
        merge(&mesh, &Edges::build(&mesh), tolerance).expect("few pairs")
    }

    #[test]
    fn a_crack_of_20_nanometres_closes_at_20_nanometres() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup[0][0][0] += 2e-5;
        let got = merged(&soup, 1e-5 * 20.0 * 3f64.sqrt());
        assert!(got.closes);
        assert_eq!(got.vertices_merged, 1);
        let at = got.closes_at_mm.unwrap_or(0.0);
        assert!((at - f64::from(2e-5f32)).abs() < 1e-12, "{at}");
    }

    #[test]
    fn the_widest_of_several_cracks_decides() {
        let mut soup = torus(24, 16, 20.0, 5.0);
        for (i, d) in [(100, 3e-5f32), (300, 9e-5), (500, 6e-5)] {
            soup[i][0][2] += d;
        }
        let wide = f64::from(torus(24, 16, 20.0, 5.0)[300][0][2]);
        let moved = f64::from(soup[300][0][2]);
        let got = merged(&soup, 2e-4);
        assert!(got.closes);
        assert!((got.closes_at_mm.unwrap_or(0.0) - (moved - wide)).abs() < 1e-12);
        assert!(!merged(&soup, 8e-5).closes);
    }

    #[test]
    fn a_hole_does_not_close() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup.remove(0);
        let got = merged(&soup, 1e-3);
        assert!(!got.closes);
        assert_eq!(got.boundary_edges, 3);
        assert_eq!(got.closes_at_mm, None);
        assert_eq!(got.still_loose.len(), 3);
    }

    #[test]
    fn a_soup_shaken_by_little_closes_whole() {
        // Every corner is a vertex of its own, off by up to 1e-5: all 3 F edges are open, and all close.
        let clean = torus(24, 16, 20.0, 5.0);
        let mut k = 0u32;
        let soup: Soup = clean
            .iter()
            .map(|t| {
                t.map(|p| {
                    k = k.wrapping_mul(1_664_525).wrapping_add(1_013_904_223); // Numerical Recipes' quick generator
                    [
                        p[0] + (k >> 16) as f32 * 1e-10 + 1e-6,
                        p[1],
                        p[2] + 1e-6 * (k & 7) as f32,
                    ]
                })
            })
            .collect();
        let got = merged(&soup, 1e-3);
        assert!(got.closes && got.crowded_edges == 0);
        assert!(got.closes_at_mm.is_some_and(|d| d < 2e-5));
    }

    #[test]
    fn vertices_that_crowd_are_not_measured_rather_than_waited_for() {
        // 20,000 vertices within a tolerance: 4e8 pairs.
        let soup: Soup = (0..7000)
            .map(|i| [0, 1, 2].map(|k| [i as f32 * 1e-6, k as f32 * 1e-6, (i * k) as f32 * 1e-9]))
            .collect();
        let mesh = welded(&soup);
        assert_eq!(merge(&mesh, &Edges::build(&mesh), 1.0), None);
    }
}
