//! Length units that a mesh file can carry.

use std::fmt;

/// A unit of length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum LengthUnit {
    /// mm
    Millimetre,
    /// m
    Metre,
    /// in, 25.4 mm exactly
    Inch,
    /// cm
    Centimetre,
    /// ft, 304.8 mm exactly
    Foot,
    /// um
    Micrometre,
}

impl LengthUnit {
    /// Millimetres in one unit.
    pub(super) fn mm(self) -> f64 {
        match self {
            LengthUnit::Micrometre => 0.001,
            LengthUnit::Millimetre => 1.0,
            LengthUnit::Centimetre => 10.0,
            LengthUnit::Inch => 25.4,
            LengthUnit::Foot => 304.8,
            LengthUnit::Metre => 1000.0,
        }
    }

    /// The unit of a 3MF model by its name there (3MF Core 1.4.0, clause 3.4).
    pub(super) fn of_three_mf(name: &str) -> Option<LengthUnit> {
        Some(match name {
            "micron" => LengthUnit::Micrometre,
            "millimeter" => LengthUnit::Millimetre,
            "centimeter" => LengthUnit::Centimetre,
            "inch" => LengthUnit::Inch,
            "foot" => LengthUnit::Foot,
            "meter" => LengthUnit::Metre,
            _ => return None,
        })
    }
}

impl fmt::Display for LengthUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            LengthUnit::Micrometre => "micrometres",
            LengthUnit::Millimetre => "millimetres",
            LengthUnit::Centimetre => "centimetres",
            LengthUnit::Inch => "inches",
            LengthUnit::Foot => "feet",
            LengthUnit::Metre => "metres",
        })
    }
}
