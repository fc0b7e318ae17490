//! Shapes whose thinnest wall is known from how they are made.
#![allow(dead_code, reason = "each suite takes the shapes it needs")]

use mesh::Mesh;
use mesh::shapes::{Soup, cuboid, reversed, welded};
use mesh::tree::Tree;

/// A mesh and its tree from a soup.
pub fn built(soup: &Soup) -> (Mesh, Tree) {
    Tree::build(welded(soup))
}

/// A polygon (counter-clockwise, convex) drawn up from z = 0 to `height`.
pub fn prism(outline: &[[f64; 2]], height: f64) -> Soup {
    let n = outline.len();
    let low = |i: usize| point(outline[i % n][0], outline[i % n][1], 0.0);
    let high = |i: usize| point(outline[i % n][0], outline[i % n][1], height);
    let mut out = Soup::new();
    for i in 0..n {
        out.extend(quad(low(i), low(i + 1), high(i + 1), high(i)));
        if i + 2 < n {
            out.push([low(0), low(i + 2), low(i + 1)]);
            out.push([high(0), high(i + 1), high(i + 2)]);
        }
    }
    out
}

/// A regular polygon of `n` corners on a circle, counter-clockwise.
pub fn ngon(n: usize, radius: f64) -> Vec<[f64; 2]> {
    (0..n)
        .map(|i| {
            let a = std::f64::consts::TAU * i as f64 / n as f64;
            [radius * libm::cos(a), radius * libm::sin(a)]
        })
        .collect()
}

/// A tube of n-gons between two radii, from z = 0 to `height`.
pub fn tube(n: usize, outer: f64, inner: f64, height: f64) -> Soup {
    let (o, i) = (ngon(n, outer), ngon(n, inner));
    let p = |ring: &[[f64; 2]], k: usize, z: f64| point(ring[k % n][0], ring[k % n][1], z);
    let mut out = Soup::new();
    for k in 0..n {
        out.extend(quad(
            p(&o, k, 0.0),
            p(&o, k + 1, 0.0),
            p(&o, k + 1, height),
            p(&o, k, height),
        ));
        out.extend(quad(
            p(&i, k + 1, 0.0),
            p(&i, k, 0.0),
            p(&i, k, height),
            p(&i, k + 1, height),
        ));
        out.extend(quad(
            p(&o, k, height),
            p(&o, k + 1, height),
            p(&i, k + 1, height),
            p(&i, k, height),
        ));
        out.extend(quad(
            p(&o, k + 1, 0.0),
            p(&o, k, 0.0),
            p(&i, k, 0.0),
            p(&i, k + 1, 0.0),
        ));
    }
    out
}

/// A box of 40 x 30 x 20 hollowed from above, walls and floor of `wall`.
pub fn cup(wall: f64) -> Soup {
    let (w, d, h) = (40.0, 30.0, 20.0);
    let outer = [[0.0, 0.0], [w, 0.0], [w, d], [0.0, d]];
    let inner = [
        [wall, wall],
        [w - wall, wall],
        [w - wall, d - wall],
        [wall, d - wall],
    ];
    let mut out = Soup::new();
    let at = |p: [f64; 2], z: f64| point(p[0], p[1], z);
    for k in 0..4 {
        let l = (k + 1) % 4;
        out.extend(quad(
            at(outer[k], 0.0),
            at(outer[l], 0.0),
            at(outer[l], h),
            at(outer[k], h),
        ));
        out.extend(quad(
            at(inner[l], wall),
            at(inner[k], wall),
            at(inner[k], h),
            at(inner[l], h),
        ));
        out.extend(quad(
            at(outer[k], h),
            at(outer[l], h),
            at(inner[l], h),
            at(inner[k], h),
        ));
    }
    out.extend(quad(
        at(outer[0], 0.0),
        at(outer[3], 0.0),
        at(outer[2], 0.0),
        at(outer[1], 0.0),
    ));
    out.extend(quad(
        at(inner[0], wall),
        at(inner[1], wall),
        at(inner[2], wall),
        at(inner[3], wall),
    ));
    out
}

/// The wedge (0,0) (30,0) (30,6) (0,end) drawn up 20 mm.
pub fn wedge(end: f64) -> Soup {
    prism(&[[0.0, 0.0], [30.0, 0.0], [30.0, 6.0], [0.0, end]], 20.0)
}

