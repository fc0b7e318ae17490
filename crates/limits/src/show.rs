//! What is seen of a part, and what on it bothers the eye.

use crate::typed::typed;

typed!(
    /// Limits of show faces.
    Show, show, "show.toml", {
    /// Places looked at on a part, about.
    places: "seen.places",
    /// Rays from each place.
    rays: "seen.rays",
    /// A place is seen when this share of its rays gets out of the kit.
    share: "seen.share",
    /// Copies of a part that are looked at.
    copies: "seen.copies",
    /// Higher steps are coarse, mm.
    step: "layer-lines.step",
    /// Stretches of coarse steps of less area are none, mm2.
    step_area: "layer-lines.area",
    /// Stretches of a smaller share of the show faces are none.
    step_share: "layer-lines.share",
    /// Higher steps are sanded, mm.
    sand: "layer-lines.sand",
    /// A facet that sags by more is seen, mm.
    sag: "facets.sag",
    /// Facets that turn by less stand for a curve, degrees.
    smooth: "facets.smooth",
    /// Shorter edges in all are none, mm.
    facets_length: "facets.length",
    /// A scar reaches so far, mm.
    scar_near: "scar.near",
    /// Scars of less area are none, mm2.
    scar_area: "scar.area",
    /// Faces look down when their normals do by at least this cosine.
    scar_down: "scar.down",
});
