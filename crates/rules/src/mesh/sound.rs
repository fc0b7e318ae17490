//! What the rules on soundness share: places as findings carry them.

use findings::Place;
use measure::soundness::{Body, Rim, ShellFact, ShellGroup, Spot, Spots};

use crate::words::mm;

fn place(at: [f64; 3], outward: Option<[f64; 3]>, reach_mm: f64) -> Place {
    Place {
        outward,
        reach_mm,
        ..Place::at(at)
    }
}

/// A spot as a place.
fn spot(s: &Spot) -> Place {
    Place {
        measured: s.measured,
        ..place(s.at, s.outward, s.reach_mm)
    }
}

/// Spots as places.
pub(super) fn spots(list: &Spots) -> Vec<Place> {
    list.first.iter().map(spot).collect()
}

/// A rim as a place.
pub(super) fn rim(r: &Rim) -> Place {
    place(r.at, r.outward, r.extent_mm).noting(format!("rim of {}", mm(r.length_mm)))
}

/// A shell as a place.
fn shell(s: &ShellFact) -> Place {
    place(s.at, s.outward, 0.0)
        .measuring(s.volume_mm3.abs())
        .noting(box_words(s.size_mm))
}

/// A body as a place.
pub(super) fn body(b: &Body) -> Place {
    place(b.at, b.outward, 0.0).noting(box_words(b.size_mm))
}

/// The shells of a group as places, the largest first.
pub(super) fn shells(group: &ShellGroup) -> Vec<Place> {
    group.largest.iter().map(shell).collect()
}

/// "2.0 x 3.0 x 4.0 mm".
fn box_words([x, y, z]: [f64; 3]) -> String {
    format!("{x:.1} x {y:.1} x {z:.1} mm")
}

/// "1.25 mm3"; what would read 0.00 gets the decimals it needs.
pub(super) fn mm3(value: f64) -> String {
    format!("{}3", mm(value))
}

/// Facts of plain shapes for the tests of these rules.
#[cfg(test)]
pub(super) mod tests {
    use measure::soundness::{Asked, Soundness, soundness};
    use mesh::shapes::soup;
    use mesh::{Topology, weld};

    /// Facts of a soup whose shells touch as `contacts` says, with the limits' own lengths.
    pub(crate) fn facts(triangles: &[[[f32; 3]; 3]], contacts: &[[u32; 2]]) -> Soundness {
        let l = limits::soundness_limits();
        let asked = Asked {
            merge_share: l.merge_share.value,
            slit_mm: l.slit.value,
            gap_reach_mm: l.gap_reach.value,
            sliver_height_mm: l.sliver_height.value,
            most_places: l.most_places.value as usize,
        };
        let (vertices, indices) = soup(triangles);
        let welded = weld(vertices, indices, false);
        let topology = Topology::build(&welded.mesh);
        soundness(
            &welded.mesh,
            &topology,
            &welded.collapsed,
            welded.basis,
            Some(contacts),
            &asked,
        )
    }

    /// A box of 20 mm.
    pub(crate) fn block() -> mesh::shapes::Soup {
        mesh::shapes::cuboid([0.0; 3], [20.0; 3])
    }
}
