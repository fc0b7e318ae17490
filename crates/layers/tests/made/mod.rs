//! Closed shapes for the tests of slices and for the programs that show them to reference libraries: made with
//! `libm`, so they have the same bits everywhere.

use std::f64::consts::TAU;

use mesh::shapes::{Soup, bumpy_torus, cuboid, moved, reversed, torus};

/// Names of the shapes that reference libraries were asked about.
pub const NAMES: [&str; 9] = [
    "prism", "cone", "ball", "torus", "bumpy", "tilted", "knot", "hollow", "wedge",
];

/// A shape by its name; `None` for any other name.
pub fn made(name: &str) -> Option<Soup> {
    Some(match name {
        "prism" => lathe(&[[10.0, 0.0], [10.0, 20.0]], 96),
        "cone" => lathe(&[[8.0, 0.0], [0.0, 25.0]], 64),
        "ball" => ball(15.0, 64),
        "torus" => torus(64, 32, 20.0, 5.0),
        "bumpy" => bumpy_torus(180, 90),
        "tilted" => tilted(&bumpy_torus(120, 60), 0.6),
        "knot" => knot(300, 16, 3.0),
        "hollow" => {
            let mut soup = ball(15.0, 48);
            soup.extend(reversed(&moved(&ball(11.0, 40), [1.0, -0.5, 0.75])));
            soup.extend(moved(
                &cuboid([0.0; 3], [7.0, 9.0, 11.0]),
                [18.0, 3.0, -8.0],
            ));
            soup
        }
        "wedge" => wedge(30.0, 20.0, 6.0),
        _ => return None,
    })
}

/// A profile of points (radius, height), from below, turned about z in `n` steps; flat below and above where the
/// radius is not 0 there.
pub fn lathe(profile: &[[f64; 2]], n: usize) -> Soup {
    let at = |[r, z]: [f64; 2], i: usize| -> [f32; 3] {
        let u = TAU * (i % n) as f64 / n as f64;
        [
            (r * libm::cos(u)) as f32,
            (r * libm::sin(u)) as f32,
            z as f32,
        ]
    };
    let mut soup = Soup::new();
    let [first, last] = [profile[0], profile[profile.len() - 1]];
    for i in 0..n {
        for w in profile.windows(2) {
            let [a, b, c, d] = [at(w[0], i), at(w[0], i + 1), at(w[1], i + 1), at(w[1], i)];
            if w[0][0] > 0.0 {
                soup.push([a, b, c]);
            }
            if w[1][0] > 0.0 {
                soup.push([a, c, d]);
            }
        }
        if first[0] > 0.0 {
            soup.push([[0.0, 0.0, first[1] as f32], at(first, i + 1), at(first, i)]);
        }
        if last[0] > 0.0 {
            soup.push([[0.0, 0.0, last[1] as f32], at(last, i), at(last, i + 1)]);
        }
    }
    soup
}

/// A ball of `n` steps round and half as many from pole to pole.
pub fn ball(radius: f64, n: usize) -> Soup {
    let profile: Vec<[f64; 2]> = (0..=n / 2)
        .map(|j| {
            let v = TAU * j as f64 / n as f64;
            let on_axis = j == 0 || 2 * j == n;
            let r = if on_axis { 0.0 } else { radius * libm::sin(v) };
            [r, -radius * libm::cos(v)]
        })
        .collect();
    lathe(&profile, n)
}

/// A ramp `long` x `wide` that rises from nothing to `high`.
pub fn wedge(long: f32, wide: f32, high: f32) -> Soup {
    let p = |x: f32, y: f32, z: f32| [x * long, y * wide, z * high];
    let [a, b, c, d] = [p(0., 0., 0.), p(1., 0., 0.), p(1., 1., 0.), p(0., 1., 0.)];
    let [e, f] = [p(1., 0., 1.), p(1., 1., 1.)];
    vec![
        [a, c, b],
        [a, d, c],
        [b, c, f],
        [b, f, e],
        [a, b, e],
        [d, f, c],
        [a, e, f],
        [a, f, d],
    ]
}

/// The same surface turned about the line through the origin along (1, 1, 0), radians.
pub fn tilted(soup: &[[[f32; 3]; 3]], angle: f64) -> Soup {
    let (s, c) = (libm::sin(angle), libm::cos(angle));
    let h = 0.5f64.sqrt();
    let turn = |p: [f32; 3]| -> [f32; 3] {
        let [x, y, z] = p.map(f64::from);
        let along = h * (x + y);
        let across = h * (y - x);
        let (across, z) = (c * across - s * z, s * across + c * z);
        [
            (h * (along - across)) as f32,
            (h * (along + across)) as f32,
            z as f32,
        ]
    };
    soup.iter().map(|t| t.map(turn)).collect()
}

/// A round tube along a trefoil, `n` steps along it and `m` around.
pub fn knot(n: usize, m: usize, tube: f64) -> Soup {
    let centre = |i: usize| {
        let t = TAU * (i % n) as f64 / n as f64;
        let r = 16.0 + 7.0 * libm::cos(3.0 * t);
        [
            r * libm::cos(2.0 * t),
            r * libm::sin(2.0 * t),
            7.0 * libm::sin(3.0 * t),
        ]
    };
    let cross = |a: [f64; 3], b: [f64; 3]| {
        [
            a[1] * b[2] - a[2] * b[1],
            a[2] * b[0] - a[0] * b[2],
            a[0] * b[1] - a[1] * b[0],
        ]
    };
    let unit = |a: [f64; 3]| {
        let l = (a[0] * a[0] + a[1] * a[1] + a[2] * a[2]).sqrt();
        a.map(|v| v / l)
    };
    let at = |i: usize, j: usize| -> [f32; 3] {
        let (p, a, b) = (centre(i), centre(i + n - 1), centre(i + 1));
        let along = unit([b[0] - a[0], b[1] - a[1], b[2] - a[2]]);
        // The curve never runs upright, so up and its way span a plane.
        let side = unit(cross(along, [0.0, 0.0, 1.0]));
        let up = cross(side, along);
        let v = TAU * (j % m) as f64 / m as f64;
        let (s, c) = (tube * libm::sin(v), tube * libm::cos(v));
        [0, 1, 2].map(|k| (p[k] + c * side[k] + s * up[k]) as f32)
    };
    let mut soup = Soup::new();
    for i in 0..n {
        for j in 0..m {
            let [a, b, c, d] = [at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j)];
            soup.extend([[a, c, b], [a, d, c]]);
        }
    }
    soup
}
