//! Where a picture is taken from: a parallel projection of millimetres to pixels.
//!
//! Parallel, because a designer compares lengths: one scale holds all over the picture plane.

use mesh::vector::{Vec3, add, cross, dot, scale, sub, unit};
use mesh::{Bounds, Mesh};

/// A rotation from the mesh's frame to the print pose: rows of a matrix, so that pose = m * mesh.
pub type Rotation = [Vec3; 3];

/// A parallel projection; all vectors lie in the mesh's own frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// Unit vector to the right of the picture.
    pub right: Vec3,
    /// Unit vector to the top of the picture.
    pub up: Vec3,
    /// Unit vector out of the picture, towards the eye.
    pub toward: Vec3,
    /// The point shown in the middle of the picture, mm.
    pub centre: Vec3,
    /// Scale: pixels a millimetre.
    pub px_per_mm: f64,
    /// Picture width, pixels.
    pub width_px: usize,
    /// Picture height, pixels.
    pub height_px: usize,
}

/// A length worth drawing beneath a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScaleBar {
    /// A round length: 1, 2 or 5 times a power of ten, mm.
    pub length_mm: f64,
    /// The same in pixels of the picture.
    pub length_px: f64,
}

impl View {
    /// A view from a direction, not yet aimed: centre at the origin, one pixel a millimetre.
    /// `upward` is turned to the top of the picture as far as it can be.
    pub fn from_direction(toward: Vec3, upward: Vec3, width_px: usize, height_px: usize) -> View {
        let toward = unit(toward).unwrap_or([0.0, 0.0, 1.0]);
        let right = unit(cross(upward, toward)).unwrap_or_else(|| any_across(toward));
        View {
            right,
            up: cross(toward, right),
            toward,
            centre: [0.0; 3],
            px_per_mm: 1.0,
            width_px: width_px.max(1),
            height_px: height_px.max(1),
        }
    }

    /// Aims the view at points so that they fill it but for a margin, given as a share of its sides.
    pub fn aimed_at(mut self, points: &[Vec3], margin: f64) -> View {
        let Some(seen) = Bounds::of(points.iter().map(|&p| self.axes(p))) else {
            return self;
        };
        let c = seen.centre();
        self.centre = add(
            add(scale(self.right, c[0]), scale(self.up, c[1])),
            scale(self.toward, c[2]),
        );
        let free = (1.0 - 2.0 * margin).max(0.1);
        let fit = |px: usize, mm: f64| free * px as f64 / mm.max(1e-9);
        let size = seen.size();
        self.px_per_mm = fit(self.width_px, size[0]).min(fit(self.height_px, size[1]));
        self
    }

    /// The view with a point in its middle and `span_mm` across its shorter side.
    pub fn zoomed(mut self, centre: Vec3, span_mm: f64) -> View {
        self.centre = centre;
        self.px_per_mm = self.width_px.min(self.height_px) as f64 / span_mm.max(1e-6);
        self
    }

    /// A point along right, up and toward, mm from the frame's origin.
    pub fn axes(&self, p: Vec3) -> Vec3 {
        [dot(p, self.right), dot(p, self.up), dot(p, self.toward)]
    }

    /// Where a point falls: pixels from the left, pixels from the top, and mm in front of the centre.
    pub fn project(&self, p: Vec3) -> Vec3 {
        let d = self.axes(sub(p, self.centre));
        [
            0.5 * self.width_px as f64 + d[0] * self.px_per_mm,
            0.5 * self.height_px as f64 - d[1] * self.px_per_mm,
            d[2],
        ]
    }

    /// A scale bar of about `share` of the picture's width, rounded down to 1, 2 or 5 times a power of ten.
    pub fn scale_bar(&self, share: f64) -> ScaleBar {
        let wanted = share * self.width_px as f64 / self.px_per_mm;
        let length_mm = round_down_125(wanted);
        ScaleBar {
            length_mm,
            length_px: length_mm * self.px_per_mm,
        }
    }
}

/// The number of the cell of one pixel or sample that a position lies in; far off for what is no number,
/// never so far that counting on from it overflows.
pub(crate) fn cell(position: f64) -> i64 {
    const FAR: f64 = 1e9;
    if position.is_nan() {
        -FAR as i64
    } else {
        libm::floor(position.clamp(-FAR, FAR)) as i64
    }
}

