//! What the rules on crossings share: their places as findings carry them.

use findings::Place;
use measure::CrossingPlace;

/// The first of the places, each with the value that `of` takes from it.
pub(super) fn places(list: &[CrossingPlace], of: impl Fn(&CrossingPlace) -> f64) -> Vec<Place> {
    let most = limits::crossing_limits().most_places.value as usize;
    list.iter()
        .take(most)
        .map(|place| Place {
            outward: place.outward,
            reach_mm: place.length_mm,
            ..Place::at(place.at_mm).measuring(of(place))
        })
        .collect()
}

/// Facts of plain shapes for the tests of these rules.
#[cfg(test)]
pub(super) mod tests {
    use measure::{CrossingFacts, crossing_facts};
    use mesh::shapes::{Soup, cuboid, welded};
    use mesh::tree::Tree;

    /// Facts of a soup.
    pub(crate) fn facts(triangles: &Soup) -> CrossingFacts {
        let (mesh, tree) = Tree::build(welded(triangles));
        let shells = mesh::Topology::build(&mesh).shells;
        crossing_facts(&mesh, &tree, &shells.of_triangle)
    }

    /// A block of 20 mm and a hollow of 6 mm that sticks out of its side by `out`.
    pub(crate) fn hollow_sticking_out(out: f32) -> Soup {
        let hollow = cuboid([14.0 + out, 7.0, 7.0], [20.0 + out, 13.0, 13.0]);
        [cuboid([0.0; 3], [20.0; 3]), mesh::shapes::reversed(&hollow)].concat()
    }
}
