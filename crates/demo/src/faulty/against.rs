//! What a revision says of itself against what changed since its base; the base lies in the kit's folder `base`.

use super::shapes::{Facet, cuboid};
use super::{Faulty, Twins};

pub(crate) const TWINS: &[Twins] = &[
    ("revision.too-small", revision_too_small),
    ("change.missing", change_missing),
    ("change.idle", change_idle),
];

/// A block so high.
fn block(height: f32) -> Vec<Facet> {
    cuboid([0.0; 3], [20.0, 20.0, height])
}

const SAID: &str = "[[change]]\npart = \"block\"\ntext = \"2 mm higher, to clear the lamp's wire\"";

/// The block grew; the raising kit kept the base's number.
fn revision_too_small(raises: bool) -> Faulty {
    let kit = Faulty::new()
        .base(Faulty::new().part("block", &block(10.0)))
        .revision(if raises { "1.0.0" } else { "1.1.0" })
        .part("block", &block(12.0))
        .toml(SAID);
    if raises {
        kit.blocks("revision.too-small", &[])
    } else {
        kit
    }
}

/// The block grew; the raising kit says nothing of it.
fn change_missing(raises: bool) -> Faulty {
    let kit = Faulty::new()
        .base(Faulty::new().part("block", &block(10.0)))
        .revision("1.1.0")
        .part("block", &block(12.0));
    if raises {
        kit.warns("change.missing", &["block"])
    } else {
        kit.toml(SAID)
    }
}

/// Both say that the block grew; the raising kit's did not.
fn change_idle(raises: bool) -> Faulty {
    let kit = Faulty::new()
        .base(Faulty::new().part("block", &block(10.0)))
        .revision("1.1.0")
        .part("block", &block(if raises { 10.0 } else { 12.0 }))
        .toml(SAID);
    if raises {
        kit.notes("change.idle", &["block"])
    } else {
        kit
    }
}
