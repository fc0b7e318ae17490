//! Which way the facets of a leaf face: leaves that all face the same way as a start bound no wall opposite it,
//! and are passed by whole.
//!
//! A cone about the mean normal holds every normal of the leaf (Shirman and Abi-Ezzi 1993, "The cone of normals
//! technique"). Conservative: a leaf is passed by only where no facet of it could have been admitted.

use mesh::tree::Tree;
use mesh::vector::{Vec3, add, dot, unit};

/// A cone of directions: axis, and cosine and sine of the half angle. A cosine of 0 or less says nothing.
#[derive(Debug, Clone, Copy)]
pub struct Cone {
    axis: [f32; 3],
    cosine: f32,
    sine: f32,
}

/// More than the rounding of the sums below in f32.
const SLACK: f32 = 1e-5;

/// The cone of every leaf, in the order of the leaves. `normals` are unit, or zero without area: those face
/// nothing and are left out.
pub fn cones(tree: &Tree, normals: &[Vec3]) -> Vec<Cone> {
    tree.leaves()
        .iter()
        .map(|leaf| {
            let own = &normals[leaf.first as usize..(leaf.first + leaf.count) as usize];
            let sum = own.iter().fold([0.0; 3], |s, n| add(s, *n));
            let axis = unit(sum).unwrap_or([0.0; 3]);
            let cosine = own
                .iter()
                .filter(|n| dot(**n, **n) > 0.0)
                .map(|n| dot(*n, axis))
                .fold(1.0, f64::min);
            let cosine = (cosine as f32 - SLACK).min(1.0);
            Cone {
                axis: axis.map(|x| x as f32),
                cosine,
                sine: (1.0 - cosine * cosine).max(0.0).sqrt() + SLACK,
            }
        })
        .collect()
}

impl Cone {
    /// Whether every direction of the cone has a cosine with `direction` above `limit`.
    #[inline]
    pub fn all_above(&self, direction: [f32; 3], limit: f32) -> bool {
        let [x, y, z] = self.axis;
        let between = x * direction[0] + y * direction[1] + z * direction[2];
        // Beyond the opposite pole the least cosine is -1.
        if self.cosine <= 0.0 || between <= SLACK - self.cosine {
            return false;
        }
        let across = (1.0 - between * between).max(0.0).sqrt() + SLACK;
        between * self.cosine - across * self.sine > limit + SLACK
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{torus, welded};

    /// On every leaf of a torus, for many directions, against each facet in turn.
    #[test]
    fn a_leaf_is_passed_by_only_where_every_facet_would_be() {
        let (mesh, tree) = Tree::build(welded(&torus(40, 24, 20.0, 7.0)));
        let normals = super::super::normals(&mesh);
        let cones = cones(&tree, &normals);
        let mut passed = 0;
        for direction in &normals {
            let narrow = direction.map(|x| x as f32);
            for (leaf, cone) in tree.leaves().iter().zip(&cones) {
                for limit in [-0.087, -0.9063] {
                    if cone.all_above(narrow, limit as f32) {
                        passed += 1;
                        let own = leaf.first as usize..(leaf.first + leaf.count) as usize;
                        assert!(normals[own].iter().all(|n| dot(*n, *direction) > limit));
                    }
                }
            }
        }
        assert!(passed > 1000, "{passed}");
    }
}
