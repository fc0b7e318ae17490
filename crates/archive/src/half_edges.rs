//! Half-edges of a triangle list, those of one edge together, and whether every one has a partner.

/// A half-edge: corner `id % 3` of triangle `id / 3` to the next corner.
pub(crate) type HalfEdge = u32;

/// The vertices a half-edge runs from and to.
pub(crate) fn ends(triangles: &[[u32; 3]], h: HalfEdge) -> (u32, u32) {
    let t = triangles[h as usize / 3];
    let k = h as usize % 3;
    (t[k], t[(k + 1) % 3])
}

/// All half-edges, those of one edge together; edges in the order of their vertex ids. A counting sort on the
/// lower id leaves only the few half-edges around one vertex to be sorted.
pub(crate) fn by_edge(triangles: &[[u32; 3]]) -> Vec<(u32, u32, HalfEdge)> {
    let count = 3 * triangles.len() as u32;
    let vertices = triangles
        .iter()
        .flatten()
        .max()
        .map_or(0, |&v| v as usize + 1);
    let mut start = vec![0u32; vertices + 1];
    for h in 0..count {
        let (a, b) = ends(triangles, h);
        start[a.min(b) as usize + 1] += 1;
    }
    for v in 0..vertices {
        start[v + 1] += start[v];
    }
    let mut all = vec![(0, 0, 0); count as usize];
    for h in 0..count {
        let (a, b) = ends(triangles, h);
        let slot = &mut start[a.min(b) as usize];
        all[*slot as usize] = (a.min(b), a.max(b), h);
        *slot += 1;
    }
    all.chunk_by_mut(|p, q| p.0 == q.0)
        .for_each(|around| around.sort_unstable());
    all
}

/// Whether two entries belong to one edge.
pub(crate) fn same_edge(a: &(u32, u32, HalfEdge), b: &(u32, u32, HalfEdge)) -> bool {
    (a.0, a.1) == (b.0, b.1)
}

/// How many half-edges have no partner that runs the other way; 0 for a closed mesh.
pub fn open_edges(triangles: &[[u32; 3]]) -> usize {
    by_edge(triangles)
        .chunk_by(same_edge)
        .map(|edge| {
            let forward = edge
                .iter()
                .filter(|(a, _, h)| ends(triangles, *h).0 == *a)
                .count();
            forward.abs_diff(edge.len() - forward)
        })
        .sum()
}

/// The vertices of edges that have a half-edge without partner, ascending.
pub fn rim_vertices(triangles: &[[u32; 3]]) -> Vec<u32> {
    let half_edges = by_edge(triangles);
    let mut rim: Vec<u32> = half_edges
        .chunk_by(same_edge)
        .filter(|edge| {
            let forward = edge.iter().filter(|(a, _, h)| ends(triangles, *h).0 == *a);
            2 * forward.count() != edge.len()
        })
        .flat_map(|edge| [edge[0].0, edge[0].1])
        .collect();
    rim.sort_unstable();
    rim.dedup();
    rim
}

/// The next corner of the same triangle.
pub(crate) fn next(h: HalfEdge) -> HalfEdge {
    if h % 3 == 2 { h - 2 } else { h + 1 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stl::tests::{cube, tetrahedron};

    #[test]
    fn edges_are_counted_as_euler_has_it() {
        // Cube: V 8, E 18, F 12; tetrahedron: V 4, E 6, F 4 (V - E + F = 2).
        for (mesh, edges) in [(cube([0.0; 3]), 18), (tetrahedron([0.0; 3]), 6)] {
            let all = by_edge(&mesh.triangles);
            assert!(all.is_sorted());
            assert_eq!(all.chunk_by(same_edge).count(), edges);
            assert_eq!(open_edges(&mesh.triangles), 0);
            assert!(rim_vertices(&mesh.triangles).is_empty());
        }
        assert_eq!(open_edges(&[]), 0);
    }

    #[test]
    fn holes_and_turned_facets_are_open() {
        let mut open = tetrahedron([0.0; 3]);
        let [a, b, c] = open.triangles.pop().expect("four");
        assert_eq!(open_edges(&open.triangles), 3);
        let mut rim = [a, b, c];
        rim.sort_unstable();
        assert_eq!(rim_vertices(&open.triangles), rim);
        let mut turned = tetrahedron([0.0; 3]);
        turned.triangles[0].swap(0, 1);
        // Each edge of the turned facet runs twice the same way.
        assert_eq!(open_edges(&turned.triangles), 6);
    }
}
