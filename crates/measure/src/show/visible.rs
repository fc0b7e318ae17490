//! Which places of a surface are seen from outside.
//!
//! From every place rays go out over the hemisphere of its normal, denser towards the normal by its cosine; the share
//! that leaves the kit is how much of the sky the place sees, the weight by which light falls on it. The directions
//! are fixed (Hammersley's points, turned from place to place), so the answer is the same on every run.

use mesh::vector::{Vec3, add, cross, scale, unit};

use super::sampling::Sample;
use super::scene::Scene;

/// Rays start so far above the surface, mm.
const LIFT_MM: f64 = 0.01;
/// The golden angle, radians: turns of neighbouring places differ as much as can be.
const GOLDEN: f64 = 2.399_963_229_728_653;

/// Directions in a frame whose z is the normal, by the cosine law.
fn directions(count: usize) -> Vec<Vec3> {
    (0..count)
        .map(|i| {
            let u = (i as f64 + 0.5) / count as f64;
            let turn = std::f64::consts::TAU * radical_inverse(i as u32);
            let flat = u.sqrt();
            [
                flat * libm::cos(turn),
                flat * libm::sin(turn),
                (1.0 - u).sqrt(),
            ]
        })
        .collect()
}

/// The bits of a number mirrored at the point: van der Corput's sequence.
fn radical_inverse(i: u32) -> f64 {
    f64::from(i.reverse_bits()) / 4_294_967_296.0
}

/// Which samples of a part see outside by at least a share of their rays, on any of the copies named.
pub fn seen(
    scene: &Scene,
    copies: &[usize],
    samples: &[Sample],
    rays: usize,
    least_share: f64,
) -> Vec<bool> {
    let directions = directions(rays);
    let needed = ((least_share * rays as f64).ceil() as usize).max(1);
    let chunks = parallel::chunks(samples.len(), 64, |range| {
        range
            .map(|i| {
                let s = &samples[i];
                copies
                    .iter()
                    .any(|&c| sees(scene, c, s, i, &directions, needed))
            })
            .collect::<Vec<bool>>()
    });
    chunks.into_iter().flatten().collect()
}

fn sees(
    scene: &Scene,
    copy: usize,
    s: &Sample,
    number: usize,
    directions: &[Vec3],
    needed: usize,
) -> bool {
    let placed = scene.copy(copy);
    let normal = placed.direction(s.normal);
    let at = placed.place(s.at);
    if scene.stands_on(at, normal) {
        return false;
    }
    let origin = add(at, scale(normal, LIFT_MM));
    let aside = if normal[0].abs() < 0.8 {
        [1.0, 0.0, 0.0]
    } else {
        [0.0, 1.0, 0.0]
    };
    let u = unit(cross(normal, aside)).unwrap_or(aside);
    let v = cross(normal, u);
    let turn = GOLDEN * number as f64;
    let (cos, sin) = (libm::cos(turn), libm::sin(turn));
    let mut out = 0;
    for (k, d) in directions.iter().enumerate() {
        let (x, y) = (cos * d[0] - sin * d[1], sin * d[0] + cos * d[1]);
        let way = add(add(scale(u, x), scale(v, y)), scale(normal, d[2]));
        out += usize::from(scene.escapes((copy, s.triangle), origin, way));
        if out >= needed {
            return true;
        }
        if out + directions.len() - k - 1 < needed {
            return false;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::super::sampling::samples;
    use super::super::scene::Copy;
    use super::*;
    use mesh::Mesh;
    use mesh::shapes::{cuboid, welded};
    use mesh::tree::Tree;

    const AS_FILED: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn turned(soup: Vec<[[f32; 3]; 3]>) -> Vec<[[f32; 3]; 3]> {
        soup.into_iter().map(|[a, b, c]| [a, c, b]).collect()
    }

    fn area_seen(mesh: &Mesh, scene: &Scene, part: usize) -> f64 {
        let all = samples(mesh, 1500);
        let seen = seen(scene, &scene.copies_of(part), &all, 32, 0.15);
        all.iter()
            .zip(seen)
            .filter(|(_, s)| *s)
            .map(|(s, _)| s.area_mm2)
            .sum()
    }

    /// The cosine law: the mean of the cosine over the rays is 2 / 3, exactly in the limit.
    #[test]
    fn rays_follow_the_cosine_law() {
        let all = directions(512);
        let mean = all.iter().map(|d| d[2]).sum::<f64>() / 512.0;
        assert!((mean - 2.0 / 3.0).abs() < 1e-3, "{mean}");
        assert!(
            all.iter()
                .all(|d| (mesh::vector::length(*d) - 1.0).abs() < 1e-12)
        );
    }

    /// A box of 40 mm with a cavity: outside 9600 mm2 are seen and none within.
    #[test]
    fn a_cavity_is_not_seen() {
        let mut soup = cuboid([0.0; 3], [40.0; 3]);
        soup.extend(turned(cuboid([10.0; 3], [30.0; 3])));
        let (mesh, tree) = Tree::build(welded(&soup));
        let copies = Copy::of(0, &mesh, &tree, AS_FILED, [0.0; 3]);
        let scene = Scene::new(copies.into_iter().collect());
        let area = area_seen(&mesh, &scene, 0);
        assert!((area / 9600.0 - 1.0).abs() < 0.02, "{area}");
    }

    /// Two blocks of 20 mm stacked with a gap of 0.2 mm: five sides of each are seen, 2000 mm2, alone six, 2400.
    /// The second copy of the upper one stands apart: then all of it is seen.
    #[test]
    fn faces_that_meet_in_the_kit_are_not_seen() {
        let (mesh, tree) = Tree::build(welded(&cuboid([0.0; 3], [20.0; 3])));
        let at = |part, move_mm| Copy::of(part, &mesh, &tree, AS_FILED, move_mm).expect("a copy");
        let alone = Scene::new(vec![at(0, [0.0; 3])]);
        assert!((area_seen(&mesh, &alone, 0) / 2400.0 - 1.0).abs() < 1e-3);
        let stacked = Scene::new(vec![at(0, [0.0; 3]), at(1, [0.0, 0.0, 20.2])]);
        for part in [0, 1] {
            let area = area_seen(&mesh, &stacked, part);
            assert!((area / 2000.0 - 1.0).abs() < 0.02, "{area}");
        }
        // On a table the lower one's foot is not seen either.
        let on_a_table = stacked.standing();
        let area = area_seen(&mesh, &on_a_table, 0);
        assert!((area / 1600.0 - 1.0).abs() < 0.02, "{area}");
        let apart = Scene::new(vec![
            at(0, [0.0; 3]),
            at(1, [0.0, 0.0, 20.2]),
            at(1, [90.0, 0.0, 0.0]),
        ]);
        assert!((area_seen(&mesh, &apart, 1) / 2400.0 - 1.0).abs() < 1e-3);
    }
}
