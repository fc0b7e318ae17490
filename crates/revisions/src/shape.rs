//! What a part looks like in a few numbers that neither a move nor a turn changes: a cheap filter for parts that
//! may be the same under another name.

use mesh::{MassProperties, Mesh};
use serde::{Deserialize, Serialize};

use crate::eigen::eigen;

/// Numbers of a part that survive a move and a turn, and its box.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Shape {
    /// Signed volume, mm3.
    pub volume_mm3: f64,
    /// Area, mm2.
    pub area_mm2: f64,
    /// Side lengths of the box, ascending, mm: the only ones that an odd turn changes.
    pub extents_mm: [f64; 3],
    /// Principal radii of gyration, ascending, mm; nothing where the surface holds no volume.
    pub gyration_mm: Option<[f64; 3]>,
    /// Triangles.
    pub triangles: usize,
}

/// Measures a part; linear in its triangles.
pub fn shape_of(mesh: &Mesh) -> Shape {
    let mass = MassProperties::of(mesh);
    let mut extents_mm = mesh.bounds().map_or([0.0; 3], |b| b.size());
    extents_mm.sort_by(f64::total_cmp);
    // I = trace(S) - S: the second moments about the centre, along the principal axes.
    let trace: f64 = (0..3).map(|k| mass.inertia_mm5[k][k]).sum::<f64>() / 2.0;
    let (inertia, _) = eigen(mass.inertia_mm5);
    let squared = inertia.map(|i| (trace - i) / mass.volume_mm3);
    let mut gyration = squared.map(f64::sqrt);
    gyration.sort_by(f64::total_cmp);
    Shape {
        volume_mm3: mass.volume_mm3,
        area_mm2: mass.area_mm2,
        extents_mm,
        gyration_mm: gyration.iter().all(|g| g.is_finite()).then_some(gyration),
        triangles: mesh.triangles.len(),
    }
}

/// Whether two parts may be one: volume, area and radii of gyration differ by no more than `share` of the greater.
/// The box is not asked, since an odd turn changes it. A filter: [`crate::compare`] decides.
pub fn alike(a: &Shape, b: &Shape, share: f64) -> bool {
    let near = |x: f64, y: f64| (x - y).abs() <= share * x.abs().max(y.abs());
    let gyration = match (a.gyration_mm, b.gyration_mm) {
        (Some(a), Some(b)) => (0..3).all(|k| near(a[k], b[k])),
        (None, None) => true,
        _ => false,
    };
    gyration && near(a.volume_mm3, b.volume_mm3) && near(a.area_mm2, b.area_mm2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{cuboid, moved, welded};

    /// A box a x b x c has radii of gyration a / sqrt 12 and so on along its axes.
    #[test]
    fn a_box_and_its_twin_on_its_side() {
        let a = shape_of(&welded(&cuboid([0.0; 3], [2.0, 3.0, 4.0])));
        let b = shape_of(&welded(&moved(
            &cuboid([0.0; 3], [4.0, 2.0, 3.0]),
            [9.0, 8.0, 7.0],
        )));
        assert_eq!(a.extents_mm, [2.0, 3.0, 4.0]);
        let got = a.gyration_mm.expect("a solid");
        for (got, side) in got.into_iter().zip([2.0, 3.0, 4.0f64]) {
            assert!((got - side / 12f64.sqrt()).abs() < 1e-9);
        }
        assert!(alike(&a, &b, 1e-6));
        let c = shape_of(&welded(&cuboid([0.0; 3], [2.0, 3.0, 4.2])));
        assert!(!alike(&a, &c, 0.01));
        assert!(alike(&a, &c, 0.06));
    }
}
