//! Cuts a mesh by a plane: closed contours with the material on their left.
//!
//! A vertex on the plane counts as above it, so every facet that is cut has one edge that goes down
//! and one that comes up, and contours close on every closed mesh. A point is computed on its edge in
//! the order of the vertex numbers, so both facets of an edge get the same bits.

use mesh::Mesh;
use mesh::vector::{Vec3, add, cross, dot, scale, sub, unit, wide};

use crate::camera::Rotation;

const CHUNK: usize = 1 << 15;
/// A direction counts as along an axis when its cosine is above this.
const ALONG: f64 = 0.999_999;
/// A thin direction flatter than this (cosine to the upright) is cut level, a steeper one upright.
const LEVEL: f64 = 0.5;

/// A plane to cut by; all vectors lie in the mesh's own frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// A point of the plane, mm: the origin of its coordinates.
    pub origin: Vec3,
    /// Unit vector to the right of the drawing.
    pub right: Vec3,
    /// Unit vector to the top of the drawing.
    pub up: Vec3,
}

impl Plane {
    /// Towards the reader; what lies there is cut away.
    pub fn normal(&self) -> Vec3 {
        cross(self.right, self.up)
    }

    /// A point in the plane's coordinates, mm: right and up from the origin.
    pub fn flat(&self, p: Vec3) -> [f64; 2] {
        let d = sub(p, self.origin);
        [dot(d, self.right), dot(d, self.up)]
    }

    /// The plane through a place that holds the direction `along` in which something was measured, so
    /// that the drawing shows its true length: level where that direction is nearly level in the print
    /// pose, else upright. Without a direction, level.
    pub fn through(place: Vec3, along: Option<Vec3>, to_pose: &Rotation) -> Plane {
        let [x, y, z] = *to_pose;
        let Some(t) = along.and_then(unit) else {
            return Plane {
                origin: place,
                right: x,
                up: y,
            };
        };
        let toward = if dot(t, z).abs() < LEVEL {
            z
        } else if dot(t, y).abs() <= dot(t, x).abs() {
            scale(y, -1.0)
        } else {
            x
        };
        // Lean the cut until it holds the direction.
        let normal = unit(sub(toward, scale(t, dot(toward, t)))).unwrap_or(z);
        let upward = if dot(normal, z).abs() < LEVEL { z } else { y };
        let right = unit(cross(upward, normal)).unwrap_or(x);
        Plane {
            origin: place,
            right,
            up: cross(normal, right),
        }
    }

    /// Where the cut lies, in words of the mesh's own frame: "section at z 11.80" or "slanting section".
    pub fn words(&self) -> String {
        let n = self.normal();
        match axis_of(n) {
            Some((axis, _)) => format!("section at {axis} {:.2}", dot(self.origin, n) * n_sign(n)),
            None => "slanting section".to_string(),
        }
    }
}

fn n_sign(n: Vec3) -> f64 {
    if n.iter().sum::<f64>() < 0.0 {
        -1.0
    } else {
        1.0
    }
}

/// The axis of the mesh's frame that a direction lies along, and whether it points up it.
pub(crate) fn axis_of(d: Vec3) -> Option<(char, bool)> {
    ['x', 'y', 'z']
        .into_iter()
        .zip(d)
        .find(|(_, c)| c.abs() > ALONG)
        .map(|(name, c)| (name, c > 0.0))
}

/// One line of a cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Contour {
    /// Points in the plane's coordinates, mm; the material lies on the left.
    pub points: Vec<[f64; 2]>,
    /// Whether the last point joins the first; an open line shows a hole in the mesh.
    pub closed: bool,
}

/// A cut through a mesh.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// The plane.
    pub plane: Plane,
    /// Its contours.
    pub contours: Vec<Contour>,
}

/// A cut facet: the edge where it goes below the plane, the edge where it comes up again.
#[derive(Clone, Copy)]
struct Piece {
    from: [u32; 2],
    to: [u32; 2],
}

/// Cuts a mesh.
pub fn cut(mesh: &Mesh, plane: Plane) -> Section {
    let normal = plane.normal();
    let heights: Vec<f64> = parallel::chunks(mesh.vertices.len(), CHUNK, |range| {
        mesh.vertices[range]
            .iter()
            .map(|&v| dot(sub(wide(v), plane.origin), normal))
            .collect::<Vec<_>>()
    })
    .concat();
    let above = |v: u32| heights[v as usize] >= 0.0;
    let mut pieces: Vec<Piece> = parallel::chunks(mesh.triangles.len(), CHUNK, |range| {
        mesh.triangles[range]
            .iter()
            .filter_map(|t| {
                let edge = |down: bool| {
                    (0..3)
                        .map(|k| [t[k], t[(k + 1) % 3]])
                        .find(|&[a, b]| above(a) == down && above(b) != down)
                        .map(|[a, b]| [a.min(b), a.max(b)])
                };
                Some(Piece {
                    from: edge(true)?,
                    to: edge(false)?,
                })
            })
            .collect::<Vec<_>>()
    })
    .concat();
    pieces.sort_by_key(|p| (p.from, p.to));
    let point = |[a, b]: [u32; 2]| {
        let (ha, hb) = (heights[a as usize], heights[b as usize]);
        let (p, q) = (
            wide(mesh.vertices[a as usize]),
            wide(mesh.vertices[b as usize]),
        );
        plane.flat(add(p, scale(sub(q, p), ha / (ha - hb))))
    };
    let contours = walk(&pieces)
        .into_iter()
        .map(|(edges, closed)| Contour {
            points: edges.into_iter().map(point).collect(),
            closed,
        })
        .collect();
    Section { plane, contours }
}

