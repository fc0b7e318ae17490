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

/// A length, mm, without the dust of a product: 0.28, not 0.27999999999999997.
pub(crate) fn without_dust(mm: f64) -> f64 {
    (mm * 1e4).round() / 1e4
}

impl Settings {
    /// The built-in settings under an id, on line 0: what a manifest's empty table means.
    pub fn built_in(id: &str) -> Settings {
        let known = limits::settings();
        let nozzle_mm = known.nozzle.value;
        Settings {
            id: id.to_string(),
            nozzle_mm,
            layer_mm: without_dust(known.layer_share.value * nozzle_mm),
            bead_mm: without_dust(known.bead_share.value * nozzle_mm),
            contours: known.contours.value as u32,
            floor_mm: known.floor.value,
            roof_mm: known.roof.value,
            fill: known.fill.value,
            overhang_deg: known.overhang.value,
            brim_mm: known.brim.value,
            mode: Mode::Solid,
            line: 0,
        }
    }

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
