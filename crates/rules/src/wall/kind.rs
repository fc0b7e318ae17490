//! Whether a thin place is a wall, or a detail that stands proud of a wall or lies in one.

use measure::walls::Place;

/// What a thin place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A wall, a pin, a film; outward, a slit.
    Wall,
    /// A rivet, a letter, a panel line on something solid.
    Detail,
    /// A splinter that nobody sees.
    Nothing,
}

/// What a place is for a line width.
pub(crate) fn kind(place: &Place, bead_mm: f64) -> Kind {
    let limits = limits::walls();
    if place.area_mm2 < limits.lost_area.value {
        return Kind::Nothing;
    }
    // What stands proud by less than two lines, or is a strip of less between thicker ground.
    let narrow_mm = place
        .proud_mm
        .unwrap_or(f64::INFINITY)
        .min(place.shortest_mm);
    if narrow_mm < limits.detail_least.value * bead_mm {
        Kind::Nothing
    } else if narrow_mm < limits.detail_lines.value * bead_mm {
        Kind::Detail
    } else {
        Kind::Wall
    }
}
