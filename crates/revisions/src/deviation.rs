//! How far one surface lies from another, at every vertex and, between the vertices of large facets, at samples.
//!
//! A facet larger than a sample is halved across its longest edge until its pieces are small, or until one facet of
//! the other surface is close to all three corners: distance to a facet is convex, so no point between them is
//! farther. Flat faces that were cut into other triangles cost little that way, and what moved is sampled in full.

use mesh::Mesh;
use mesh::tree::{Closest, Tree, closest_on_triangle};
use mesh::vector::{Vec3, add, cross, distance, length, scale, sub, wide};

use crate::change::Body;
use crate::rigid::Rigid;

/// Vertices or facets a chunk.
const CHUNK: usize = 1 << 10;

/// Samples of one surface, at most, about: beyond it they are set wider apart.
const MOST_SAMPLES: f64 = 600_000.0;

/// A piece is not halved further when it is certain to be within this share of `same_mm`.
const CERTAIN: f64 = 0.125;

/// A place of a surface that is farther from the other than `same_mm`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Moved {
    /// Where, in the present's frame, mm.
    pub at: Vec3,
    /// Distance from the other surface, mm.
    pub distance: f64,
    /// The area it stands for, mm2.
    pub area: f64,
    /// Its facet, in its own mesh.
    pub triangle: u32,
    /// On the base (which may be gone) rather than on the present.
    pub on_base: bool,
}

/// Distances from one surface to another.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Way {
    /// The greatest, mm.
    pub max: f64,
    /// Integral of the squared distance over the surface, mm4.
    pub squared: f64,
    /// Area, mm2.
    pub area: f64,
    /// Places beyond `same_mm`, in the order of the facets.
    pub moved: Vec<Moved>,
    /// How far apart samples are, mm.
    pub step: f64,
}

/// Distances of all vertices of one mesh from another surface.
#[derive(Debug, Clone, PartialEq)]
pub struct OneWay {
    /// Of each vertex, mm.
    pub distances_mm: Vec<f64>,
}

impl OneWay {
    /// The greatest distance, mm; 0 for none.
    pub fn max_mm(&self) -> f64 {
        self.distances_mm.iter().copied().fold(0.0, f64::max)
    }
}

/// Exact distance (mm) of every vertex of `from`, moved by `map`, from the surface `to`.
pub fn vertex_distances(from: &Mesh, to: Body<'_>, map: &Rigid) -> OneWay {
    OneWay {
        distances_mm: vertices(from, to, map)
            .into_iter()
            .map(|(distance, _)| distance)
            .collect(),
    }
}

/// The closest point, given a facet that is likely to be near: the answer does not depend on it.
#[inline]
pub(crate) fn closest_from(to: Body<'_>, point: Vec3, guess: Option<u32>) -> Option<Closest> {
    let Some(guess) = guess else {
        return to.tree.closest(point, f64::INFINITY, |_| true);
    };
    let reach = distance(
        closest_on_triangle(&to.mesh.corners(guess as usize), point),
        point,
    );
    to.tree
        .closest(point, reach * (1.0 + 1e-12) + 1e-12, |_| true)
        .or_else(|| to.tree.closest(point, f64::INFINITY, |_| true))
}

fn vertices(from: &Mesh, to: Body<'_>, map: &Rigid) -> Vec<(f64, u32)> {
    let mut out = vec![(0.0, 0); from.vertices.len()];
    if to.mesh.triangles.is_empty() {
        out.fill((f64::INFINITY, 0));
        return out;
    }
    let still = map.is_identity();
    parallel::fill(&mut out, CHUNK, |first, slice| {
        let mut guess = None;
        for (offset, value) in slice.iter_mut().enumerate() {
            let own = wide(from.vertices[first + offset]);
            let point = if still { own } else { map.at(own) };
            if let Some(found) = closest_from(to, point, guess) {
                *value = (found.distance, found.triangle);
                guess = Some(found.triangle);
            }
        }
    });
    out
}

/// Distances from `from` to `to`. `map` takes the frame of `from` to that of `to`, `show` to the present's.
pub(crate) fn one_way(
    from: Body<'_>,
    to: Body<'_>,
    map: &Rigid,
    show: &Rigid,
    on_base: bool,
    same: f64,
    sample: f64,
) -> Way {
    let mesh = from.mesh;
    let at_vertices = vertices(mesh, to, map);
    let step = step(mesh, sample);
    let piece = Piece {
        to,
        same,
        step,
        show: &map.inverse().then(show),
        on_base,
    };
    let parts = parallel::chunks(mesh.triangles.len(), CHUNK, |range| {
        let mut part = Way::default();
        let mut seed = None;
        for t in range {
            let ids = mesh.triangles[t].map(|v| v as usize);
            let corners = mesh.corners(t).map(|p| map.at(p));
            if longest(&corners).0 > step {
                piece.sample(t as u32, corners, &mut seed, &mut part);
                for v in ids {
                    part.max = part.max.max(at_vertices[v].0);
                }
                continue;
            }
            let area = area(&corners);
            let mut squared = 0.0;
            for (k, v) in ids.into_iter().enumerate() {
                let far = at_vertices[v].0;
                squared += far * far;
                part.max = part.max.max(far);
                if far > same {
                    part.moved.push(Moved {
                        at: piece.show.at(corners[k]),
                        distance: far,
                        area: area / 3.0,
                        triangle: t as u32,
                        on_base,
                    });
                }
            }
            part.squared += area * squared / 3.0;
            part.area += area;
        }
        part
    });
    let mut whole = Way {
        step,
        ..Way::default()
    };
    whole
        .moved
        .reserve_exact(parts.iter().map(|p| p.moved.len()).sum());
    for part in parts {
        whole.max = whole.max.max(part.max);
        whole.squared += part.squared;
        whole.area += part.area;
        whole.moved.extend(part.moved);
    }
    whole
}

