//! How a part is printed where the manifest does not say.

use crate::typed::typed;

typed!(
    /// Built-in settings; shares follow the nozzle.
    Settings, settings, "settings.toml", {
    /// Nozzle width, mm.
    nozzle: "nozzle",
    /// Least layer of a promise that gives none, as a share of the nozzle.
    least_layer_share: "least-layer-share",
    /// Greatest layer of a promise that gives none, as a share of the nozzle.
    greatest_layer_share: "greatest-layer-share",
    /// Layer height as a share of the nozzle.
    layer_share: "layer-share",
    /// Line width as a share of the nozzle.
    bead_share: "bead-share",
    /// Number of contours.
    contours: "contours",
    /// Thickness of closed floors, mm.
    floor: "floor",
    /// Thickness of closed roofs, mm.
    roof: "roof",
    /// Share of the inside that is filled.
    fill: "fill",
    /// Steepest overhang that needs no support, degrees from vertical.
    overhang: "overhang",
    /// Brim width, mm.
    brim: "brim",
});
