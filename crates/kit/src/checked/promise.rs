//! The least machine and material a kit promises to print on.

use super::material::{Material, Process};

/// Which supports are allowed, tightest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Supports {
    /// None at all.
    None,
    /// Supports that stand on the plate.
    FromPlate,
    /// Supports that may also stand on the part.
    FromPart,
}

impl Supports {
    /// The word in a manifest.
    pub fn word(self) -> &'static str {
        match self {
            Supports::None => "none",
            Supports::FromPlate => "from-plate",
            Supports::FromPart => "from-part",
        }
    }
}

/// The machine of a promise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Machine {
    /// Material extrusion of a filament.
    Filament {
        /// Nozzle width, mm.
        nozzle_mm: f64,
        /// Least and greatest layer height a builder may choose, mm.
        layers_mm: [f64; 2],
    },
    /// Vat photopolymerisation.
    Vat {
        /// Side of a pixel, mm.
        pixel_mm: f64,
        /// Thinnest wall that prints, mm.
        least_wall_mm: f64,
    },
}

/// One promise; each is proven separately.
#[derive(Debug, Clone, PartialEq)]
pub struct Promise {
    /// The promise's id.
    pub id: String,
    /// The machine.
    pub machine: Machine,
    /// Plate and height: x, y, z, mm.
    pub plate_mm: [f64; 3],
    /// Kept free along the plate's edges in x and y, mm.
    pub edge_margin_mm: f64,
    /// Ids of the admitted materials; empty admits every one of the machine's kind.
    pub materials: Vec<String>,
    /// Which supports are allowed.
    pub supports: Supports,
    /// Line of the promise's header in the manifest, from 1.
    pub line: usize,
}

impl Promise {
    /// How this machine prints.
    pub fn process(&self) -> Process {
        match self.machine {
            Machine::Filament { .. } => Process::Filament,
            Machine::Vat { .. } => Process::Vat,
        }
    }

    /// Whether a part of this material is proven here.
    pub fn admits(&self, material: &Material) -> bool {
        self.process() == material.process
            && (self.materials.is_empty() || self.materials.contains(&material.id))
    }
}