/// How far apart samples may be so that there are not too many of them.
fn step(mesh: &Mesh, sample: f64) -> f64 {
    let sizes = parallel::chunks(mesh.triangles.len(), 1 << 14, |range| {
        range
            .map(|t| (longest(&mesh.corners(t)).0, mesh.triangle_area(t)))
            .filter(|&(long, _)| long > sample)
            .collect::<Vec<_>>()
    });
    let mut step = sample;
    loop {
        let count: f64 = sizes
            .iter()
            .flatten()
            .filter(|&&(long, _)| long > step)
            .map(|&(long, area)| 2.0 * long / step + 4.0 * area / (step * step))
            .sum();
        if count <= MOST_SAMPLES || !count.is_finite() {
            return step;
        }
        step *= 1.25;
    }
}

struct Piece<'a> {
    to: Body<'a>,
    same: f64,
    step: f64,
    /// From the frame of `to` to the present's.
    show: &'a Rigid,
    on_base: bool,
}

impl Piece<'_> {
    /// Samples one large facet.
    fn sample(&self, triangle: u32, corners: [Vec3; 3], guess: &mut Option<u32>, out: &mut Way) {
        let mut open = vec![corners];
        while let Some(piece) = open.pop() {
            let [a, b, c] = piece;
            let centre = scale(add(add(a, b), c), 1.0 / 3.0);
            let Some(found) = closest_from(self.to, centre, *guess) else {
                continue;
            };
            *guess = Some(found.triangle);
            let (long, edge) = longest(&piece);
            if long > self.step {
                let facet = self.to.mesh.corners(found.triangle as usize);
                let worst = piece
                    .iter()
                    .map(|&p| distance(closest_on_triangle(&facet, p), p))
                    .fold(0.0, f64::max);
                if worst > CERTAIN * self.same {
                    let (p, q, r) = (piece[edge], piece[(edge + 1) % 3], piece[(edge + 2) % 3]);
                    let middle = scale(add(p, q), 0.5);
                    open.push([middle, q, r]);
                    open.push([p, middle, r]);
                    continue;
                }
            }
            let area = area(&piece);
            out.squared += area * found.distance * found.distance;
            out.area += area;
            out.max = out.max.max(found.distance);
            if found.distance > self.same {
                out.moved.push(Moved {
                    at: self.show.at(centre),
                    distance: found.distance,
                    area,
                    triangle,
                    on_base: self.on_base,
                });
            }
        }
    }
}

/// The longest edge: its length and the corner it begins with.
#[inline]
fn longest(corners: &[Vec3; 3]) -> (f64, usize) {
    let mut best = (0.0, 0);
    for k in 0..3 {
        let long = distance(corners[k], corners[(k + 1) % 3]);
        if long > best.0 {
            best = (long, k);
        }
    }
    best
}

#[inline]
fn area([a, b, c]: &[Vec3; 3]) -> f64 {
    0.5 * length(cross(sub(*b, *a), sub(*c, *a)))
}

/// Whether every vertex of two bodies lies within `same` of the other's surface, with an end at the first that does
/// not.
pub(crate) fn all_within(base: Body<'_>, present: Body<'_>, onto: &Rigid, same: f64) -> bool {
    use std::sync::atomic::{AtomicBool, Ordering};
    let way = |from: &Mesh, tree: &Tree, map: &Rigid| {
        let failed = AtomicBool::new(false);
        // Vertices from all over the part come first: what moved is met soon.
        let stride = from.vertices.len().div_ceil(256).max(1);
        let count = from.vertices.len();
        for pass in [true, false] {
            parallel::chunks(count, CHUNK, |range| {
                for v in range {
                    if failed.load(Ordering::Relaxed) {
                        return;
                    }
                    if (v % stride == 0) == pass
                        && tree
                            .closest(map.at(wide(from.vertices[v])), same, |_| true)
                            .is_none()
                    {
                        failed.store(true, Ordering::Relaxed);
                    }
                }
            });
        }
        !failed.load(Ordering::Relaxed)
    };
    way(base.mesh, present.tree, onto) && way(present.mesh, base.tree, &onto.inverse())
}