/// A ball of `radius` about the origin: each face of an icosahedron split `f` x `f`.
pub fn ball(f: usize, radius: f64) -> Soup {
    let t = f64::midpoint(1.0, 5.0f64.sqrt());
    let corners = [
        [-1.0, t, 0.0],
        [1.0, t, 0.0],
        [-1.0, -t, 0.0],
        [1.0, -t, 0.0],
        [0.0, -1.0, t],
        [0.0, 1.0, t],
        [0.0, -1.0, -t],
        [0.0, 1.0, -t],
        [t, 0.0, -1.0],
        [t, 0.0, 1.0],
        [-t, 0.0, -1.0],
        [-t, 0.0, 1.0],
    ];
    let faces = [
        [0, 11, 5],
        [0, 5, 1],
        [0, 1, 7],
        [0, 7, 10],
        [0, 10, 11],
        [1, 5, 9],
        [5, 11, 4],
        [11, 10, 2],
        [10, 7, 6],
        [7, 1, 8],
        [3, 9, 4],
        [3, 4, 2],
        [3, 2, 6],
        [3, 6, 8],
        [3, 8, 9],
        [4, 9, 5],
        [2, 4, 11],
        [6, 2, 10],
        [8, 6, 7],
        [9, 8, 1],
    ];
    let mut out = Soup::new();
    for face in faces {
        let [a, b, c] = face.map(|i: usize| corners[i]);
        let p = |i: usize, j: usize| {
            // The weights in order of the corners' places, so that neighbours get the same bits.
            let mut terms = [(a, f - i - j), (b, i), (c, j)];
            terms.sort_by(|x, y| x.0.partial_cmp(&y.0).expect("finite"));
            let mut q = [0.0f64; 3];
            for (corner, weight) in terms {
                for k in 0..3 {
                    q[k] += corner[k] * weight as f64;
                }
            }
            let s = radius / (q[0] * q[0] + q[1] * q[1] + q[2] * q[2]).sqrt();
            point(q[0] * s, q[1] * s, q[2] * s)
        };
        for i in 0..f {
            for j in 0..f - i {
                out.push([p(i, j), p(i + 1, j), p(i, j + 1)]);
                if i + j + 1 < f {
                    out.push([p(i + 1, j), p(i + 1, j + 1), p(i, j + 1)]);
                }
            }
        }
    }
    out
}

/// A hollow ball: walls between two radii.
pub fn shell(f: usize, outer: f64, inner: f64) -> Soup {
    let mut out = ball(f, outer);
    out.extend(reversed(&ball(f, inner)));
    out
}

/// A plate of 100 x 60 x `thick` with 24 holes of radius 1.6 on a grid of 15 mm.
pub fn plate(thick: f64) -> Soup {
    let n = 64;
    let rim = ngon(n, 1.6);
    let mut flat: Vec<[[f64; 2]; 3]> = Vec::new();
    let mut walls: Vec<[[f64; 2]; 2]> = Vec::new();
    for i in 0..6 {
        for j in 0..4 {
            let c = [12.5 + 15.0 * i as f64, 7.5 + 15.0 * j as f64];
            let corner = |k: usize| {
                let s = [[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]][k % 4];
                [c[0] + 7.5 * s[0], c[1] + 7.5 * s[1]]
            };
            let hole = |k: usize| [c[0] + rim[k % n][0], c[1] + rim[k % n][1]];
            for q in 0..4 {
                // Corner q looks at the quarter of the circle about its own diagonal.
                for k in 0..n / 4 {
                    let a = q * n / 4 + k;
                    flat.push([corner(q), hole(a + 1), hole(a)]);
                }
                flat.push([corner(q), corner(q + 1), hole((q + 1) * n / 4)]);
            }
            for k in 0..n {
                walls.push([hole(k), hole(k + 1)]);
            }
        }
    }
    for j in 0..4 {
        let (y0, y1) = (15.0 * j as f64, 15.0 * (j + 1) as f64);
        for (x0, x1) in [(0.0, 5.0), (95.0, 100.0)] {
            flat.push([[x0, y0], [x1, y0], [x1, y1]]);
            flat.push([[x0, y0], [x1, y1], [x0, y1]]);
        }
    }
    let mut border: Vec<[f64; 2]> = vec![[0.0, 0.0]];
    border.extend((0..=6).map(|i| [5.0 + 15.0 * i as f64, 0.0]));
    border.extend((0..=4).map(|j| [100.0, 15.0 * j as f64]));
    border.extend((0..=6).rev().map(|i| [5.0 + 15.0 * i as f64, 60.0]));
    border.extend((1..=4).rev().map(|j| [0.0, 15.0 * j as f64]));
    let mut out = Soup::new();
    for [a, b, c] in flat {
        let turn = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        let (b, c) = if turn > 0.0 { (b, c) } else { (c, b) };
        let at = |p: [f64; 2], z: f64| point(p[0], p[1], z);
        out.push([at(a, thick), at(b, thick), at(c, thick)]);
        out.push([at(a, 0.0), at(c, 0.0), at(b, 0.0)]);
    }
    let mut wall = |a: [f64; 2], b: [f64; 2]| {
        out.extend(quad(
            point(a[0], a[1], 0.0),
            point(b[0], b[1], 0.0),
            point(b[0], b[1], thick),
            point(a[0], a[1], thick),
        ));
    };
    for k in 0..border.len() {
        wall(border[k], border[(k + 1) % border.len()]);
    }
    for [a, b] in walls {
        wall(b, a);
    }
    out
}

