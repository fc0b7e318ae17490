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
    /// A brim's scar that is shorter is none, mm.
    brim_length: "brim.length",
    /// Layers looked at for where their loops start.
    start_layers: "loop-start.layers",
    /// An edge that turns by so much hides a start, degrees.
    start_corner: "loop-start.corner",
    /// It does so within this length, mm.
    start_within: "loop-start.within",
    /// Shorter loops are left out, mm.
    start_loop: "loop-start.loop",
    /// So much of a loop out of sight is enough, mm.
    start_hidden: "loop-start.hidden",
    /// Lower seams are none, mm.
    start_height: "loop-start.height",
    /// A joint's line lies so far beyond the gap, mm.
    joint_beyond: "joint.beyond",
    /// The gap of a glued fit that declares none, mm.
    joint_gap: "joint.gap",
    /// Steps along a joint, mm.
    joint_step: "joint.step",
    /// The other part's face is flush within this, mm.
    joint_flush: "joint.flush",
    /// It faces alike by at least this cosine.
    joint_alike: "joint.alike",
    /// Shorter joint lines are none, mm.
    joint_length: "joint.length",
});
