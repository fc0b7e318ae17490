//! Self-intersections of published meshes as libigl and CGAL count them: tests/witness/self_intersections.txt, made by
//! the script beside it. Reads the folder named by KITPROOF_OPEN_DATA; says so where it is unset.

use std::path::Path;

use mesh::crossing::{Limits, crossings};
use mesh::decode::{DecodeLimits, Format, decode};
use mesh::tree::Tree;

const COUNTS: &str = include_str!("../../../tests/witness/self_intersections.txt");

#[test]
fn published_meshes_have_as_many_pairs_as_the_reference_libraries_count() {
    let Some(folder) = std::env::var_os("KITPROOF_OPEN_DATA") else {
        println!("not run: KITPROOF_OPEN_DATA is not set");
        return;
    };
    let room = DecodeLimits {
        max_triangles: 10_000_000,
        max_unpacked_bytes: 0,
    };
    let limits = Limits {
        steps: 1 << 40,
        pairs: 0,
    };
    let mut compared = 0;
    for line in COUNTS.lines().filter(|l| !l.starts_with('#')) {
        let mut words = line.split_whitespace();
        let mut next = || {
            words
                .next()
                .unwrap_or_else(|| panic!("a short line: {line}"))
        };
        let (facets, igl, cgal) = (next(), next(), next());
        // libigl leaves out folds over a common edge; CGAL counts them and takes manifolds only.
        let expected: u64 = if cgal == "-" { igl } else { cgal }
            .parse()
            .unwrap_or_else(|e| panic!("{line}: {e}"));
        // Columns of 6, 5 and 5 characters with a blank between, then two blanks and the name.
        let name = line.get(20..).unwrap_or_else(|| panic!("no name: {line}"));
        let bytes =
            std::fs::read(Path::new(&folder).join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        let decoded =
            decode(&bytes, Format::Stl, None, &room).unwrap_or_else(|e| panic!("{name}: {e}"));
        let welded = mesh::weld(decoded.vertices, decoded.triangles, false).mesh;
        let (mesh, tree) = Tree::build(welded);
        let shell_of = vec![0; mesh.triangles.len()];
        let found = crossings(&mesh, &tree, &shell_of, &limits);
        assert_eq!(mesh.triangles.len().to_string(), facets, "{name}: facets");
        assert_eq!(found.total(), expected, "{name}");
        compared += 1;
    }
    assert!(compared > 100, "only {compared} meshes in the table");
}
