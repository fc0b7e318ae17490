//! Plain shapes whose volume, area and topology are known, as soups of triangles: each triangle has three points
//! of its own, as STL stores it. For tests and benchmarks of this and other crates; no stage uses them.

use crate::shape::Mesh;
use crate::weld::weld;

/// A soup: the corners of every triangle.
pub type Soup = Vec<[[f32; 3]; 3]>;

/// Plain arrays as a decoder hands them over.
pub fn soup(triangles: &[[[f32; 3]; 3]]) -> (Vec<[f32; 3]>, Vec<[u32; 3]>) {
    let vertices = triangles.iter().flatten().copied().collect();
    let indices = (0..triangles.len() as u32)
        .map(|t| [3 * t, 3 * t + 1, 3 * t + 2])
        .collect();
    (vertices, indices)
}

/// The welded mesh of a soup.
pub fn welded(triangles: &[[[f32; 3]; 3]]) -> Mesh {
    let (vertices, indices) = soup(triangles);
    weld(vertices, indices, false).mesh
}

/// A box from `min` to `max` (mm), twelve triangles, outward.
pub fn cuboid(min: [f32; 3], max: [f32; 3]) -> Soup {
    let p = |i: usize| [0, 1, 2].map(|k| if i >> k & 1 == 1 { max[k] } else { min[k] });
    // Corner i has bit 0 for x, 1 for y, 2 for z; each quad turns counter-clockwise seen from outside.
    let quads = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    quads
        .iter()
        .flat_map(|q| [[p(q[0]), p(q[1]), p(q[2])], [p(q[0]), p(q[2]), p(q[3])]])
        .collect()
}

/// The cube from 0 to 1.
pub fn unit_cube() -> Soup {
    cuboid([0.0; 3], [1.0; 3])
}

/// The same surface turned inside out.
pub fn reversed(soup: &[[[f32; 3]; 3]]) -> Soup {
    soup.iter().map(|t| [t[0], t[2], t[1]]).collect()
}

/// A soup moved by `d` (mm).
pub fn moved(soup: &[[[f32; 3]; 3]], d: [f32; 3]) -> Soup {
    soup.iter()
        .map(|t| t.map(|p| [p[0] + d[0], p[1] + d[1], p[2] + d[2]]))
        .collect()
}

/// A body of revolution about z with the outline (radius, height) in mm, from the foot up along the outside, `n` sides
/// around; facets without area, as at the axis, are left out.
pub fn revolved(outline: &[[f64; 2]], n: usize) -> Soup {
    let at = |k: usize, [r, z]: [f64; 2]| -> [f32; 3] {
        let a = std::f64::consts::TAU * (k % n) as f64 / n as f64;
        [
            (r * libm::cos(a)) as f32,
            (r * libm::sin(a)) as f32,
            z as f32,
        ]
    };
    let mut out = Soup::new();
    for k in 0..n {
        for w in outline.windows(2) {
            let [a, b, c, d] = [at(k, w[0]), at(k + 1, w[0]), at(k + 1, w[1]), at(k, w[1])];
            out.push([a, b, c]);
            out.push([a, c, d]);
        }
    }
    out.retain(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0]);
    out
}

/// A torus of `n` x `m` quads (radius `big` of the centre line, `small` of the tube), each split in two;
/// mm, outward. Volume in closed form: `n sin(2 pi / n) big (m / 2) sin(2 pi / m) small^2`.
pub fn torus(n: usize, m: usize, big: f64, small: f64) -> Soup {
    let point = |i: usize, j: usize| -> [f32; 3] {
        let u = std::f64::consts::TAU * (i % n) as f64 / n as f64;
        let v = std::f64::consts::TAU * (j % m) as f64 / m as f64;
        let r = big + small * libm::cos(v);
        [
            (r * libm::cos(u)) as f32,
            (r * libm::sin(u)) as f32,
            (small * libm::sin(v)) as f32,
        ]
    };
    let mut out = Vec::with_capacity(2 * n * m);
    for i in 0..n {
        for j in 0..m {
            let [a, b, c, d] = [
                point(i, j),
                point(i + 1, j),
                point(i + 1, j + 1),
                point(i, j + 1),
            ];
            out.push([a, b, c]);
            out.push([a, c, d]);
        }
    }
    out
}

/// A torus of `n` x `m` quads whose tube swells and shrinks, mm: a smooth closed surface of any fineness.
pub fn bumpy_torus(n: usize, m: usize) -> Soup {
    let point = |i: usize, j: usize| -> [f32; 3] {
        let u = std::f64::consts::TAU * (i % n) as f64 / n as f64;
        let v = std::f64::consts::TAU * (j % m) as f64 / m as f64;
        let tube = 10.0 + libm::sin(17.0 * u) * libm::cos(5.0 * v);
        let r = 40.0 + tube * libm::cos(v);
        [
            (r * libm::cos(u)) as f32,
            (r * libm::sin(u)) as f32,
            (tube * libm::sin(v)) as f32,
        ]
    };
    let grid: Vec<[f32; 3]> = (0..n * m).map(|k| point(k / m, k % m)).collect();
    let at = |i: usize, j: usize| grid[(i % n) * m + j % m];
    let mut out = Vec::with_capacity(2 * n * m);
    for i in 0..n {
        for j in 0..m {
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            out.push([a, b, c]);
            out.push([a, c, d]);
        }
    }
    out
}

/// The same triangles in another order (Fisher and Yates), each begun at another corner; `seed` chooses.
pub fn shuffled(soup: &[[[f32; 3]; 3]], seed: u64) -> Soup {
    let mut out = soup.to_vec();
    // Knuth's linear congruential generator for MMIX; the high bits are used.
    let mut state = seed;
    let mut below = |n: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (((state >> 32) * n as u64) >> 32) as usize
    };
    for i in (1..out.len()).rev() {
        out.swap(i, below(i + 1));
        out[i].rotate_left(below(3));
    }
    out
}
