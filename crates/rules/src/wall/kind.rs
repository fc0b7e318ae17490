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
    match place.proud_mm {
        Some(height) if height < limits.detail_least.value * bead_mm => Kind::Nothing,
        Some(height) if height < limits.detail_lines.value * bead_mm => Kind::Detail,
        _ => Kind::Wall,
    }
}