/// Cuts a mesh by a plane, or where that meets nothing (along an outer face, say) by the nearest of a few
/// planes beside it, up to half a millimetre away.
pub fn cut_near(mesh: &Mesh, plane: Plane) -> Section {
    const ASIDE_MM: [f64; 7] = [0.0, 0.01, -0.01, 0.1, -0.1, 0.5, -0.5];
    let mut first = None;
    for aside in ASIDE_MM {
        let origin = add(plane.origin, scale(plane.normal(), aside));
        let section = cut(mesh, Plane { origin, ..plane });
        if !section.contours.is_empty() {
            return section;
        }
        first.get_or_insert(section);
    }
    first.unwrap_or(Section {
        plane,
        contours: Vec::new(),
    })
}

/// Joins pieces end to start: chains of edges, and whether each closes.
fn walk(pieces: &[Piece]) -> Vec<(Vec<[u32; 2]>, bool)> {
    let mut used = vec![false; pieces.len()];
    // Chains that no piece leads into begin first, so that an open line is walked from its start.
    let mut ends: Vec<[u32; 2]> = pieces.iter().map(|p| p.to).collect();
    ends.sort_unstable();
    let led_into = |edge: &[u32; 2]| ends.binary_search(edge).is_ok();
    let starts = (0..pieces.len()).filter(|&i| !led_into(&pieces[i].from));
    let order: Vec<usize> = starts.chain(0..pieces.len()).collect();
    let mut chains = Vec::new();
    for first in order {
        if used[first] {
            continue;
        }
        used[first] = true;
        let mut edges = vec![pieces[first].from];
        let mut end = pieces[first].to;
        let closed = loop {
            if end == edges[0] {
                break true;
            }
            edges.push(end);
            let from = pieces.partition_point(|p| p.from < end);
            let next = (from..pieces.len())
                .take_while(|&i| pieces[i].from == end)
                .find(|&i| !used[i]);
            match next {
                Some(i) => {
                    used[i] = true;
                    end = pieces[i].to;
                }
                None => break false,
            }
        };
        chains.push((edges, closed));
    }
    chains
}

impl Section {
    /// Area of the cut where contours do not overlap, mm2: the sum of all signed areas.
    pub fn area_mm2(&self) -> f64 {
        self.contours
            .iter()
            .filter(|c| c.closed)
            .map(|c| {
                let n = c.points.len();
                (0..n)
                    .map(|i| {
                        let (p, q) = (c.points[i], c.points[(i + 1) % n]);
                        0.5 * (p[0] * q[1] - q[0] * p[1])
                    })
                    .sum::<f64>()
            })
            .sum()
    }

    /// Distances along a line, mm, from `at` in unit direction `along`, at which contours are crossed,
    /// in order.
    pub fn crossings(&self, at: [f64; 2], along: [f64; 2]) -> Vec<f64> {
        let side = |p: [f64; 2]| (p[0] - at[0]) * along[1] - (p[1] - at[1]) * along[0];
        let far = |p: [f64; 2]| (p[0] - at[0]) * along[0] + (p[1] - at[1]) * along[1];
        let mut found = Vec::new();
        for c in &self.contours {
            let n = c.points.len();
            let last = if c.closed { n } else { n.saturating_sub(1) };
            for i in 0..last {
                let (p, q) = (c.points[i], c.points[(i + 1) % n]);
                let (a, b) = (side(p), side(q));
                if (a >= 0.0) != (b >= 0.0) {
                    found.push(far(p) + (far(q) - far(p)) * a / (a - b));
                }
            }
        }
        found.sort_by(f64::total_cmp);
        found
    }

