//! How a part is meant to be printed.

use super::promise::{Machine, Promise};

/// How the inside is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// Contours, floors, roofs and fill.
    Solid,
    /// One closed loop a layer, judged by rules of its own.
    SingleLine,
}

impl Mode {
    /// The word in a manifest.
    pub fn word(self) -> &'static str {
        match self {
            Mode::Solid => "solid",
            Mode::SingleLine => "single-line",
        }
    }
}

/// One settings table.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// The settings' id.
    pub id: String,
    /// The nozzle these settings are meant for, mm.
    pub nozzle_mm: f64,
    /// Layer height, mm.
    pub layer_mm: f64,
    /// Line width on that nozzle, mm.
    pub bead_mm: f64,
    /// Number of contours.
    pub contours: u32,
    /// Thickness of closed floors, mm.
    pub floor_mm: f64,
    /// Thickness of closed roofs, mm.
    pub roof_mm: f64,
    /// Share of the inside that is filled, 0 to 1.
    pub fill: f64,
    /// Steepest overhang that needs no support, degrees from vertical.
    pub overhang_deg: f64,
    /// Brim width, mm.
    pub brim_mm: f64,
    /// How the inside is made.
    pub mode: Mode,
    /// Line of the table's header in the manifest, from 1.
    pub line: usize,
}

impl Settings {
    /// Line width on another nozzle, mm: it scales with the nozzle.
    pub fn bead_on_mm(&self, nozzle_mm: f64) -> f64 {
        self.bead_mm * (nozzle_mm / self.nozzle_mm)
    }

    /// These settings as a builder of a promise uses them: the promise's nozzle, the bead scaled with it,
    /// the layer kept within the promised heights. On a vat promise they are unchanged.
    pub fn on(&self, promise: &Promise) -> Settings {
        let mut settings = self.clone();
        if let Machine::Filament {
            nozzle_mm,
            layers_mm,
        } = promise.machine
        {
            settings.bead_mm = self.bead_on_mm(nozzle_mm);
            settings.nozzle_mm = nozzle_mm;
            settings.layer_mm = self.layer_mm.clamp(layers_mm[0], layers_mm[1]);
        }
        settings
    }
}