/// A base with things that stand on it, in one closed surface: cells of a grid with a height each.
/// `x` and `y` are the grid lines, `heights[i][j]` the height over cell i, j.
pub fn terrain(x: &[f64], y: &[f64], heights: &[Vec<f64>]) -> Soup {
    let mut out = Soup::new();
    let (nx, ny) = (x.len() - 1, y.len() - 1);
    let height = |i: isize, j: isize| {
        if i < 0 || j < 0 || i >= nx as isize || j >= ny as isize {
            0.0
        } else {
            heights[i as usize][j as usize]
        }
    };
    for i in 0..nx {
        for j in 0..ny {
            let h = heights[i][j];
            if h <= 0.0 {
                continue;
            }
            let (x0, x1, y0, y1) = (x[i], x[i + 1], y[j], y[j + 1]);
            out.extend(quad(
                point(x0, y0, h),
                point(x1, y0, h),
                point(x1, y1, h),
                point(x0, y1, h),
            ));
            out.extend(quad(
                point(x0, y1, 0.0),
                point(x1, y1, 0.0),
                point(x1, y0, 0.0),
                point(x0, y0, 0.0),
            ));
            let mut side = |other: f64, a: [f64; 2], b: [f64; 2]| {
                if other < h {
                    out.extend(quad(
                        point(a[0], a[1], other),
                        point(b[0], b[1], other),
                        point(b[0], b[1], h),
                        point(a[0], a[1], h),
                    ));
                }
            };
            let (i, j) = (i as isize, j as isize);
            side(height(i, j - 1), [x0, y0], [x1, y0]);
            side(height(i + 1, j), [x1, y0], [x1, y1]);
            side(height(i, j + 1), [x1, y1], [x0, y1]);
            side(height(i - 1, j), [x0, y1], [x0, y0]);
        }
    }
    out
}

/// A box, as a soup of f64 corners.
pub fn block(min: [f64; 3], max: [f64; 3]) -> Soup {
    cuboid(min.map(|x| x as f32), max.map(|x| x as f32))
}

/// Every corner through a function.
pub fn mapped(soup: &Soup, f: impl Fn([f64; 3]) -> [f64; 3]) -> Soup {
    soup.iter()
        .map(|t| t.map(|p| f(p.map(f64::from)).map(|x| x as f32)))
        .collect()
}

/// Every triangle cut in four at the middles of its edges.
pub fn split(soup: &Soup) -> Soup {
    let mid = |a: [f32; 3], b: [f32; 3]| [0, 1, 2].map(|k| f32::midpoint(a[k], b[k]));
    soup.iter()
        .flat_map(|&[a, b, c]| {
            let (ab, bc, ca) = (mid(a, b), mid(b, c), mid(c, a));
            [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
        })
        .collect()
}

fn point(x: f64, y: f64, z: f64) -> [f32; 3] {
    [x as f32, y as f32, z as f32]
}

fn quad(a: [f32; 3], b: [f32; 3], c: [f32; 3], d: [f32; 3]) -> [[[f32; 3]; 3]; 2] {
    [[a, b, c], [a, c, d]]
}
