//! Parts that tip, sway or lift while they are printed.

use super::shapes::{cuboid, skyline};
use super::{Faulty, Twins};

pub(crate) const TWINS: &[Twins] = &[
    ("stability.slender", slender),
    ("stability.tips", tips),
    ("warp.corner", corner),
];

/// A pane of two lines, or of three, on a broad foot.
fn slender(raises: bool) -> Faulty {
    let thickness = if raises { 0.84 } else { 1.26 };
    let xs = [0.0, 10.0, 10.0 + thickness, 20.0];
    let kit = Faulty::new().part("pane", &skyline(&xs, &[3.0, 45.0, 3.0], 30.0));
    if raises {
        kit.warns("stability.slender", &["pane"])
    } else {
        kit
    }
}

/// A pin 60 mm tall on a foot of 6 or 12 mm.
fn tips(raises: bool) -> Faulty {
    let side = if raises { 6.0 } else { 12.0 };
    let kit = Faulty::new().part("pin", &cuboid([0.0; 3], [side, side, 60.0]));
    if raises {
        kit.warns("stability.tips", &["pin"])
    } else {
        kit
    }
}

/// A flat bar with sharp corners, 180 or 100 mm long.
fn corner(raises: bool) -> Faulty {
    let length = if raises { 180.0 } else { 100.0 };
    let kit = Faulty::new().part("bar", &cuboid([0.0; 3], [length, 30.0, 4.0]));
    if raises {
        kit.notes("warp.corner", &["bar"])
    } else {
        kit
    }
}
