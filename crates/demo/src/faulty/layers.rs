//! Shapes that hang, bridge and begin in the air.

use super::shapes::{cuboid, extruded, skyline};
use super::{Faulty, Twins};
use crate::outline::rectangle;

pub(crate) const TWINS: &[Twins] = &[
    ("overhang.unsupported", unsupported),
    ("overhang.steep", steep),
    ("support.trapped", trapped),
    ("bridge.long", bridge),
    ("island.in-air", island),
    ("orientation.dominated", dominated),
    ("floor.thin", floor),
    ("print.unmeasured", unmeasured),
];

/// A block whose roof is 0.4 or 0.84 mm: two or three of the coarsest layers.
fn floor(raises: bool) -> Faulty {
    let roof = if raises { "roof = 0.4" } else { "roof = 0.84" };
    let kit = Faulty::new()
        .instead("[settings.body]\n", &format!("[settings.body]\n{roof}\n"))
        .part("block", &cuboid([0.0; 3], [20.0, 20.0, 10.0]));
    if raises {
        kit.notes("floor.thin", &["block"])
    } else {
        kit
    }
}

/// A T of stem and bar, standing on its stem or on its bar.
fn dominated(raises: bool) -> Faulty {
    let tee = vec![
        [10.0, 0.0],
        [20.0, 0.0],
        [20.0, 30.0],
        [30.0, 30.0],
        [30.0, 40.0],
        [0.0, 40.0],
        [0.0, 30.0],
        [10.0, 30.0],
    ];
    let up = if raises { "up = \"+z\"" } else { "up = \"-z\"" };
    let kit = Faulty::new()
        .supported()
        .part_with("tee", up, &extruded(&[tee], 10.0));
    if raises {
        kit.notes("orientation.dominated", &["tee"])
    } else {
        kit
    }
}

/// A shelf 10 mm deep on a post, its lower side flat or rising at 45 degrees.
fn unsupported(raises: bool) -> Faulty {
    let foot = if raises { 30.0 } else { 20.0 };
    let outline = vec![
        [0.0, 0.0],
        [15.0, 0.0],
        [15.0, foot],
        [25.0, 30.0],
        [25.0, 34.0],
        [0.0, 34.0],
    ];
    let kit = Faulty::new().part("shelf", &extruded(&[outline], 20.0));
    if raises {
        kit.blocks("overhang.unsupported", &["shelf"])
            .notes("orientation.dominated", &["shelf"])
    } else {
        kit
    }
}

/// A wall that leans outward by 55 or by 45 degrees, over 12 mm.
fn steep(raises: bool) -> Faulty {
    // The tangent of 55 degrees is 1.428148: 12 mm out over 8.4025 mm up.
    let rise = if raises { 8.4025 } else { 12.0 };
    let outline = vec![
        [0.0, 0.0],
        [24.0, 0.0],
        [36.0, rise],
        [36.0, rise + 4.0],
        [0.0, rise + 4.0],
    ];
    let kit = Faulty::new().part("block", &extruded(&[outline], 20.0));
    if raises {
        kit.notes("overhang.steep", &["block"])
    } else {
        kit
    }
}

/// A block with a slot from side to side, 1.2 or 8 mm high: its support has to come out there.
fn trapped(raises: bool) -> Faulty {
    let roof = if raises { 7.2 } else { 14.0 };
    let block = rectangle([0.0, 0.0], [38.0, 20.0]);
    let slot = rectangle([4.0, 6.0], [34.0, roof]);
    let kit = Faulty::new()
        .supported()
        .part("block", &extruded(&[block, slot], 20.0));
    if raises {
        kit.warns("support.trapped", &["block"])
    } else {
        kit
    }
}

/// Two posts under a deck, 36 or 9 mm apart.
fn bridge(raises: bool) -> Faulty {
    let apart: f32 = if raises { 36.0 } else { 9.0 };
    let far = 10.0 + apart;
    let kit = Faulty::new().part_with(
        "table",
        "up = \"-z\"",
        &skyline(&[0.0, 10.0, far, far + 10.0], &[24.0, 4.0, 24.0], 20.0),
    );
    if raises {
        kit.warns("bridge.long", &["table"])
    } else {
        kit
    }
}

/// A hook whose tip hangs down beside its post, to 5 mm above the plate or onto it.
fn island(raises: bool) -> Faulty {
    let tip = if raises { 5.0 } else { 0.0 };
    let outline = vec![
        [0.0, 0.0],
        [10.0, 0.0],
        [10.0, 26.0],
        [18.0, 26.0],
        [18.0, tip],
        [26.0, tip],
        [26.0, 32.0],
        [0.0, 32.0],
    ];
    let kit = Faulty::new().part("hook", &extruded(&[outline], 12.0));
    if raises {
        kit.blocks("island.in-air", &["hook"])
            .notes("orientation.dominated", &["hook"])
    } else {
        kit
    }
}

/// A foil lower than half a layer, or a plate.
fn unmeasured(raises: bool) -> Faulty {
    let height = if raises { 0.04 } else { 2.0 };
    let kit = Faulty::new().part("plate", &cuboid([0.0; 3], [30.0, 20.0, height]));
    if raises {
        kit.blocks("wall.lost", &["plate"])
            .warns("print.unmeasured", &["plate"])
    } else {
        kit
    }
}
