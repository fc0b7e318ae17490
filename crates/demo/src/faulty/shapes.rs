//! Loose facets for small kits: boxes, prisms, sweeps. Nothing is welded or checked; most are sound solids.

pub(crate) use crate::write::Facet;

/// The eight corners of a box: bit 0 is x, bit 1 is y, bit 2 is z.
pub(crate) fn corners(min: [f32; 3], max: [f32; 3]) -> [[f32; 3]; 8] {
    std::array::from_fn(|k| {
        std::array::from_fn(|axis| {
            if k >> axis & 1 == 1 {
                max[axis]
            } else {
                min[axis]
            }
        })
    })
}

/// The twelve triangles of a hexahedron over [`corners`], outward: bottom, top, then the sides.
pub(crate) const HEXAHEDRON: [[usize; 3]; 12] = [
    [0, 2, 3],
    [0, 3, 1],
    [4, 5, 7],
    [4, 7, 6],
    [0, 1, 5],
    [0, 5, 4],
    [1, 3, 7],
    [1, 7, 5],
    [3, 2, 6],
    [3, 6, 7],
    [2, 0, 4],
    [2, 4, 6],
];

/// A body from eight corners in the order of [`corners`].
pub(crate) fn hexahedron(corners: [[f32; 3]; 8]) -> Vec<Facet> {
    HEXAHEDRON.iter().map(|t| t.map(|v| corners[v])).collect()
}

/// A box from its least corner to its greatest.
pub(crate) fn cuboid(min: [f32; 3], max: [f32; 3]) -> Vec<Facet> {
    hexahedron(corners(min, max))
}

/// The block that most kits are about: 20 x 20 x 10 mm.
pub(crate) fn block() -> Vec<Facet> {
    cuboid([0.0; 3], [20.0, 20.0, 10.0])
}

/// The same facets, each turned the other way.
pub(crate) fn turned(facets: &[Facet]) -> Vec<Facet> {
    facets.iter().map(|[a, b, c]| [*a, *c, *b]).collect()
}

/// The same facets, mirrored in x and turned so that they still look outward.
pub(crate) fn mirrored_x(facets: &[Facet]) -> Vec<Facet> {
    let mirrored: Vec<Facet> = facets
        .iter()
        .map(|f| f.map(|[x, y, z]| [0.0 - x, y, z]))
        .collect();
    turned(&mirrored)
}

/// An outline in the xz plane with a flat foot, raised along y: `heights[k]` reaches from `xs[k]` to
/// `xs[k + 1]`.
pub(crate) fn skyline(xs: &[f32], heights: &[f32], depth: f32) -> Vec<Facet> {
    let outline: Vec<[f64; 2]> = [[f64::from(xs[0]), 0.0]]
        .into_iter()
        .chain([[f64::from(xs[heights.len()]), 0.0]])
        .chain((0..heights.len()).rev().flat_map(|k| {
            let h = f64::from(heights[k]);
            [[f64::from(xs[k + 1]), h], [f64::from(xs[k]), h]]
        }))
        .collect();
    extruded(&[outline], depth)
}

/// An outline with holes in the xz plane, raised along y from 0 to `depth`.
pub(crate) fn extruded(outlines: &[Vec<[f64; 2]>], depth: f32) -> Vec<Facet> {
    let surface = crate::solid::Solid::extruded_along_y(outlines, 0.0, f64::from(depth)).facets();
    surface
        .iter()
        .map(|f| f.map(|p| p.map(|x| x as f32)))
        .collect()
}

/// A square bar of `side` swept along a flat path at right angles, ends closed: one shell, even where the
/// path meets itself. Its lower side lies on z = 0.
pub(crate) fn swept(path: &[[f32; 2]], side: f32) -> Vec<Facet> {
    let half = side / 2.0;
    let unit = |a: [f32; 2], b: [f32; 2]| {
        let d = [b[0] - a[0], b[1] - a[1]];
        let l = d[0].abs() + d[1].abs();
        [d[0] / l, d[1] / l]
    };
    // The left side of the bar at each point; at a right-angled corner the mitre is the sum of both lefts.
    let section = |k: usize| {
        let before = (k > 0).then(|| unit(path[k - 1], path[k]));
        let after = (k + 1 < path.len()).then(|| unit(path[k], path[k + 1]));
        let mut left = [0.0; 2];
        for [x, y] in [before, after].into_iter().flatten() {
            left = [left[0] - y, left[1] + x];
        }
        let [x, y] = path[k];
        let l = [x + half * left[0], y + half * left[1]];
        let r = [x - half * left[0], y - half * left[1]];
        [
            [l[0], l[1], 0.0],
            [r[0], r[1], 0.0],
            [r[0], r[1], side],
            [l[0], l[1], side],
        ]
    };
    let mut facets = Vec::new();
    for k in 0..path.len() - 1 {
        let (a, b) = (section(k), section(k + 1));
        for i in 0..4 {
            let j = (i + 1) % 4;
            facets.push([a[i], b[j], a[j]]);
            facets.push([a[i], b[i], b[j]]);
        }
    }
    let (first, last) = (section(0), section(path.len() - 1));
    facets.push([first[0], first[1], first[2]]);
    facets.push([first[0], first[2], first[3]]);
    facets.push([last[0], last[2], last[1]]);
    facets.push([last[0], last[3], last[2]]);
    facets
}
