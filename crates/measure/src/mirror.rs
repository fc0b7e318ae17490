//! Two meshes that should be one shape: a part's own mesh against the mirror image that its manifest says
//! it is. Values and a place only; how far apart is too far is not this module's matter.
//!
//! The distance is the two-sided one, both ways from all vertices and from points spread over the area
//! (Aspert, Santa-Cruz, Ebrahimi, "MESH: measuring errors between surfaces using the Hausdorff distance",
//! ICME 2002): a lower bound of the Hausdorff distance that meets it wherever a vertex is farthest.

use mesh::vector::{Vec3, add, length, scale, sub, wide};
use mesh::{MassProperties, Mesh, tree::Tree};
use serde::{Deserialize, Serialize};

/// Points spread over the area of each mesh, at least; vertices come on top.
const SPREAD: f64 = 50_000.0;
/// Points spread over the area of each mesh to choose the move by; every so many vertices come on top.
const SCOUTS: f64 = 2_000.0;
/// Samples are taken in pieces of this many triangles.
const CHUNK: usize = 4096;

/// How far a part's own mesh is from the mirror image it should be, mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Likeness {
    /// Move that lays the image over the own mesh, mm: a moved part is the same part.
    pub shift_mm: Vec3,
    /// Volume of the own mesh and of the image, mm3.
    pub volume_mm3: [f64; 2],
    /// Box of the own mesh and of the image, side lengths, mm.
    pub size_mm: [Vec3; 2],
    /// Greatest distance of a sampled point of one surface from the other, mm.
    pub greatest_mm: f64,
    /// Where that is, on the own mesh, in its own frame.
    pub at: Vec3,
}

/// Compares a mesh with the image it should be. `tree` is that of `own`; `image` may be in any order.
/// `None` where one of them has no triangle.
pub fn compare(own: &Mesh, tree: &Tree, image: Mesh) -> Option<Likeness> {
    if own.triangles.is_empty() || image.triangles.is_empty() {
        return None;
    }
    let (boxes, masses) = (
        [own.bounds()?, image.bounds()?],
        [MassProperties::of(own), MassProperties::of(&image)],
    );
    let (image, image_tree) = Tree::build(image);
    // As filed, or laid over each other by box or by centroid: the move with the least mean distance, which
    // one odd spot does not sway, is the right one.
    let shifts = [
        [0.0; 3],
        sub(boxes[0].centre(), boxes[1].centre()),
        sub(masses[0].centroid_mm, masses[1].centroid_mm),
    ];
    let reach =
        |shift: Vec3| boxes[0].diagonal() + boxes[1].diagonal() + length(sub(shifts[1], shift));
    let mut best: Option<(Vec3, f64)> = None;
    for shift in shifts {
        if shift.iter().any(|x| !x.is_finite()) {
            continue;
        }
        let to_image = apart(own, &image_tree, scale(shift, -1.0), reach(shift), SCOUTS);
        let to_own = apart(&image, tree, shift, reach(shift), SCOUTS);
        let sum = to_image.sum + to_own.sum;
        if best.is_none_or(|(_, known)| sum < known) {
            best = Some((shift, sum));
        }
    }
    let (shift_mm, _) = best?;
    let to_image = apart(
        own,
        &image_tree,
        scale(shift_mm, -1.0),
        reach(shift_mm),
        SPREAD,
    );
    let to_own = apart(&image, tree, shift_mm, reach(shift_mm), SPREAD);
    // Both places as points of the own mesh: a sample of it, or what lies closest to one of the image.
    let worst = if to_own.greatest > to_image.greatest {
        Apart {
            at: to_own.met,
            ..to_own
        }
    } else {
        to_image
    };
    Some(Likeness {
        shift_mm,
        volume_mm3: masses.map(|mass| mass.volume_mm3),
        size_mm: boxes.map(|b| b.size()),
        greatest_mm: worst.greatest,
        at: worst.at,
    })
}

/// How far the samples of one surface are from another: `samples` points spread over the area, and all
/// vertices, or about as many of them where only scouts are sent.
#[derive(Debug, Clone, Copy)]
struct Apart {
    /// Sum of all distances; the samples are as many whatever the move.
    sum: f64,
    greatest: f64,
    /// The farthest sample, in its own mesh's frame.
    at: Vec3,
    /// What lies closest to it on the other mesh, in that mesh's frame.
    met: Vec3,
}

fn apart(from: &Mesh, to: &Tree, shift: Vec3, reach: f64, samples: f64) -> Apart {
    let stride = if samples < SPREAD {
        1 + (from.vertices.len() as f64 / samples) as usize
    } else {
        1
    };
    let area: f64 = parallel::sum(from.triangles.len(), CHUNK, |range| {
        range.map(|t| from.triangle_area(t)).sum()
    });
    let density = if area > 0.0 { samples / area } else { 0.0 };
    let first = from.corners(0)[0];
    let nothing = Apart {
        sum: 0.0,
        greatest: 0.0,
        at: first,
        met: add(first, shift),
    };
    let look = |at: Vec3, so_far: &mut Apart| {
        let Some(found) = to.closest(add(at, shift), reach, |_| true) else {
            return;
        };
        so_far.sum += found.distance;
        if found.distance > so_far.greatest {
            (so_far.greatest, so_far.at, so_far.met) = (found.distance, at, found.point);
        }
    };
    let of_vertices = parallel::chunks(from.vertices.len(), CHUNK, |range| {
        let mut so_far = nothing;
        for v in range.filter(|v| v % stride == 0) {
            look(wide(from.vertices[v]), &mut so_far);
        }
        so_far
    });
    let of_area = parallel::chunks(from.triangles.len(), CHUNK, |range| {
        let mut so_far = nothing;
        for t in range.filter(|t| t % stride == 0) {
            let corners = from.corners(t);
            let points = (from.triangle_area(t) * density) as u32;
            for k in 0..points {
                look(spread(&corners, k), &mut so_far);
            }
        }
        so_far
    });
    let pieces = of_vertices.into_iter().chain(of_area);
    pieces.fold(nothing, |a, b| Apart {
        sum: a.sum + b.sum,
        ..if b.greatest > a.greatest { b } else { a }
    })
}

