//! The largest ball that touches a point of the surface from one side and holds nothing that faces it.

use mesh::Mesh;
use mesh::tree::{Tree, closest_on_triangle};
use mesh::vector::{Vec3, add, distance, dot, length, scale, sub};

use super::cones::Cone;

/// What is shared by every reading of one part.
#[derive(Clone, Copy)]
pub struct Ground<'a> {
    /// The part's mesh.
    pub mesh: &'a Mesh,
    /// The tree built over it.
    pub tree: &'a Tree,
    /// Unit outward normals of all facets; zero for facets without area. See [`normals`].
    pub normals: &'a [Vec3],
    /// Which way the facets of each leaf of the tree face. See [`cones`](super::cones()).
    pub cones: &'a [Cone],
}

/// Unit outward normals of all facets; zero for facets without area.
pub fn normals(mesh: &Mesh) -> Vec<Vec3> {
    let chunks = parallel::chunks(mesh.triangles.len(), 8192, |range| {
        range
            .map(|t| mesh.normal(t).unwrap_or([0.0; 3]))
            .collect::<Vec<_>>()
    });
    chunks.concat()
}

/// On which side of the surface is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// In the material: wall thickness.
    Inside,
    /// In the air: gap width.
    Outside,
}

/// A ball between two walls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ball {
    /// Its diameter, mm: the thickness.
    pub diameter_mm: f64,
    /// Its centre.
    pub centre: Vec3,
    /// Where it touches the other wall.
    pub contact: Vec3,
    /// The facet it touches there.
    pub opposite: u32,
    /// Change of thickness along the surface, mm per mm, where both walls go on as flat as at the contacts:
    /// 2 tan(a/2) for walls at the angle a.
    pub rate: f64,
}

/// Cosine between contact normals 120 degrees apart: walls that stand at 60 degrees to each other.
const OPPOSING: f64 = -0.5;
/// Facets less than 95 degrees away from the start's normal bound no wall: they are its own curved
/// neighbours, rims and side faces.
const TURNED_AWAY: f64 = -0.087;
/// Faces at least 155 degrees apart: where side faces keep the ball from the opposite wall (the neighbouring
/// facets of a slender facetted pin, the end of a wedge), only these are looked at.
pub(super) const NEARLY_PARALLEL: f64 = -0.9063;
/// 2 tan(a/2) for walls 25 degrees from parallel.
const NEARLY_PARALLEL_RATE: f64 = 0.4434;
/// A surface counts as inside the ball when it is nearer than the radius by more than this share.
const SHRINK: f64 = 1.0 - 1e-4;
/// A point of contact lies on a facet within this share of the radius.
const ON_FACET: f64 = 1e-6;
/// Rounds of shrinking; a plain facet needs one or two.
const ROUNDS: usize = 64;

/// The ball that touches `at` on facet `origin`, at most `reach_mm` in diameter by the ray that starts it;
/// `None` where no wall stands opposite within reach.
pub fn ball_at(
    ground: &Ground<'_>,
    side: Side,
    at: Vec3,
    origin: u32,
    reach_mm: f64,
) -> Option<Ball> {
    let (start, facet) = ray_at(ground, side, at, origin, reach_mm, |_| false)?;
    ball_from(ground, side, at, origin, start, facet)
}

/// Distance along the normal to the first facet that faces the other way, and that facet. Hits that `passes`
/// admits are passed by.
pub(super) fn ray_at(
    ground: &Ground,
    side: Side,
    at: Vec3,
    origin: u32,
    reach_mm: f64,
    passes: impl Fn(Vec3) -> bool,
) -> Option<(f64, u32)> {
    let normal = ground.normals[origin as usize];
    // Adding zero turns -0.0 into 0.0.
    let way = match side {
        Side::Inside => normal.map(|x| 0.0 - x),
        Side::Outside => normal.map(|x| x + 0.0),
    };
    if dot(way, way) == 0.0 {
        return None;
    }
    let (mut from, mut gone, mut skip) = (at, 0.0, origin);
    // Facets that face the same way are entries into an overlapping body, not ends of the wall. A ray that
    // meets this many of them runs through a heap of bodies.
    for _ in 0..16 {
        let hit = ground.tree.first_hit(from, way, reach_mm - gone, skip)?;
        gone += hit.t;
        let facet = hit.triangle;
        from = add(at, scale(way, gone));
        if dot(ground.normals[facet as usize], normal) < 0.0 && !passes(from) {
            return Some((gone, facet));
        }
        skip = facet;
    }
    None
}

