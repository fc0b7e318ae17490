//! Faces on show that print with terraces, flats or a rough underside.

use super::shapes::{Facet, cuboid, extruded};
use super::{Faulty, Twins};

pub(crate) const TWINS: &[Twins] = &[
    ("show.brim-scar", brim_scar),
    ("show.facets", facets),
    ("show.joint-line", joint_line),
    ("show.layer-lines", layer_lines),
    ("show.loop-start", loop_start),
    ("show.scar", scar),
];

/// A block with a brim, its sides on show; a chamfer keeps the burr back, or there is none.
fn brim_scar(raises: bool) -> Faulty {
    let c = if raises { 0.0 } else { 0.6 };
    let mut outline = vec![[c, 0.0], [20.0 - c, 0.0], [20.0, 10.0], [0.0, 10.0]];
    if !raises {
        outline.insert(2, [20.0, c]);
        outline.push([0.0, c]);
    }
    let sides = "show = [{ toward = [1, 0, 0], cone = 60 }, { toward = [-1, 0, 0], cone = 60 }]";
    let kit = Faulty::new()
        .brim()
        .part_with("block", sides, &extruded(&[outline], 20.0));
    if raises {
        kit.notes("show.brim-scar", &["block"])
    } else {
        kit
    }
}

/// A drum with so many sides, cut off flat at `back` of its radius.
fn drum(sides: u32, radius: f64, back: f64) -> Vec<Facet> {
    let at = |k: u32, z: f32| {
        let a = std::f64::consts::TAU * f64::from(k % sides) / f64::from(sides);
        let y = (radius * libm::sin(a)).min(back * radius);
        [(radius * libm::cos(a)) as f32, y as f32, z]
    };
    let mut drum: Vec<Facet> = Vec::new();
    for k in 0..sides {
        let [a, b, c, d] = [at(k, 0.0), at(k + 1, 0.0), at(k + 1, 20.0), at(k, 20.0)];
        drum.extend([[a, b, c], [a, c, d]]);
        drum.extend([[[0.0, 0.0, 20.0], d, c], [[0.0; 3], b, a]]);
    }
    drum
}

/// A drum on show all round, or one with a flat back whose edges stand out.
fn loop_start(raises: bool) -> Faulty {
    let back = if raises { 1.0 } else { 0.7 };
    let kit = Faulty::new().part_with("drum", "show = \"all\"", &drum(96, 15.0, back));
    if raises {
        kit.notes("show.loop-start", &["drum"])
    } else {
        kit
    }
}

/// A drum with 32 or 128 sides, its front on show.
fn facets(raises: bool) -> Faulty {
    let drum = drum(if raises { 32 } else { 128 }, 30.0, 1.0);
    let front = "show = [{ toward = [0, -1, 0], cone = 80 }]";
    let kit = Faulty::new().part_with("drum", front, &drum);
    if raises {
        kit.notes("show.facets", &["drum"])
    } else {
        kit
    }
}

/// Two blocks glued end to end, both as wide and as high, or one larger all round: then the joint lies in a corner.
fn joint_line(raises: bool) -> Faulty {
    let over = if raises { 0.0 } else { 2.0 };
    let (low, high) = ([20.1, -over, -over], [40.0, 20.0 + over, 20.0 + over]);
    let kit = Faulty::new()
        .part_with("head", "show = \"all\"", &cuboid([0.0; 3], [20.0; 3]))
        .part_with("tail", "show = \"all\"", &cuboid(low, high))
        .toml("[[pose]]\npart = \"head\"")
        .toml("[[pose]]\npart = \"tail\"")
        .toml("[[fit]]\nid = \"ends\"\nparts = [\"head\", \"tail\"]\nkind = \"glued\"\ngap = [0.05, 0.15]")
        .notes("kit.unmeasured", &[]);
    if raises {
        kit.notes("show.joint-line", &["head"])
    } else {
        kit
    }
}

/// A ramp, its end cut off upright; its slope is 18 or 45 degrees from level.
fn layer_lines(raises: bool) -> Faulty {
    let run = if raises { 30.0 } else { 10.0 };
    let outline = vec![
        [0.0, 0.0],
        [20.0 + run, 0.0],
        [20.0 + run, 5.0],
        [20.0, 15.0],
        [0.0, 15.0],
    ];
    let kit = Faulty::new().part_with("ramp", "show = \"all\"", &extruded(&[outline], 30.0));
    if raises {
        kit.notes("show.layer-lines", &["ramp"])
    } else {
        kit
    }
}

/// A gate whose lintel spans 20 mm; its underside is on show, or only its front.
fn scar(raises: bool) -> Faulty {
    let show = if raises {
        "\"all\""
    } else {
        "[{ toward = [0, -1, 0], cone = 10 }]"
    };
    let outline = vec![
        [0.0, 0.0],
        [10.0, 0.0],
        [10.0, 15.0],
        [30.0, 15.0],
        [30.0, 0.0],
        [40.0, 0.0],
        [40.0, 20.0],
        [0.0, 20.0],
    ];
    let kit = Faulty::new()
        .part_with(
            "gate",
            &format!("show = {show}"),
            &extruded(&[outline], 10.0),
        )
        .notes("bridge.long", &["gate"]);
    if raises {
        kit.notes("show.scar", &["gate"])
    } else {
        kit
    }
}
