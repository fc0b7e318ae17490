//! Which facets are too steep to rest, and what each layer adds of them.

use layers::{Grid, Raster, Stack};
use mesh::vector::{Vec3, cross, length, sub};

use super::Asks;
use crate::print::Height;

/// A middle this near to a facet's edge lies on it, pixels: outlines and facets are rounded differently.
const TOUCH: f64 = 1e-6;

/// A facet steeper than allowed.
struct Facet {
    corners: [Vec3; 3],
    /// The first and last layer that it adds to.
    layers: [usize; 2],
    lines: Lines,
}

/// How lines lie on what hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Lines {
    /// Each still on the one below.
    Held,
    /// Beside the one below.
    Loose,
    /// In the air.
    Air,
}

/// The steep facets of a part, handed out layer by layer from the plate up.
pub(super) struct Steep {
    /// By first layer, ascending.
    facets: Vec<Facet>,
    next: usize,
    /// Facets that have begun and may go on.
    open: Vec<usize>,
    rows: Vec<[f64; 2]>,
}

/// What one layer adds over steep facets.
pub(super) struct Added {
    /// All of it.
    pub steep: Raster,
    /// Where lines lie loosely, or in the air.
    pub loose: Raster,
    /// Where lines lie in the air.
    pub air: Raster,
}

impl Steep {
    pub(super) fn of(stack: &Stack, height: &Height, asks: &Asks) -> Steep {
        let posed = stack.posed();
        let steep_deg = asks.allowed_deg + asks.slack_deg;
        let least = libm::sin(steep_deg.to_radians());
        let [loose, air] = [asks.loose_lines, asks.held_lines]
            .map(|lines| libm::sin(from_deg(lines, height, asks).to_radians()));
        let mut facets: Vec<Facet> = (0..posed.mesh.triangles.len())
            .filter_map(|t| {
                let corners = posed.corners(t);
                let [a, b, c] = corners;
                let doubled = cross(sub(b, a), sub(c, a));
                let down = -doubled[2] / length(doubled);
                // A facet without area looks nowhere.
                if down.is_nan() || down <= least {
                    return None;
                }
                // As the cuts take them, so that no pixel lies between a layer's outline and its facets.
                let mut corners = corners;
                let levels = [0, 1, 2].map(|k| {
                    let (level, z) = stack.first_above(corners[k][2]);
                    corners[k][2] = z;
                    level
                });
                Some(Facet {
                    corners,
                    layers: [
                        levels[0].min(levels[1]).min(levels[2]),
                        levels[0].max(levels[1]).max(levels[2]),
                    ],
                    lines: match down {
                        d if d > air => Lines::Air,
                        d if d > loose => Lines::Loose,
                        _ => Lines::Held,
                    },
                })
            })
            .collect();
        facets.sort_by_key(|f| f.layers[0]);
        Steep {
            facets,
            next: 0,
            open: Vec::new(),
            rows: Vec::new(),
        }
    }

    /// What layer `k` adds; layers are asked for in order. `None` where no facet is steep there.
    pub(super) fn added(&mut self, grid: &Grid, stack: &Stack, k: usize) -> Option<Added> {
        while self.next < self.facets.len() && self.facets[self.next].layers[0] <= k {
            self.open.push(self.next);
            self.next += 1;
        }
        let facets = &self.facets;
        self.open.retain(|&f| facets[f].layers[1] >= k);
        if self.open.is_empty() {
            return None;
        }
        let mut added = Added {
            steep: grid.blank(),
            loose: grid.blank(),
            air: grid.blank(),
        };
        let from = k
            .checked_sub(1)
            .map_or(f64::NEG_INFINITY, |k| stack.z_mm(k));
        let to = stack.z_mm(k);
        for &f in &self.open {
            let facet = &self.facets[f];
            let piece = clipped(&facet.corners, from, to);
            scan(grid, &piece, &mut self.rows, |row, start, end| {
                added.steep.set_run(row, start, end);
                if facet.lines >= Lines::Loose {
                    added.loose.set_run(row, start, end);
                }
                if facet.lines == Lines::Air {
                    added.air.set_run(row, start, end);
                }
            });
        }
        Some(added)
    }
}

/// The angle from vertical from which a layer reaches beyond the one below by so many lines, degrees; never less than
/// what is allowed.
fn from_deg(lines: f64, height: &Height, asks: &Asks) -> f64 {
    let step = lines * height.bead_mm / height.layer_mm;
    libm::atan(step)
        .to_degrees()
        .max(asks.allowed_deg + asks.slack_deg)
}