/// Shrinks the ball whose diameter is the ray's length.
pub(super) fn ball_from(
    ground: &Ground,
    side: Side,
    at: Vec3,
    origin: u32,
    start: f64,
    facet: u32,
) -> Option<Ball> {
    // First among everything that faces away, so that a reflex edge between steep flanks is seen.
    let first = shrink(ground, side, at, origin, start, facet, TURNED_AWAY);
    let (outward, facing) = (
        ground.normals[origin as usize],
        ground.normals[facet as usize],
    );
    if first.is_some_and(|b| b.rate <= NEARLY_PARALLEL_RATE)
        || dot(facing, outward) > NEARLY_PARALLEL
    {
        return first;
    }
    // The ray says that a parallel wall is there: what kept the ball from it stands beside it.
    shrink(ground, side, at, origin, start, facet, NEARLY_PARALLEL).or(first)
}

/// The ball that touches `at` and the plane of a facet, with its point of contact, where that lies on the
/// facet. The step through the nearest point alone comes closer to it round by round.
fn on_facet(
    ground: &Ground,
    at: Vec3,
    normal: Vec3,
    outward: Vec3,
    facet: u32,
) -> Option<(f64, Vec3)> {
    let facing = ground.normals[facet as usize];
    // Away from the medium on that side too.
    let away = scale(facing, dot(normal, outward));
    let corners = ground.mesh.corners(facet as usize);
    let depth = dot(away, sub(corners[0], at));
    let radius = depth / (1.0 - dot(away, normal));
    if radius.is_nan() || radius <= 0.0 {
        return None;
    }
    let centre = sub(at, scale(normal, radius));
    let touch = add(centre, scale(away, radius));
    let on = closest_on_triangle(&corners, touch);
    (distance(on, touch) <= ON_FACET * radius).then_some((radius, touch))
}

fn shrink(
    ground: &Ground,
    side: Side,
    at: Vec3,
    origin: u32,
    start: f64,
    facet: u32,
    facing: f64,
) -> Option<Ball> {
    let outward = ground.normals[origin as usize];
    // Away from the medium that the ball lies in.
    let normal = match side {
        Side::Inside => outward,
        Side::Outside => scale(outward, -1.0),
    };
    let (way, limit) = (outward.map(|x| x as f32), facing as f32);
    let enter = |leaf: usize| !ground.cones[leaf].all_above(way, limit);
    let accept = |t: u32| t != origin && dot(ground.normals[t as usize], outward) <= facing;
    let mut radius = 0.5 * start;
    let mut contact = sub(at, scale(normal, start));
    let mut opposite = facet;
    for _ in 0..ROUNDS {
        let centre = sub(at, scale(normal, radius));
        let Some(near) = ground
            .tree
            .closest_among(centre, radius * SHRINK, enter, accept)
        else {
            break;
        };
        let off = sub(at, near.point);
        let lean = 2.0 * dot(normal, off);
        let squared = dot(off, off);
        // A point on the tangent plane cannot be inside the ball: rounding said so.
        if lean <= 0.0 || lean.is_nan() || squared >= radius * lean {
            break;
        }
        radius = squared / lean;
        contact = near.point;
        opposite = near.triangle;
        if let Some((exact, touch)) = on_facet(ground, at, normal, outward, opposite)
            && exact < radius
        {
            radius = exact;
            contact = touch;
        }
    }
    let centre = sub(at, scale(normal, radius));
    let to = sub(contact, centre);
    let far = length(to);
    // Walls that touch: no ball, and the facets themselves say how they stand.
    let cosine = if far > 1e-9 {
        dot(to, normal) / far
    } else {
        dot(ground.normals[opposite as usize], outward)
    };
    (cosine <= OPPOSING).then(|| Ball {
        diameter_mm: 2.0 * radius,
        centre,
        contact,
        opposite,
        rate: 2.0 * ((1.0 + cosine).max(0.0) / (1.0 - cosine)).sqrt(),
    })
}
