//! Did what changed face a neighbour?

use mesh::vector::{cross, dot, sub};

use crate::change::Body;
use crate::regions::MovedAt;
use crate::rigid::Rigid;

/// The deepest of the `moved` places (deepest first) that lies within `reach_mm` of a neighbour, as signed depth (mm,
/// + plastic added) and place in the present part's frame; `to_neighbour` takes the part's frame to the neighbour's.
pub fn moved_near(
    moved: &[MovedAt],
    neighbour: &Body<'_>,
    to_neighbour: &Rigid,
    reach_mm: f64,
) -> Option<(f64, [f64; 3])> {
    moved.iter().find_map(|place| {
        let at = place.at.map(f64::from);
        let tree = neighbour.tree;
        tree.closest(to_neighbour.at(at), reach_mm, |_| true)?;
        Some((f64::from(place.depth_mm), at))
    })
}

/// The deepest of the `moved` places (deepest first) that lies no farther than `reach_mm` from a line in the part's
/// frame, as signed depth (mm, + plastic added) and place; `axis` is one long.
pub fn moved_about(
    moved: &[MovedAt],
    through: [f64; 3],
    axis: [f64; 3],
    reach_mm: f64,
) -> Option<(f64, [f64; 3])> {
    moved.iter().find_map(|place| {
        let at = place.at.map(f64::from);
        let aside = cross(sub(at, through), axis);
        (dot(aside, aside) <= reach_mm * reach_mm).then_some((f64::from(place.depth_mm), at))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{cuboid, welded};
    use mesh::tree::Tree;

    fn at(x: f32, depth_mm: f32) -> MovedAt {
        MovedAt {
            at: [x, 0.0, 0.0],
            depth_mm,
        }
    }

    /// A cube from x = 10 to 11: the place at 9.5 is near it, the deeper one at 5 is not, the shallower at 9.9 comes
    /// after.
    #[test]
    fn the_deepest_place_within_reach_counts_and_farther_ones_do_not() {
        let (mesh, tree) = Tree::build(welded(&cuboid([10.0, -1.0, -1.0], [11.0, 1.0, 1.0])));
        let body = Body {
            mesh: &mesh,
            tree: &tree,
        };
        let moved = [at(5.0, -3.0), at(9.5, 0.4), at(9.9, 0.2)];
        let near = |onto: &Rigid, reach| moved_near(&moved, &body, onto, reach);
        let found = near(&Rigid::IDENTITY, 1.0).expect("near");
        assert!((found.0 - 0.4).abs() < 1e-6 && found.1 == [9.5, 0.0, 0.0]);
        assert!((near(&Rigid::IDENTITY, 0.2).expect("near").0 - 0.2).abs() < 1e-6);
        assert_eq!(near(&Rigid::IDENTITY, 0.05), None);
        // Posed five millimetres farther on, the first place comes near it.
        let posed = Rigid::shift([5.0, 0.0, 0.0]);
        assert!((near(&posed, 1.0).expect("near").0 + 3.0).abs() < 1e-6);
    }

    #[test]
    fn about_an_axis_the_way_along_it_does_not_count() {
        let moved = [at(100.0, 0.3)];
        let about = |axis, reach| moved_about(&moved, [0.0, 2.0, 0.0], axis, reach);
        assert!(about([1.0, 0.0, 0.0], 2.0).is_some());
        assert!(about([1.0, 0.0, 0.0], 1.9).is_none());
        assert!(about([0.0, 1.0, 0.0], 99.0).is_none());
    }
}
