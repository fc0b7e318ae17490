//! Points on facets where thickness is read: every facet has one, none is coarser than the spacing along
//! the facet's length.

use mesh::Mesh;
use mesh::vector::{Vec3, add, cross, dot, length, scale, sub};

/// A point of a facet that stands for a piece of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sample {
    /// Place on the facet, mm.
    pub at: Vec3,
    /// Area it stands for, mm2.
    pub area: f32,
    /// The facet.
    pub triangle: u32,
}

/// A facet laid along its longest edge: columns across it, a row of samples in each.
pub(super) struct Lattice {
    base: Vec3,
    along: Vec3,
    apex: Vec3,
    long: f64,
    foot: f64,
    height: f64,
    columns: usize,
    spacing: f64,
}

impl Lattice {
    /// The lattice of a triangle; `None` where it has no area.
    pub(super) fn new(corners: &[Vec3; 3], spacing: f64) -> Option<Lattice> {
        let side = |k: usize| sub(corners[(k + 1) % 3], corners[k]);
        let first = (0..3)
            .max_by(|&a, &b| length(side(a)).total_cmp(&length(side(b))))
            .unwrap_or(0);
        let (base, along, apex) = (corners[first], side(first), corners[(first + 2) % 3]);
        let long = length(along);
        let doubled = length(cross(along, sub(apex, base)));
        if !(long > 0.0 && doubled > 0.0 && doubled.is_finite()) {
            return None;
        }
        Some(Lattice {
            base,
            along: scale(along, 1.0 / long),
            apex,
            long,
            foot: dot(sub(apex, base), along) / long,
            height: doubled / long,
            columns: (long / spacing).ceil().max(1.0) as usize,
            spacing,
        })
    }

    /// The facet's local height over a place along its base.
    fn height_at(&self, x: f64) -> f64 {
        let share = if x <= self.foot {
            x / self.foot.max(f64::MIN_POSITIVE)
        } else {
            (self.long - x) / (self.long - self.foot).max(f64::MIN_POSITIVE)
        };
        self.height * share.clamp(0.0, 1.0)
    }

    fn rows(&self, height: f64) -> usize {
        (height / self.spacing).ceil().max(1.0) as usize
    }

    /// How many samples [`Lattice::each`] gives.
    pub(super) fn count(&self) -> usize {
        if self.columns == 1 {
            return 1;
        }
        let width = self.long / self.columns as f64;
        (0..self.columns)
            .map(|i| self.rows(self.height_at((i as f64 + 0.5) * width)))
            .sum()
    }

    /// Calls `take` with each place and the area it stands for; the areas sum to the facet's.
    pub(super) fn each(&self, mut take: impl FnMut(Vec3, f64)) {
        if self.columns == 1 {
            let end = add(self.base, scale(self.along, self.long));
            let sum = add(add(self.base, end), self.apex);
            take(scale(sum, 1.0 / 3.0), 0.5 * self.long * self.height);
            return;
        }
        let up = scale(
            sub(self.apex, add(self.base, scale(self.along, self.foot))),
            1.0 / self.height,
        );
        let width = self.long / self.columns as f64;
        let middle = |i: usize| (i as f64 + 0.5) * width;
        // The column under the apex is not what its middle says.
        let by_middles: f64 = (0..self.columns)
            .map(|i| width * self.height_at(middle(i)))
            .sum();
        let share = 0.5 * self.long * self.height / by_middles;
        for i in 0..self.columns {
            let x = middle(i);
            let height = self.height_at(x);
            let rows = self.rows(height);
            let step = height / rows as f64;
            let foot = add(self.base, scale(self.along, x));
            for j in 0..rows {
                let y = (j as f64 + 0.5) * step;
                take(add(foot, scale(up, y)), share * width * step);
            }
        }
    }
}

/// How many samples the facets of a mesh get at a spacing.
pub(super) fn count(mesh: &Mesh, spacing: f64) -> usize {
    parallel::chunks(mesh.triangles.len(), 4096, |range| {
        range
            .filter_map(|t| Lattice::new(&mesh.corners(t), spacing))
            .map(|lattice| lattice.count())
            .sum::<usize>()
    })
    .into_iter()
    .sum()
}

/// The samples of every facet, in the order of the facets. Facets without area have none.
pub(super) fn samples(mesh: &Mesh, spacing: f64) -> Vec<Sample> {
    let parts = parallel::chunks(mesh.triangles.len(), 4096, |range| {
        let mut out = Vec::with_capacity(range.len());
        for t in range {
            if let Some(lattice) = Lattice::new(&mesh.corners(t), spacing) {
                lattice.each(|at, area| {
                    out.push(Sample {
                        at,
                        area: area as f32,
                        triangle: t as u32,
                    });
                });
            }
        }
        out
    });
    parts.concat()
}
