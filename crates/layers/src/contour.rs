//! A layer's outline, as every pass takes it.

/// One chain of points in the print pose, mm.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Contour {
    /// Points in order; material lies to the left of the way (outer rings run counter-clockwise, holes clockwise).
    /// The last point joins the first where the chain is closed.
    pub points: Vec<[f64; 2]>,
    /// Whether the chain closes. An open one comes from an open surface and bounds nothing.
    pub closed: bool,
}

impl Contour {
    /// Signed area, mm2: positive for outer rings, negative for holes, 0 for open chains.
    pub fn area_mm2(&self) -> f64 {
        if !self.closed || self.points.len() < 3 {
            return 0.0;
        }
        // About the first point, so that a layer far from the origin loses no digits.
        let [ox, oy] = self.points[0];
        let mut sum = 0.0;
        for w in self.points.windows(2) {
            let ([ax, ay], [bx, by]) = (w[0], w[1]);
            sum += (ax - ox) * (by - oy) - (bx - ox) * (ay - oy);
        }
        0.5 * sum
    }
}

/// One layer of a part in its print pose.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Layer {
    /// Number from the plate, from 0.
    pub index: usize,
    /// Height of the cut above the plate, mm: the middle of the layer.
    pub z_mm: f64,
    /// The cut.
    pub contours: Vec<Contour>,
}

impl Layer {
    /// Area by signed contours, mm2. Shells that overlap count twice: rasters by winding number do not.
    pub fn area_mm2(&self) -> f64 {
        self.contours.iter().map(Contour::area_mm2).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_with_a_hole() {
        let ring = |a: f64, turned: bool| {
            let mut points = vec![[-a, -a], [a, -a], [a, a], [-a, a]];
            if turned {
                points.reverse();
            }
            Contour {
                points: points.into_iter().map(|[x, y]| [x + 1e4, y]).collect(),
                closed: true,
            }
        };
        let layer = Layer {
            contours: vec![ring(10.0, false), ring(4.0, true)],
            ..Layer::default()
        };
        assert!((layer.area_mm2() - (400.0 - 64.0)).abs() < 1e-9);
    }
}
