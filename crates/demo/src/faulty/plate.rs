//! What touches the plate, rows of small pieces, and parts printed in one line.

use super::shapes::{cuboid, skyline};
use super::{Faulty, Twins};

pub(crate) const TWINS: &[Twins] = &[
    ("first-layer.small", small),
    ("first-layer.spread", spread),
    ("single-line.broken", single_line),
    ("string.risk", strings),
];

/// A post on a foot of 1.5 or of 2 mm.
fn small(raises: bool) -> Faulty {
    let side = if raises { 1.5 } else { 2.0 };
    let kit = Faulty::new().part("post", &cuboid([0.0; 3], [side, side, 8.0]));
    if raises {
        kit.warns("first-layer.small", &["post"])
    } else {
        kit
    }
}

/// Two blocks side by side on the plate, 0.4 or 0.8 mm apart.
fn spread(raises: bool) -> Faulty {
    let x = if raises { 20.4 } else { 20.8 };
    let facets = [
        cuboid([0.0; 3], [20.0, 20.0, 10.0]),
        cuboid([x, 0.0, 0.0], [x + 20.0, 20.0, 10.0]),
    ]
    .concat();
    let kit = Faulty::new().part_with("hinge", "bodies = 2", &facets);
    if raises {
        kit.notes("first-layer.spread", &["hinge"])
    } else {
        kit
    }
}

/// A block printed in one line, with a trough that parts it in two, or without.
fn single_line(raises: bool) -> Faulty {
    let facets = if raises {
        skyline(&[0.0, 12.0, 18.0, 30.0], &[12.0, 4.0, 12.0], 20.0)
    } else {
        skyline(&[0.0, 30.0], &[12.0], 20.0)
    };
    let kit = Faulty::new()
        .instead("[settings.body]", "[settings.body]\nmode = \"single-line\"")
        .part("vase", &facets);
    if raises {
        kit.blocks("single-line.broken", &["vase"])
    } else {
        kit
    }
}

/// A comb of eight teeth or of seven.
fn strings(raises: bool) -> Faulty {
    let teeth = if raises { 8 } else { 7 };
    let xs: Vec<f32> = (0..teeth)
        .flat_map(|k| [5.0 * k as f32, 5.0 * k as f32 + 2.0])
        .collect();
    let heights: Vec<f32> = (0..xs.len() - 1)
        .map(|k| if k % 2 == 0 { 10.0 } else { 3.0 })
        .collect();
    let kit = Faulty::new().part("comb", &skyline(&xs, &heights, 5.0));
    if raises {
        kit.notes("string.risk", &["comb"])
    } else {
        kit
    }
}
