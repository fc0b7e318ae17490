//! How other orientations are looked for and weighed.

use crate::typed::typed;

typed!(
    /// Limits of the search for orientations.
    Orientation, orientation, "orientation.toml", {
    /// Directions spread over the sphere.
    uniform: "search.uniform",
    /// The same where the search is asked for by name.
    uniform_thorough: "search.uniform-thorough",
    /// How many of them are measured by columns.
    kept: "search.kept",
    /// Triangles of the stand-in.
    triangles: "search.triangles",
    /// Width of a column, mm.
    column: "search.column",
    /// Directions that are measured on the layers.
    exact: "search.exact",
    /// Nearer directions are one choice, degrees.
    apart: "search.apart",
    /// What tips sooner does not stand, degrees.
    stands: "search.stands",
    /// What has less on the plate does not stand, mm2.
    footing: "search.footing",
    /// Support that a mm of height is worth, mm3.
    height_worth: "search.height-worth",
    /// Support that a mm3 of steps is worth, mm3.
    steps_worth: "search.steps-worth",
    /// Rows that are offered.
    rows: "search.rows",
    /// Heights and first layers that differ by a smaller share are called the same.
    said_share: "search.said-share",
    /// Larger sections are not slender, mm2.
    slender_section: "slender.section",
    /// Shorter stretches are not slender, widths.
    slender_ratio: "slender.ratio",
    /// Plainly better: less support by so much, mm3.
    better_support: "better.support",
    /// And by this share.
    better_support_share: "better.support-share",
    /// Plainly better: lower steps on show faces by so much, mm.
    better_steps: "better.steps",
    /// And by this share.
    better_steps_share: "better.steps-share",
    /// No worse: more support by up to, mm3.
    worse_support: "worse.support",
    /// No worse: higher steps by up to, mm.
    worse_steps: "worse.steps",
    /// No worse: more scars on show faces by up to, mm2.
    worse_scar: "worse.scar",
    /// No worse: up to so many times as high.
    worse_height: "worse.height",
    /// No worse: at least so much of the first layer.
    worse_contact: "worse.contact",
    /// No worse: leans at least so far, or as far as the intended one, degrees.
    worse_tip: "worse.tip",
    /// No worse: at least so much of the weakest section.
    worse_section: "worse.section",
    /// A part stands on a flat where its own faces make so much of the first layer, share.
    flat_share: "search.flat-share",
    /// Pixels of a layer on which directions are compared, at most.
    pixels: "search.pixels",
});