/// The largest of 1, 2, 5 times a power of ten that is not above a length; 0 for none.
pub(crate) fn round_down_125(length: f64) -> f64 {
    if !(length.is_finite() && length > 0.0) {
        return 0.0;
    }
    let power = libm::exp10(libm::floor(libm::log10(length)));
    [5.0, 2.0, 1.0, 0.5]
        .into_iter()
        .map(|m| m * power)
        .find(|&m| m <= length * (1.0 + 1e-12))
        .unwrap_or(power)
}

fn any_across(toward: Vec3) -> Vec3 {
    let axis = if toward[0].abs() < 0.9 {
        [1.0, 0.0, 0.0]
    } else {
        [0.0, 1.0, 0.0]
    };
    let along = scale(toward, dot(axis, toward));
    unit(sub(axis, along)).unwrap_or([0.0, 0.0, 1.0])
}

/// Turns a vector of the print pose back into the mesh's frame.
pub fn from_pose(to_pose: &Rotation, v: Vec3) -> Vec3 {
    let [a, b, c] = *to_pose;
    add(add(scale(a, v[0]), scale(b, v[1])), scale(c, v[2]))
}

/// A direction of the print pose: azimuth counter-clockwise from x, elevation above the plate, degrees.
pub fn pose_direction(azimuth_deg: f64, elevation_deg: f64) -> Vec3 {
    let (a, e) = (azimuth_deg.to_radians(), elevation_deg.to_radians());
    [
        libm::cos(e) * libm::cos(a),
        libm::cos(e) * libm::sin(a),
        libm::sin(e),
    ]
}

/// The eight corners of the box around a mesh in its print pose, in the mesh's frame, and that box in
/// the pose's frame. `None` for a mesh without vertices.
pub fn posed_box(mesh: &Mesh, to_pose: &Rotation) -> Option<(Bounds, [Vec3; 8])> {
    let pieces = parallel::chunks(mesh.vertices.len(), 1 << 15, |range| {
        Bounds::of(mesh.vertices[range].iter().map(|&v| {
            let p = mesh::vector::wide(v);
            to_pose.map(|row| dot(row, p))
        }))
    });
    let bounds = Bounds::of(pieces.into_iter().flatten().flat_map(|b| [b.min, b.max]))?;
    let corners = [0usize, 1, 2, 3, 4, 5, 6, 7].map(|k| {
        let pick = |axis: usize| {
            if k >> axis & 1 == 0 {
                bounds.min[axis]
            } else {
                bounds.max[axis]
            }
        };
        from_pose(to_pose, [pick(0), pick(1), pick(2)])
    });
    Some((bounds, corners))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_view_along_an_axis_is_a_plan() {
        let view = View::from_direction([0.0, 0.0, 2.0], [0.0, 1.0, 0.0], 200, 100)
            .aimed_at(&[[0.0, 0.0, 0.0], [40.0, 10.0, 5.0]], 0.1);
        assert_eq!(view.right, [1.0, 0.0, 0.0]);
        // 40 mm fill 80 % of 200 px: 4 px a mm; the middle of the box is the middle of the picture.
        assert_eq!(view.px_per_mm, 4.0);
        assert_eq!(view.project([20.0, 5.0, 2.5]), [100.0, 50.0, 0.0]);
        assert_eq!(view.project([40.0, 10.0, 5.0]), [180.0, 30.0, 2.5]);
    }

    #[test]
    fn a_direction_along_its_own_upward_still_gives_a_frame() {
        let view = View::from_direction([0.0, 0.0, 1.0], [0.0, 0.0, 1.0], 10, 10);
        assert!((dot(view.right, view.up)).abs() < 1e-12);
        assert!((dot(view.right, view.right) - 1.0).abs() < 1e-12);
        assert_eq!(cross(view.right, view.up), view.toward);
    }

    #[test]
    fn scale_bars_are_round() {
        for (length, bar) in [
            (7.3, 5.0),
            (10.0, 10.0),
            (0.3, 0.2),
            (49.9, 20.0),
            (1e-4, 1e-4),
        ] {
            assert!(
                (round_down_125(length) / bar - 1.0).abs() < 1e-9,
                "{length}"
            );
        }
        assert_eq!(round_down_125(f64::NAN), 0.0);
        assert_eq!(round_down_125(0.0), 0.0);
    }
}
