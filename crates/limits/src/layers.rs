//! What may hang, bridge and begin in the air, and how layers are looked at.

use crate::typed::typed;

typed!(
    /// Limits of layers.
    Layers, layers, "layers.toml", {
    /// Gaps of a layer's outline up to this width are closed, mm.
    crack: "measure.crack",
    /// Parts of more layers are not measured.
    most_layers: "measure.most-layers",
    /// Side of a pixel, mm.
    pixel: "measure.pixel",
    /// Pixels of a layer, at most.
    most_pixels: "measure.most-pixels",
    /// What is steeper than allowed by less than this is not steeper, degrees.
    steep_slack: "overhang.slack",
    /// Lines lie in the air where a layer reaches further beyond the one below, line widths.
    held: "overhang.held",
    /// They lie loosely where it reaches further, line widths.
    loose: "overhang.loose",
    /// What hangs lower comes down on what is under it, line widths.
    sag: "overhang.sag",
    /// Lines in the air that hang lower do not fall far, line widths.
    fall: "overhang.fall",
    /// Overhangs that reach less far are none, mm.
    reach: "overhang.reach",
    /// Overhangs of less area are none, mm2.
    area: "overhang.area",
    /// Lines in the air may reach this far, mm.
    air: "overhang.air",
    /// Lines in the air over less area spoil nothing else, mm2.
    air_area: "overhang.air-area",
    /// Surfaces steeper than allowed, each line still on the one below, may reach this far, mm.
    steep: "overhang.steep",
    /// An overhang more of which lies over the part cannot be held from the plate, share.
    over_part: "overhang.over-part",
    /// Islands of less area are none, mm2.
    island_area: "island.area",
    /// Islands joined within so many layers are none.
    island_layers: "island.layers",
    /// Support is pulled out through wider openings, mm.
    way_out: "support.way-out",
    /// Less trapped support is none, mm3.
    trapped: "support.trapped",
    /// A floor or roof of fewer layers leaves the fill open.
    floor_layers: "floor.layers",
    /// A bridge up to this span needs no word, mm.
    bridge_note: "bridge.note",
    /// A bridge up to this span is no risk, mm.
    bridge_warn: "bridge.warn",
    /// A bridge up to this span can be printed, mm.
    bridge_block: "bridge.block",
});
