//! Length units.

use std::fmt;

/// The unit a mesh's numbers are in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Unit {
    /// Millimetre.
    Mm,
    /// Centimetre.
    Cm,
    /// Metre.
    M,
    /// Micrometre.
    Um,
    /// Inch, 25.4 mm.
    In,
    /// Foot, 304.8 mm.
    Ft,
}

impl Unit {
    /// Every unit, in the order of the manifest's documentation.
    pub const ALL: [Unit; 6] = [Unit::Mm, Unit::Cm, Unit::M, Unit::Um, Unit::In, Unit::Ft];

    /// The word in a manifest.
    pub fn word(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::Cm => "cm",
            Unit::M => "m",
            Unit::Um => "um",
            Unit::In => "in",
            Unit::Ft => "ft",
        }
    }

    /// The unit a word stands for.
    pub fn of_word(word: &str) -> Option<Unit> {
        Unit::ALL.into_iter().find(|unit| unit.word() == word)
    }

    /// Millimetres in one of the unit.
    pub fn millimetres(self) -> f64 {
        let units = limits::units();
        match self {
            Unit::Mm => units.mm.value,
            Unit::Cm => units.cm.value,
            Unit::M => units.m.value,
            Unit::Um => units.um.value,
            Unit::In => units.inch.value,
            Unit::Ft => units.foot.value,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}
