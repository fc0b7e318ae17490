//! Laws of the topology of any soup at all: nothing hangs or panics, and the parts agree with each other.

use mesh::edges::{NONE, ends};
use mesh::merge::merge;
use mesh::nesting::Nesting;
use mesh::rims::rims;
use mesh::shapes::soup;
use mesh::{Topology, weld};
use proptest::prelude::*;

/// Triangles between the points of a small grid: edges crowd, facets repeat, vertices pinch, corners collapse.
fn tangle() -> impl Strategy<Value = Vec<[[f32; 3]; 3]>> {
    let point = [0u8..3, 0u8..2, 0u8..2].prop_map(|p| p.map(f32::from));
    prop::collection::vec([point.clone(), point.clone(), point], 0..60)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_tangle_is_told_apart(triangles in tangle()) {
        let (vertices, indices) = soup(&triangles);
        let welded = weld(vertices, indices, false);
        let mesh = &welded.mesh;
        prop_assert_eq!(mesh.check(), Vec::<String>::new());
        prop_assert_eq!(mesh.triangles.len() + welded.collapsed.filed.len(), triangles.len());
        let topology = Topology::build(mesh);
        let edges = &topology.edges;
        // Partners are mutual and share both ends; what has none is a rim, or a second copy.
        for (h, &twin) in edges.twins.iter().enumerate() {
            let h = h as u32;
            let counts = edges.counts(h / 3);
            if twin == NONE {
                prop_assert_eq!(edges.loose.binary_search(&h).is_ok(), counts);
            } else {
                prop_assert!(counts && twin != h);
                prop_assert_eq!(edges.twins[twin as usize], h);
                let (mut a, mut b) = (ends(mesh, h), ends(mesh, twin));
                let turned = a == b;
                prop_assert_eq!(edges.turned.binary_search(&[h.min(twin), h.max(twin)]).is_ok(), turned);
                a.sort_unstable();
                b.sort_unstable();
                prop_assert_eq!(a, b);
            }
        }
        // Every rim edge is on one rim, and rims are loops: an end is met as often as it is left.
        let found = rims(mesh, edges, 0.5);
        let mut on_rims: Vec<u32> = found.iter().flat_map(|r| r.half_edges.clone()).collect();
        on_rims.sort_unstable();
        prop_assert_eq!(&on_rims, &edges.loose);
        for rim in &found {
            let mut met: Vec<u32> = rim.half_edges.iter().flat_map(|&h| ends(mesh, h)).collect();
            met.sort_unstable();
            prop_assert!(met.chunk_by(|a, b| a == b).all(|v| v.len() % 2 == 0));
        }
        // Shells share no partners, and their sums are the whole.
        let shells = &topology.shells;
        for (h, &twin) in edges.twins.iter().enumerate() {
            if twin != NONE {
                prop_assert_eq!(shells.of_triangle[h / 3], shells.of_triangle[twin as usize / 3]);
            }
        }
        let facets: usize = shells.list.iter().map(|s| s.triangles).sum();
        prop_assert_eq!(facets + edges.repeated.len(), mesh.triangles.len());
        let area: f64 = shells.list.iter().map(|s| s.area_mm2).sum();
        prop_assert!((area - shells.mass.area_mm2).abs() < 1e-9);
        // A closed shell with two sides has an even Euler number.
        for s in 0..shells.list.len() {
            if topology.genus_of_shell(s).is_some() {
                prop_assert_eq!(topology.euler_of_shell(s) % 2, 0);
            }
        }
        // Merging cannot open what is closed.
        let merged = merge(mesh, edges, 1e-3).expect("few pairs");
        prop_assert!(!edges.closed() || merged.closes);
        let volume: Vec<f64> = (0..shells.list.len() as u32)
            .map(|s| topology.winding.volume_of(shells, s))
            .collect();
        let sealed: Vec<bool> = shells.list.iter().map(|s| s.closed()).collect();
        let nesting = Nesting::build(mesh, edges, shells, &volume, &sealed);
        let bodies: usize = nesting.bodies(&topology.fans.joined_at_edges).iter().map(Vec::len).sum();
        prop_assert!(bodies <= shells.list.len());
    }
}
