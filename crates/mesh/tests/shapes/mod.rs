//! Shapes with known answers, made by formula: for the tests and benchmarks of this crate.
#![allow(dead_code)]

use std::collections::BTreeMap;

use mesh::Mesh;

/// The twelve triangles of an axis-aligned box, turned outwards.
pub fn cuboid(min: [f32; 3], max: [f32; 3]) -> Mesh {
    let vertices = (0..8)
        .map(|i| [0, 1, 2].map(|k| if i >> k & 1 == 0 { min[k] } else { max[k] }))
        .collect();
    let quads: [[u32; 4]; 6] = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let triangles = quads
        .iter()
        .flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]])
        .collect();
    Mesh::new(vertices, triangles)
}

/// Meshes side by side, nothing welded.
pub fn together(meshes: &[Mesh]) -> Mesh {
    let mut vertices = Vec::new();
    let mut triangles = Vec::new();
    for mesh in meshes {
        let shift = vertices.len() as u32;
        vertices.extend(&mesh.vertices);
        triangles.extend(mesh.triangles.iter().map(|t| t.map(|v| v + shift)));
    }
    Mesh::new(vertices, triangles)
}

/// Every triangle turned over.
pub fn turned(mut mesh: Mesh) -> Mesh {
    for triangle in &mut mesh.triangles {
        triangle.swap(1, 2);
    }
    mesh
}

/// Equal vertices (by value) made one; unused ones dropped.
pub fn welded(mesh: &Mesh) -> Mesh {
    let mut ids = BTreeMap::new();
    let mut vertices = Vec::new();
    let triangles = mesh
        .triangles
        .iter()
        .map(|t| {
            t.map(|v| {
                let p = mesh.vertices[v as usize];
                *ids.entry(p.map(|x| (x + 0.0).to_bits()))
                    .or_insert_with(|| {
                        vertices.push(p);
                        vertices.len() as u32 - 1
                    })
            })
        })
        .collect();
    Mesh::new(vertices, triangles)
}

/// A ball of radius `r` around the origin: rings by meridians, poles at plus and minus z.
pub fn ball(r: f64, rings: usize, meridians: usize) -> Mesh {
    let mut vertices = vec![[0.0, 0.0, -r as f32]];
    for i in 1..rings {
        let polar = std::f64::consts::PI * i as f64 / rings as f64;
        for j in 0..meridians {
            let turn = std::f64::consts::TAU * j as f64 / meridians as f64;
            vertices.push([
                (r * libm::sin(polar) * libm::cos(turn)) as f32,
                (r * libm::sin(polar) * libm::sin(turn)) as f32,
                (-r * libm::cos(polar)) as f32,
            ]);
        }
    }
    vertices.push([0.0, 0.0, r as f32]);
    let top = vertices.len() as u32 - 1;
    let at = |i: usize, j: usize| (1 + (i - 1) * meridians + j % meridians) as u32;
    let mut triangles = Vec::new();
    for j in 0..meridians {
        triangles.push([0, at(1, j + 1), at(1, j)]);
        for i in 1..rings - 1 {
            triangles.push([at(i, j), at(i, j + 1), at(i + 1, j + 1)]);
            triangles.push([at(i, j), at(i + 1, j + 1), at(i + 1, j)]);
        }
        triangles.push([at(rings - 1, j), at(rings - 1, j + 1), top]);
    }
    Mesh::new(vertices, triangles)
}

