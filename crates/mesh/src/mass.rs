//! Volume, area, centroid and inertia of a surface, in f64 about the centre of its box.
//!
//! Signed tetrahedra from the centre to every facet (Zhang and Chen 2001, ICIP, "Efficient feature extraction for
//! 2D/3D objects in mesh representation"; Mirtich 1996, Journal of Graphics Tools 1(2)). The centre keeps the sums
//! small wherever the part lies in its frame. Sums run over fixed chunks in order: the same bits with any number of
//! threads. On an open surface the volume depends on where the centre is, so it says little there.

use crate::shape::Mesh;
use crate::vector::{Vec3, add, cross, dot, length, scale, sub};

/// Facets a chunk.
const CHUNK: usize = 1 << 14;

/// Integrals over a solid of unit density.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MassProperties {
    /// Signed volume, mm3: negative where the surface is inside out.
    pub volume_mm3: f64,
    /// Surface area, mm2.
    pub area_mm2: f64,
    /// Centre of mass, mm; the centre of the box where there is no volume.
    pub centroid_mm: Vec3,
    /// Inertia tensor about the centre of mass, rows, mm5 (times density: g mm2 with g/mm3).
    pub inertia_mm5: [[f64; 3]; 3],
}

impl MassProperties {
    /// Integrates over a whole mesh. An empty mesh has zeros.
    pub fn of(mesh: &Mesh) -> MassProperties {
        let Some(bounds) = mesh.bounds() else {
            return MassProperties::default();
        };
        let centre = bounds.centre();
        let sums = parallel::chunks(mesh.triangles.len(), CHUNK, |range| {
            let mut sums = Sums::default();
            for t in range {
                sums.add_facet(mesh.corners(t).map(|p| sub(p, centre)));
            }
            sums
        });
        let mut total = Sums::default();
        for s in &sums {
            total.add(s);
        }
        total.about(centre)
    }
}

/// Running sums about some centre.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Sums {
    six_volumes: f64,
    double_area: f64,
    /// Of 24 times the first moments.
    first: Vec3,
    /// Of 120 times the second moments: xx, yy, zz, yz, zx, xy.
    second: [f64; 6],
}

impl Sums {
    /// Nothing summed yet.
    pub const ZERO: Sums = Sums {
        six_volumes: 0.0,
        double_area: 0.0,
        first: [0.0; 3],
        second: [0.0; 6],
    };

    /// Adds a facet whose corners are given from the centre.
    #[inline]
    pub fn add_facet(&mut self, [a, b, c]: [Vec3; 3]) {
        let normal = cross(sub(b, a), sub(c, a));
        self.double_area += length(normal);
        let v = dot(a, normal);
        self.six_volumes += v;
        let s = add(add(a, b), c);
        for k in 0..3 {
            self.first[k] += v * s[k];
            self.second[k] += v * (a[k] * a[k] + b[k] * b[k] + c[k] * c[k] + s[k] * s[k]);
            let (i, j) = ((k + 1) % 3, (k + 2) % 3);
            self.second[3 + k] += v * (a[i] * a[j] + b[i] * b[j] + c[i] * c[j] + s[i] * s[j]);
        }
    }

    /// Adds other sums about the same centre.
    pub fn add(&mut self, other: &Sums) {
        self.six_volumes += other.six_volumes;
        self.double_area += other.double_area;
        for k in 0..3 {
            self.first[k] += other.first[k];
        }
        for k in 0..6 {
            self.second[k] += other.second[k];
        }
    }

    /// Signed volume, mm3.
    pub fn volume_mm3(&self) -> f64 {
        self.six_volumes / 6.0
    }

    /// Area, mm2.
    pub fn area_mm2(&self) -> f64 {
        self.double_area / 2.0
    }

