//! Length units as millimetres.

use crate::typed::typed;

typed!(
    /// Millimetres in each unit.
    Units, units, "units.toml", {
    /// Millimetre.
    mm: "mm",
    /// Centimetre.
    cm: "cm",
    /// Metre.
    m: "m",
    /// Micrometre.
    um: "um",
    /// Inch.
    inch: "in",
    /// Foot.
    foot: "ft",
});
