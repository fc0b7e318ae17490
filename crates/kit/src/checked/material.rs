//! What a part is printed in.

/// How a material is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Process {
    /// Material extrusion of a filament.
    Filament,
    /// Vat photopolymerisation of a resin.
    Vat,
}

impl Process {
    /// The word in a manifest.
    pub fn word(self) -> &'static str {
        match self {
            Process::Filament => "filament",
            Process::Vat => "vat",
        }
    }
}

/// A material: built in, overridden or the kit's own.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// The material's id.
    pub id: String,
    /// How it is printed.
    pub process: Process,
    /// Density, g/cm3.
    pub density_g_cm3: f64,
    /// Coefficient of thermal expansion, 1/K, where known.
    pub cte_per_k: Option<f64>,
    /// Glass transition, degrees Celsius, where known.
    pub tg_c: Option<f64>,
    /// Shrinkage, per cent, where known.
    pub shrink_pct: Option<f64>,
    /// Cost of a kilogram in the designer's currency, where given.
    pub cost_per_kg: Option<f64>,
    /// Whether the kit declares or overrides it, and on which line.
    pub line: Option<usize>,
}