/// A torus with waves on it, 2 n m triangles; radii 30 and 10 mm, waves of 1 mm.
pub fn bumpy_torus(n: usize, m: usize) -> Mesh {
    let mut vertices = Vec::with_capacity(n * m);
    for i in 0..n {
        let u = std::f64::consts::TAU * i as f64 / n as f64;
        for j in 0..m {
            let v = std::f64::consts::TAU * j as f64 / m as f64;
            let r = 10.0 + libm::sin(17.0 * u) * libm::sin(9.0 * v);
            let ring = 30.0 + r * libm::cos(v);
            vertices.push([
                (ring * libm::cos(u)) as f32,
                (ring * libm::sin(u)) as f32,
                (r * libm::sin(v)) as f32,
            ]);
        }
    }
    let at = |i: usize, j: usize| (i % n * m + j % m) as u32;
    let mut triangles = Vec::with_capacity(2 * n * m);
    for i in 0..n {
        for j in 0..m {
            triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
    Mesh::new(vertices, triangles)
}

/// A thick gyroid cut by a cube of 60 mm, by marching tetrahedra on `cells` cells a side. Closed; many
/// slivers. About 27 cells^2 triangles for each period of 20 mm.
pub fn gyroid(cells: usize) -> Mesh {
    let side = 60.0;
    let step = side / cells as f64;
    let n = cells + 1;
    let value = |i: usize, j: usize, k: usize| {
        let [x, y, z] = [i, j, k].map(|c| std::f64::consts::TAU * (c as f64 * step) / 20.0);
        let wave =
            libm::sin(x) * libm::cos(y) + libm::sin(y) * libm::cos(z) + libm::sin(z) * libm::cos(x);
        // Solid where the value is positive; the outermost points are outside.
        let border = [i, j, k].iter().any(|&c| c == 0 || c == cells);
        if border {
            -1.0
        } else {
            0.6 - wave.abs() + 1e-3
        }
    };
    let mut values = Vec::with_capacity(n * n * n);
    for k in 0..n {
        for j in 0..n {
            for i in 0..n {
                values.push(value(i, j, k));
            }
        }
    }
    let id = |p: [usize; 3]| p[0] + n * (p[1] + n * p[2]);
    // Along the three axes, the three face diagonals and the body diagonal: seven edges a grid point.
    let mut on_edge = vec![u32::MAX; 7 * n * n * n];
    let mut vertices: Vec<[f32; 3]> = Vec::new();
    let mut triangles = Vec::new();
    let orders = [
        [0, 1, 2],
        [0, 2, 1],
        [1, 0, 2],
        [1, 2, 0],
        [2, 0, 1],
        [2, 1, 0],
    ];
    for k in 0..cells {
        for j in 0..cells {
            for i in 0..cells {
                for (which, order) in orders.iter().enumerate() {
                    let mut corner = [[i, j, k]; 4];
                    for s in 1..4 {
                        corner[s] = corner[s - 1];
                        corner[s][order[s - 1]] += 1;
                    }
                    // Odd orders are left-handed tetrahedra.
                    let odd = matches!(which, 1 | 2 | 5);
                    let inside = corner.map(|p| values[id(p)] > 0.0);
                    let mut cut = |a: usize, b: usize| {
                        let (a, b) = if a < b { (a, b) } else { (b, a) };
                        let (p, q) = (corner[a], corner[b]);
                        let kind = (0..3).map(|c| (q[c] - p[c]) << c).sum::<usize>() - 1;
                        let slot = &mut on_edge[7 * id(p) + kind];
                        if *slot == u32::MAX {
                            let (u, v) = (values[id(p)], values[id(q)]);
                            let t = u / (u - v);
                            *slot = vertices.len() as u32;
                            vertices.push([0, 1, 2].map(|c| {
                                (step * (p[c] as f64 + t * (q[c] as f64 - p[c] as f64))) as f32
                            }));
                        }
                        *slot
                    };
                    let ins: Vec<usize> = (0..4).filter(|&c| inside[c]).collect();
                    let out: Vec<usize> = (0..4).filter(|&c| !inside[c]).collect();
                    let mut add = |t: [u32; 3], flip: bool| {
                        triangles.push(if flip != odd { [t[0], t[2], t[1]] } else { t });
                    };
                    // Parity of (ins, out) as a permutation of 0..4 decides the turn.
                    let sequence: Vec<usize> = ins.iter().chain(&out).copied().collect();
                    let mut parity = false;
                    for a in 0..4 {
                        for b in a + 1..4 {
                            parity ^= sequence[a] > sequence[b];
                        }
                    }
                    match ins.len() {
                        1 => add(
                            [
                                cut(ins[0], out[0]),
                                cut(ins[0], out[1]),
                                cut(ins[0], out[2]),
                            ],
                            parity,
                        ),
                        3 => add(
                            [
                                cut(ins[0], out[0]),
                                cut(ins[1], out[0]),
                                cut(ins[2], out[0]),
                            ],
                            parity,
                        ),
                        2 => {
                            let [a, b, c, d] = [
                                cut(ins[0], out[0]),
                                cut(ins[0], out[1]),
                                cut(ins[1], out[1]),
                                cut(ins[1], out[0]),
                            ];
                            add([a, b, c], parity);
                            add([a, c, d], parity);
                        }
                        _ => {}
                    }
                }
            }
        }
    }
    Mesh::new(vertices, triangles)
}

/// Random numbers by a fixed recipe (SplitMix64): the same on every machine.
pub struct Dice(pub u64);

impl Dice {
    /// The next number in 0..1.
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A point in the cube from -r to r.
    pub fn point(&mut self, r: f64) -> [f64; 3] {
        [0; 3].map(|_| r * (2.0 * self.unit() - 1.0))
    }
}
