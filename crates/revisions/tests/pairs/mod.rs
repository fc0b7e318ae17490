//! Pairs of meshes whose deviation other libraries were asked for: shapes made here, and published parts by path.

use mesh::Mesh;
use mesh::shapes::{bumpy_torus, shuffled, welded};

/// A shape as a soup of triangles.
pub type Soup = Vec<[[f32; 3]; 3]>;

/// Pairs of published parts, below the folder of open data.
pub const PUBLISHED: [[&str; 2]; 6] = [
    [
        "kits/pifinder-case/case/v1/bezel.stl",
        "kits/pifinder-case/case/v2/bezel.stl",
    ],
    [
        "kits/pifinder-case/case/v1/shroud.stl",
        "kits/pifinder-case/case/v2/shroud.stl",
    ],
    [
        "kits/pifinder-case/case/v2/bottom.stl",
        "kits/pifinder-case/case/v2.5/bottom.stl",
    ],
    [
        "kits/pifinder-case/case/v2/pi_mount.stl",
        "kits/pifinder-case/case/v2.5/pi_mount.stl",
    ],
    [
        "kits/pifinder-case/case/v1/large_inserts/back.stl",
        "kits/pifinder-case/case/v1/small_inserts/back.stl",
    ],
    [
        "kits/pifinder-case/case/v2/flat_shroud.stl",
        "kits/pifinder-case/case/v2.5/flat_shroud.stl",
    ],
];

/// Pairs made here, by name.
pub fn made() -> Vec<(&'static str, Soup, Soup)> {
    let torus = bumpy_torus(120, 60);
    vec![
        (
            "a bump of 0.3 mm, 14,400 triangles",
            torus.clone(),
            bumped(&torus),
        ),
        ("a finer cut", torus.clone(), bumpy_torus(173, 91)),
        ("every vertex shaken", torus.clone(), shaken(&torus, 0.4)),
        (
            "two scatters of triangles",
            scatter(400, 1),
            scatter(500, 2),
        ),
        ("a scatter and a surface", scatter(300, 3), torus),
    ]
}

/// 0.3 mm along z about one place, as a bell 6 mm wide.
pub fn bumped(soup: &[[[f32; 3]; 3]]) -> Soup {
    let centre = soup[0][0];
    let lifted = |p: &[f32; 3]| {
        let squared: f32 = (0..3)
            .map(|k| (p[k] - centre[k]) * (p[k] - centre[k]))
            .sum();
        let lift = 0.3 * libm::exp(f64::from(-squared / 36.0));
        [p[0], p[1], p[2] + lift as f32]
    };
    soup.iter()
        .map(|t| [lifted(&t[0]), lifted(&t[1]), lifted(&t[2])])
        .collect()
}

/// A value from 0 to 1 that depends on every bit of what goes in (splitmix64, Steele et al. 2014).
fn mixed(mut x: u64) -> f64 {
    x = x.wrapping_add(0x9e37_79b9_7f4a_7c15);
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((x ^ (x >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

/// Every vertex moved by up to so much along each axis, the same wherever it stands in the soup.
fn shaken(soup: &[[[f32; 3]; 3]], by: f64) -> Soup {
    let moved = |p: &[f32; 3]| -> [f32; 3] {
        let place = p.iter().fold(7u64, |hash, x| {
            hash.wrapping_mul(0x0100_0000_01b3) ^ u64::from(x.to_bits())
        });
        std::array::from_fn(|k| p[k] + (by * (mixed(place + k as u64) - 0.5)) as f32)
    };
    soup.iter()
        .map(|t| [moved(&t[0]), moved(&t[1]), moved(&t[2])])
        .collect()
}

/// Triangles of all sizes anywhere in a box of 100 mm.
fn scatter(count: u64, seed: u64) -> Soup {
    let value = |t: u64, k: u64| mixed(seed << 40 | t << 8 | k);
    (0..count)
        .map(|t| {
            let size = 0.5 + 20.0 * value(t, 9) * value(t, 9);
            let corner = |c: u64| -> [f32; 3] {
                std::array::from_fn(|k| {
                    let k = k as u64;
                    (100.0 * value(t, 10 + k) + size * value(t, 3 * c + k)) as f32
                })
            };
            [corner(0), corner(1), corner(2)]
        })
        .collect()
}

/// A mesh of a soup, in another order of triangles: none may matter.
pub fn mesh(soup: &[[[f32; 3]; 3]]) -> Mesh {
    welded(&shuffled(soup, 5))
}