    /// The integrals, moved from `centre` to the centre of mass.
    pub fn about(&self, centre: Vec3) -> MassProperties {
        let volume = self.volume_mm3();
        let from_centre = scale(self.first, 1.0 / 24.0);
        let offset = if volume == 0.0 {
            [0.0; 3]
        } else {
            scale(from_centre, 1.0 / volume)
        };
        let s = self.second.map(|x| x / 120.0);
        // Second moments about the centre of mass (parallel axes), then I = trace(S) 1 - S.
        let moment = |i: usize, j: usize, value: f64| value - volume * offset[i] * offset[j];
        let [xx, yy, zz] = [0, 1, 2].map(|k| moment(k, k, s[k]));
        let [yz, zx, xy] = [moment(1, 2, s[3]), moment(2, 0, s[4]), moment(0, 1, s[5])];
        MassProperties {
            volume_mm3: volume,
            area_mm2: self.area_mm2(),
            centroid_mm: add(centre, offset),
            inertia_mm5: [
                [yy + zz, -xy, -zx],
                [-xy, xx + zz, -yz],
                [-zx, -yz, xx + yy],
            ],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{Soup, cuboid, moved, reversed, torus, welded};

    fn near(got: f64, want: f64, relative: f64) {
        assert!(
            (got - want).abs() <= relative * want.abs().max(1.0),
            "{got} instead of {want}"
        );
    }

    fn mass(soup: &[[[f32; 3]; 3]]) -> MassProperties {
        MassProperties::of(&welded(soup))
    }

    fn tetrahedron() -> Soup {
        let (o, x, y, z) = ([0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]);
        vec![[o, y, x], [o, x, z], [o, z, y], [x, y, z]]
    }

    /// Integrals over the unit simplex, by hand: volume 1/6, second moments 1/60 and products 1/120 about the origin.
    #[test]
    fn tetrahedron_by_hand() {
        let m = mass(&tetrahedron());
        near(m.volume_mm3, 1.0 / 6.0, 1e-15);
        near(m.area_mm2, 2.366_025_403_784_438_4, 1e-15); // 3/2 + sqrt(3)/2
        for k in 0..3 {
            near(m.centroid_mm[k], 0.25, 1e-15);
            near(m.inertia_mm5[k][k], 1.0 / 80.0, 1e-14);
        }
        for (i, j) in [(0, 1), (1, 2), (2, 0)] {
            near(m.inertia_mm5[i][j], 1.0 / 480.0, 1e-14);
            near(m.inertia_mm5[j][i], 1.0 / 480.0, 1e-14);
        }
    }

    /// Box a x b x c: V = abc, inertia V (b^2 + c^2) / 12 and so on.
    #[test]
    fn box_2_3_4() {
        let m = mass(&cuboid([0.0; 3], [2.0, 3.0, 4.0]));
        near(m.volume_mm3, 24.0, 1e-15);
        near(m.area_mm2, 52.0, 1e-15);
        for (k, want) in [1.0, 1.5, 2.0].into_iter().enumerate() {
            near(m.centroid_mm[k], want, 1e-15);
        }
        for (k, want) in [50.0, 40.0, 26.0].into_iter().enumerate() {
            near(m.inertia_mm5[k][k], want, 1e-14);
            assert!(m.inertia_mm5[k][(k + 1) % 3].abs() < 1e-12);
        }
    }

    /// Octahedron with corners at distance 1: volume 4/3, area 4 sqrt(3).
    #[test]
    fn octahedron() {
        let mut soup = Soup::new();
        for (sx, sy, sz) in (0..8).map(|i| {
            let sign = |bit: i32| if i >> bit & 1 == 1 { -1.0f32 } else { 1.0 };
            (sign(0), sign(1), sign(2))
        }) {
            let (x, y, z) = ([sx, 0.0, 0.0], [0.0, sy, 0.0], [0.0, 0.0, sz]);
            soup.push(if sx * sy * sz > 0.0 {
                [x, y, z]
            } else {
                [y, x, z]
            });
        }
        let m = mass(&soup);
        near(m.volume_mm3, 4.0 / 3.0, 1e-15);
        near(m.area_mm2, 6.928_203_230_275_508, 1e-15);
        assert!(m.centroid_mm.iter().all(|x| x.abs() < 1e-15));
    }

    /// The facetted torus, exactly: N sin(2 pi/N) R (M/2) sin(2 pi/M) r^2 (f32 corners cost 1e-7).
    #[test]
    fn torus_of_two_finenesses() {
        near(
            mass(&torus(64, 32, 20.0, 5.0)).volume_mm3,
            9_790.564_080_637,
            1e-7,
        );
        near(
            mass(&torus(64, 32, 20.0, 5.0)).area_mm2,
            3_937.547_834,
            1e-6,
        );
        near(mass(&torus(8, 8, 20.0, 5.0)).volume_mm3, 8000.0, 1e-7);
    }

    /// A regular prism: area of the n-gon n/2 sin(2 pi/n) r^2 times its height.
    #[test]
    fn prism_of_32_sides() {
        let (n, r, h) = (32, 10.0f64, 20.0f32);
        let p = |i: usize, z: f32| {
            let u = std::f64::consts::TAU * (i % n) as f64 / n as f64;
            [(r * libm::cos(u)) as f32, (r * libm::sin(u)) as f32, z]
        };
        let mut soup = Soup::new();
        for i in 0..n {
            let [a, b, c, d] = [p(i, 0.0), p(i + 1, 0.0), p(i + 1, h), p(i, h)];
            soup.extend([
                [a, b, c],
                [a, c, d],
                [[0.0, 0.0, 0.0], b, a],
                [[0.0, 0.0, h], d, c],
            ]);
        }
        near(mass(&soup).volume_mm3, 6_242.890_304_516_1, 1e-7);
    }

    #[test]
    fn a_cube_with_a_void_has_26_of_27() {
        let mut soup = cuboid([0.0; 3], [3.0; 3]);
        soup.extend(reversed(&cuboid([1.0; 3], [2.0; 3])));
        near(mass(&soup).volume_mm3, 26.0, 1e-15);
    }

    #[test]
    fn moving_by_ten_metres_changes_nothing_to_one_in_a_thousand_million() {
        // Coordinates whose sum with 10^4 is still an f32, so that only the integration is tried.
        let soup = cuboid([0.0; 3], [2.0, 3.0, 4.0]);
        let far = mass(&moved(&soup, [1e4, -1e4, 1e4]));
        near(far.volume_mm3, 24.0, 1e-9);
        near(far.inertia_mm5[0][0], 50.0, 1e-9);
        near(far.centroid_mm[0], 10_001.0, 1e-12);
    }

    #[test]
    fn reversed_winding_turns_the_sign_and_scale_goes_by_its_cube() {
        let soup = torus(16, 12, 20.0, 5.0);
        let one = mass(&soup);
        near(mass(&reversed(&soup)).volume_mm3, -one.volume_mm3, 1e-14);
        let twice: Soup = soup.iter().map(|t| t.map(|p| p.map(|x| 2.0 * x))).collect();
        near(mass(&twice).volume_mm3, 8.0 * one.volume_mm3, 1e-14);
        near(
            mass(&twice).inertia_mm5[2][2],
            32.0 * one.inertia_mm5[2][2],
            1e-13,
        );
    }

    #[test]
    fn the_same_bits_with_any_number_of_threads() {
        let mesh = welded(&torus(300, 200, 20.0, 5.0));
        let with =
            |n| parallel::with_threads(n, || MassProperties::of(&mesh)).expect("threads start");
        assert_eq!(with(1), with(2));
        assert_eq!(with(1), with(5));
    }
}
