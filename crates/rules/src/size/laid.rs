//! What the rules of this family share: a part on each plate, with the promise it lies there for.

use kit::Promise;
use measure::size::{OnPlate, Placed};

use crate::PartCase;

/// A part on the plate of a promise.
pub(super) struct Laid<'a> {
    /// The promise.
    pub promise: &'a Promise,
    /// How the part lies there.
    pub plate: &'a OnPlate,
}

impl Laid<'_> {
    /// The placement to print at; `None` where the part is over at every turn.
    pub(super) fn placed(&self) -> Option<&Placed> {
        let rounding = limits::size_limits().rounding.value;
        self.plate.turn_deg(rounding)?;
        Some(self.plate.placed(rounding))
    }
}

/// A part on every plate that was tried, in the manifest's order.
pub(super) fn laid<'a>(case: &PartCase<'a>) -> Vec<Laid<'a>> {
    let promises = &case.case.kit.promises;
    case.facts
        .on_plates
        .iter()
        .filter_map(|on| {
            let promise = promises.iter().find(|p| p.id == on.promise)?;
            Some(Laid {
                promise,
                plate: &on.plate,
            })
        })
        .collect()
}

/// Ids of promises.
pub(super) fn ids(hit: &[&Laid]) -> Vec<String> {
    hit.iter().map(|l| l.promise.id.clone()).collect()
}

/// A plate as a manifest states it: "220 x 220 x 240 mm".
pub(super) fn plate_words(promise: &Promise) -> String {
    let [w, d, h] = promise.plate_mm;
    let margin = if promise.edge_margin_mm > 0.0 {
        format!(" less {} mm at each edge", promise.edge_margin_mm)
    } else {
        String::new()
    };
    format!("{w} x {d} x {h} mm{margin}")
}

/// An angle in words: whole degrees plainly, others with a decimal.
pub(super) fn degrees(turn_deg: f64) -> String {
    if turn_deg == turn_deg.trunc() {
        format!("{turn_deg:.0} degrees")
    } else {
        format!("{turn_deg:.1} degrees")
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use kit::{Machine, Supports};
    use measure::size::{AS_MODELLED, Plate, Size, measure, on_plate};

    /// A promise of a plate, for a filament machine.
    pub(in crate::size) fn promise(id: &str, plate_mm: [f64; 3], edge_margin_mm: f64) -> Promise {
        Promise {
            id: id.into(),
            machine: Machine::Filament {
                nozzle_mm: 0.4,
                layers_mm: [0.1, 0.3],
            },
            plate_mm,
            edge_margin_mm,
            materials: Vec::new(),
            supports: Supports::None,
            line: 1,
        }
    }

    /// The size of a block with sides along the axes.
    pub(in crate::size) fn block(sides: [f32; 3]) -> Size {
        let vertices = (0..8u8)
            .map(|k| [0, 1, 2].map(|a| if k >> a & 1 == 1 { sides[a] } else { 0.0 }))
            .collect();
        let mesh = mesh::Mesh::new(vertices, vec![[0, 1, 2]]);
        measure(&mesh, AS_MODELLED, 0.2).expect("it has vertices")
    }

    /// A block on the plate of a promise.
    pub(in crate::size) fn lay(size: &Size, promise: &Promise) -> OnPlate {
        let [width_mm, depth_mm, height_mm] = promise.plate_mm;
        let plate = Plate {
            width_mm,
            depth_mm,
            height_mm,
            edge_margin_mm: promise.edge_margin_mm,
        };
        on_plate(size, &plate, 0.0)
    }

    #[test]
    fn angles_read_plainly() {
        assert_eq!(degrees(45.0), "45 degrees");
        assert_eq!(degrees(38.25), "38.2 degrees");
    }
}