    /// The two points between which a length was measured at a place: the neighbouring crossings of the
    /// line through it whose distance is nearest to `measured_mm`, at most a quarter of it away from the
    /// place and from the length; `None` where the contours show no such pair.
    pub fn span(&self, at: [f64; 2], along: [f64; 2], measured_mm: f64) -> Option<[[f64; 2]; 2]> {
        let room = 0.25 * measured_mm;
        let point = |s: f64| [at[0] + s * along[0], at[1] + s * along[1]];
        self.crossings(at, along)
            .windows(2)
            .map(|w| (w[0], w[1]))
            .filter(|(a, b)| *a <= room && *b >= -room)
            .map(|(a, b)| (a, b, (b - a - measured_mm).abs()))
            .filter(|&(_, _, miss)| miss <= room)
            .min_by(|p, q| p.2.total_cmp(&q.2))
            .map(|(a, b, _)| [point(a), point(b)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::closeup::block;

    const AS_MODELLED: Rotation = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn level(z: f64) -> Plane {
        Plane::through([0.0, 0.0, z], None, &AS_MODELLED)
    }

    #[test]
    fn a_block_is_cut_into_its_own_rectangle_whatever_the_plane() {
        let mesh = block([0.0; 3], [40.0, 20.0, 10.0]);
        let half = 0.5f64.sqrt();
        let upright = |t| Plane::through([20.0, 10.0, 5.0], Some(t), &AS_MODELLED);
        let slant = Plane {
            origin: [20.0, 10.0, 5.0],
            right: [half, 0.0, half],
            up: [0.0, 1.0, 0.0],
        };
        // Through corners, between them, upright both ways, and slanting by 45 degrees: sides of the
        // block multiplied (elementary geometry).
        for (plane, area) in [
            (level(10.0), 800.0),
            (level(5.0), 800.0),
            (upright([1.0, 0.0, 1.0]), 400.0),
            (upright([0.0, 0.1, 1.0]), 200.0),
            (slant, 20.0 * 10.0 * 2f64.sqrt()),
        ] {
            let got = cut(&mesh, plane);
            assert_eq!(got.contours.len(), 1, "{plane:?}");
            assert!(got.contours[0].closed);
            assert!(
                (got.area_mm2() - area).abs() < 1e-9,
                "{plane:?} {}",
                got.area_mm2()
            );
        }
        assert!(cut(&mesh, level(10.5)).contours.is_empty());
        assert!(cut(&Mesh::default(), level(0.0)).contours.is_empty());
        // A plane along a face that is no upper side meets nothing; a hair further it does.
        assert!(cut(&mesh, level(0.0)).contours.is_empty());
        let near = cut_near(&mesh, level(0.0));
        assert!((near.area_mm2() - 800.0).abs() < 1e-9);
        assert!(cut_near(&mesh, level(50.0)).contours.is_empty());
    }

    #[test]
    fn a_cavity_is_a_contour_the_other_way_round() {
        let mut mesh = block([0.0; 3], [20.0, 20.0, 20.0]);
        let inner = block([5.0; 3], [15.0, 15.0, 15.0]);
        let base = mesh.vertices.len() as u32;
        mesh.vertices.extend(inner.vertices);
        mesh.triangles.extend(
            inner
                .triangles
                .iter()
                .map(|t| [t[0] + base, t[2] + base, t[1] + base]),
        );
        let got = cut(&mesh, level(10.0));
        assert_eq!(got.contours.len(), 2);
        assert!((got.area_mm2() - (400.0 - 100.0)).abs() < 1e-9);
        assert_eq!(
            got.crossings([0.0, 10.0], [1.0, 0.0]),
            [0.0, 5.0, 15.0, 20.0]
        );
        let wall = got
            .span([0.0, 10.0], [1.0, 0.0], 5.0)
            .expect("a wall of 5 mm");
        assert_eq!(wall, [[0.0, 10.0], [5.0, 10.0]]);
        assert_eq!(got.span([0.0, 10.0], [1.0, 0.0], 1.0), None);
    }

    #[test]
    fn an_open_mesh_gives_an_open_line_from_its_start() {
        let mut mesh = block([0.0; 3], [10.0; 3]);
        mesh.triangles
            .retain(|t| !(t.contains(&1) && t.contains(&7)));
        let got = cut(&mesh, level(5.0));
        assert_eq!(got.contours.len(), 1);
        assert!(!got.contours[0].closed);
    }

    #[test]
    fn the_plane_holds_the_thin_direction() {
        for t in [
            [1.0, 0.0, 0.0],
            [0.0, 0.0, 1.0],
            [0.0, 1.0, 0.3],
            [1.0, 1.0, 1.0],
            [0.1, 0.2, 3.0],
        ] {
            let t = unit(t).expect("it has a length");
            let plane = Plane::through([1.0, 2.0, 3.0], Some(t), &AS_MODELLED);
            assert!(dot(plane.normal(), t).abs() < 1e-12);
            assert!((dot(plane.normal(), plane.normal()) - 1.0).abs() < 1e-12);
        }
        assert_eq!(level(11.8).words(), "section at z 11.80");
        let upright = Plane::through([1.0, 2.0, 3.0], Some([0.0, 0.0, 1.0]), &AS_MODELLED);
        assert_eq!(upright.words(), "section at y 2.00");
    }
}