/// The k-th of an even spread of points over a triangle; the first is its centroid. An additive recurrence
/// on the plastic number (M. Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018),
/// folded into the triangle.
fn spread([a, b, c]: &[Vec3; 3], k: u32) -> Vec3 {
    const STEP: [f64; 2] = [0.754_877_666_246_692_7, 0.569_840_290_998_053_2];
    let third = 1.0 / 3.0;
    let mut u = (third + STEP[0] * f64::from(k)).fract();
    let mut v = (third + STEP[1] * f64::from(k)).fract();
    if u + v > 1.0 {
        (u, v) = (1.0 - u, 1.0 - v);
    }
    add(*a, add(scale(sub(*b, *a), u), scale(sub(*c, *a), v)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A right wedge: its mirror image is not the wedge turned.
    fn wedge(scale: [f32; 3], offset: [f32; 3]) -> Mesh {
        let corners = [
            [0.0, 0.0, 0.0],
            [3.0, 0.0, 0.0],
            [0.0, 2.0, 0.0],
            [0.0, 0.0, 1.0],
            [3.0, 0.0, 1.0],
            [0.0, 2.0, 1.0],
        ];
        let vertices = corners.map(|c: [f32; 3]| [0, 1, 2].map(|k| c[k] * scale[k] + offset[k]));
        let triangles = [
            [0, 2, 1],
            [3, 4, 5],
            [0, 1, 4],
            [0, 4, 3],
            [1, 2, 5],
            [1, 5, 4],
            [2, 0, 3],
            [2, 3, 5],
        ];
        Mesh::new(vertices.to_vec(), triangles.to_vec())
    }

    fn alike(own: Mesh, image: Mesh) -> Likeness {
        let (own, tree) = Tree::build(own);
        compare(&own, &tree, image).expect("triangles")
    }

    #[test]
    fn a_true_mirror_image_is_no_way_off_wherever_it_was_moved() {
        let image = wedge([1.0; 3], [5.0, 0.0, 0.0]).mirrored(0);
        let same = alike(image.clone(), image.clone());
        assert!(
            same.greatest_mm < 1e-12 && same.shift_mm == [0.0; 3],
            "{same:?}"
        );
        let mut moved = image.clone();
        for v in &mut moved.vertices {
            *v = [v[0] + 16.0, v[1] - 4.0, v[2] + 0.5];
        }
        let same = alike(moved, image);
        assert!(same.greatest_mm < 1e-6, "{same:?}");
        assert_eq!(same.shift_mm, [16.0, -4.0, 0.5]);
        assert!((same.volume_mm3[0] - 3.0).abs() < 1e-6 && (same.volume_mm3[1] - 3.0).abs() < 1e-6);
    }

    /// An unmirrored copy, worked out by hand: with the centroids laid over each other the image is moved by
    /// 2 along x, and the corner (0, 2) is 4 / sqrt(13) from its long side 3y = 2x + 2.
    #[test]
    fn a_copy_in_place_of_a_mirror_image_is_found() {
        let copy = wedge([1.0; 3], [0.0; 3]);
        let off = alike(copy.clone(), copy.mirrored(0));
        assert!(
            (off.greatest_mm - 4.0 / 13.0_f64.sqrt()).abs() < 1e-6,
            "{off:?}"
        );
    }

    /// One side longer by 0.3 mm: as filed one face is off by all of it, with centred boxes two by half of it.
    #[test]
    fn a_longer_side_is_found_with_its_place() {
        let off = alike(wedge([1.0, 1.0, 1.3], [0.0; 3]), wedge([1.0; 3], [0.0; 3]));
        let known = [0.15, 0.3]
            .iter()
            .any(|mm| (off.greatest_mm - mm).abs() < 1e-6);
        assert!(known, "{off:?}");
        assert!((off.size_mm[0][2] - 1.3).abs() < 1e-6);
    }

    /// A bump in the middle of a face, far from every vertex of the image: only one way sees it.
    #[test]
    fn a_bump_is_seen_from_either_side() {
        let flat = wedge([10.0; 3], [0.0; 3]);
        let mut bumped = flat.clone();
        let tip = bumped.vertices.len() as u32;
        bumped.vertices.push([8.0, 5.0, 10.4]);
        let [a, b, c] = bumped.triangles.remove(1);
        bumped.filed.pop();
        for t in [[a, b, tip], [b, c, tip], [c, a, tip]] {
            bumped.triangles.push(t);
        }
        bumped.filed = (0..bumped.triangles.len() as u32).collect();
        let there = alike(bumped.clone(), flat.clone());
        let back = alike(flat, bumped);
        assert!((there.greatest_mm - 0.4).abs() < 1e-6, "{there:?}");
        assert!((back.greatest_mm - 0.4).abs() < 1e-6, "{back:?}");
        assert!(
            (back.at[2] - 10.0).abs() < 1e-6,
            "on the own mesh: {back:?}"
        );
    }
}