/// The part of a triangle between two heights, from the first, below the second.
fn clipped(corners: &[Vec3; 3], from: f64, to: f64) -> Vec<[f64; 2]> {
    let mut piece: Vec<Vec3> = corners.to_vec();
    for (level, keep_above) in [(from, true), (to, false)] {
        if level.is_infinite() {
            continue;
        }
        let inside = |p: &Vec3| (p[2] >= level) == keep_above;
        let mut next = Vec::with_capacity(piece.len() + 1);
        for (i, p) in piece.iter().enumerate() {
            let q = &piece[(i + 1) % piece.len()];
            if inside(p) {
                next.push(*p);
            }
            if inside(p) != inside(q) {
                next.push(cut(*p, *q, level));
            }
        }
        piece = next;
    }
    piece.into_iter().map(|p| [p[0], p[1]]).collect()
}

/// Where an edge crosses a height: from its lower end, so that both its facets get the same bits.
fn cut(p: Vec3, q: Vec3, level: f64) -> Vec3 {
    let (low, high) = if p[2] <= q[2] { (p, q) } else { (q, p) };
    let s = (level - low[2]) / (high[2] - low[2]);
    [
        low[0] + s * (high[0] - low[0]),
        low[1] + s * (high[1] - low[1]),
        level,
    ]
}

/// Runs of pixels whose middles lie in a convex polygon; the rule for edges is that of the layers' own filling.
fn scan(
    grid: &Grid,
    polygon: &[[f64; 2]],
    rows: &mut Vec<[f64; 2]>,
    mut work: impl FnMut(usize, usize, usize),
) {
    let scale = 1.0 / grid.pixel_mm;
    let [ox, oy] = grid.origin_mm;
    let place = |p: [f64; 2]| [(p[0] - ox) * scale - 0.5, (p[1] - oy) * scale - 0.5];
    let row_of = |y: f64| y.ceil().clamp(0.0, grid.height as f64) as usize;
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for &p in polygon {
        let y = place(p)[1];
        low = low.min(y);
        high = high.max(y);
    }
    if low >= high {
        return;
    }
    let first = row_of(low);
    rows.clear();
    rows.resize(row_of(high) - first, [f64::INFINITY, f64::NEG_INFINITY]);
    for (i, &p) in polygon.iter().enumerate() {
        let [p, q] = [place(p), place(polygon[(i + 1) % polygon.len()])];
        let (a, b) = if q[1] > p[1] { (p, q) } else { (q, p) };
        let slope = (b[0] - a[0]) / (b[1] - a[1]);
        for row in row_of(a[1])..row_of(b[1]) {
            let x = a[0] + (row as f64 - a[1]) * slope;
            let span = &mut rows[row - first];
            span[0] = span[0].min(x);
            span[1] = span[1].max(x);
        }
    }
    let column = |x: f64| x.ceil().clamp(0.0, grid.width as f64) as usize;
    for (k, &[from, to]) in rows.iter().enumerate() {
        if from <= to {
            let (start, end) = (column(from - TOUCH), column(to + TOUCH));
            if start < end {
                work(first + k, start, end);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The 100 pixels of a square, half of it each for two triangles, whatever the grid: no pixel of the diagonal is
    /// counted twice or left out.
    #[test]
    fn two_triangles_of_a_square_share_its_pixels() {
        let grid = Grid::covering([0.0, 0.0], [1.0, 1.0], 0.1, 0.2).expect("a grid");
        let corners = [
            [0.0, 0.0, 1.0],
            [1.0, 0.0, 1.0],
            [1.0, 1.0, 1.0],
            [0.0, 1.0, 1.0],
        ];
        let mut seen = grid.blank();
        let mut total = 0;
        for t in [[0, 1, 2], [0, 2, 3]] {
            let piece = clipped(&t.map(|k| corners[k]), 0.5, 1.5);
            scan(&grid, &piece, &mut Vec::new(), |row, start, end| {
                total += end - start;
                seen.set_run(row, start, end);
            });
        }
        // Those on the diagonal may lie on both.
        assert_eq!(seen.pixels(), 100);
        assert!((100..=110).contains(&total), "{total}");
    }

    #[test]
    fn a_slope_is_cut_at_its_heights() {
        // z = x over a unit square's half.
        let corners = [[0.0, 0.0, 0.0], [1.0, 0.0, 1.0], [1.0, 1.0, 1.0]];
        let mut xs: Vec<f64> = clipped(&corners, 0.25, 0.5).iter().map(|p| p[0]).collect();
        xs.sort_by(f64::total_cmp);
        assert_eq!(xs, [0.25, 0.25, 0.5, 0.5]);
    }
}
