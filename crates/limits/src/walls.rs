//! How thick walls must be and how wide gaps.

use crate::typed::typed;

typed!(
    /// Limits of walls, edges, details and gaps.
    Walls, walls, "walls.toml", {
    /// A wall thinner than this is lost across the layers' plane, nozzle widths.
    lost_lines: "lost.lines",
    /// A wall thinner than this is lost along the layers' normal, layers.
    lost_layers: "lost.layers",
    /// A lost wall falls short by more than this, mm.
    lost_slack: "lost.slack",
    /// Lost places smaller than this are none, mm2.
    lost_area: "lost.area",
    /// A wall thinner than this is thin across the layers' plane, nozzle widths.
    thin_lines: "thin.lines",
    /// A wall thinner than this is thin along the layers' normal, layers.
    thin_layers: "thin.layers",
    /// A thin wall may fall short by this, mm.
    thin_slack: "thin.slack",
    /// A thin wall is thin over at least this length, mm.
    thin_run: "thin.run",
    /// Thickness of a wall changes by less than this, mm per mm.
    steepest: "steepest",
    /// What stands proud or lies deep by less than this is a detail, line widths.
    detail_lines: "detail.lines",
    /// What stands proud or lies deep by less than this is nothing, line widths.
    detail_least: "detail.least",
    /// Feather edges shorter than this are corners, mm.
    feather_least_length: "feather.least-length",
    /// An edge of a show face may recede by this, mm.
    feather_show_depth: "feather.show-depth",
    /// A gap narrower than this fuses, mm.
    gap_fused: "gap.fused",
    /// A gap lower than this fuses, layers.
    gap_layers: "gap.layers",
    /// A gap narrower than this is drawn on purpose, mm.
    gap_drawn: "gap.drawn",
    /// Width of a gap changes by less than this, mm per mm.
    gap_steepest: "gap.steepest",
    /// A gap is narrow over at least this length, mm.
    gap_run: "gap.run",
    /// Thin places are followed this far, mm.
    span: "measure.span",
    /// Walls of a longer part are not measured, mm.
    longest: "measure.longest",
});
