//! The materials that are known by name.

use std::sync::LazyLock;

use crate::{Limit, Table};

/// What is known of one material.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// The name a manifest uses.
    pub id: &'static str,
    /// Whether it is printed from a vat (a resin), not from filament.
    pub vat: bool,
    /// Density, g/cm3.
    pub density: Limit,
    /// Coefficient of thermal expansion, 1/K.
    pub cte: Option<Limit>,
    /// Glass transition, degrees Celsius.
    pub tg: Option<Limit>,
    /// Shrinkage, per cent.
    pub shrink: Option<Limit>,
}

/// Names of the built-in materials in the order they are listed; the flag says which are printed from a vat.
const NAMES: [(&str, bool); 8] = [
    ("pla", false),
    ("petg", false),
    ("abs", false),
    ("asa", false),
    ("pc", false),
    ("pa", false),
    ("tpu", false),
    ("resin", true),
];

static TABLE: LazyLock<Table> =
    LazyLock::new(|| Table::embedded("materials.toml", include_str!("../tables/materials.toml")));

static MATERIALS: LazyLock<Vec<Material>> = LazyLock::new(|| {
    NAMES
        .iter()
        .map(|&(id, vat)| {
            let row = |what: &str| TABLE.get(&format!("{id}.{what}")).cloned();
            Material {
                id,
                vat,
                density: TABLE.row(&format!("{id}.density")),
                cte: row("cte"),
                tg: row("tg"),
                shrink: row("shrink"),
            }
        })
        .collect()
});

/// All built-in materials.
pub fn materials() -> &'static [Material] {
    &MATERIALS
}

/// A built-in material by its name.
pub fn material(id: &str) -> Option<&'static Material> {
    materials().iter().find(|m| m.id == id)
}

/// The table with all its rows.
pub fn table() -> &'static Table {
    &TABLE
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_belongs_to_a_material() {
        let known = ["density", "cte", "tg", "shrink"];
        for key in table().rows.keys() {
            let (id, what) = key.split_once('.').expect("material.property");
            assert!(material(id).is_some(), "{id} is no listed material");
            assert!(known.contains(&what), "{key} is read by nobody");
        }
    }

    /// Mass of a metre of 1.75 mm filament, derived from the cross-section of 2.405282 mm2.
    #[test]
    fn densities_give_the_known_mass_of_a_metre_of_filament() {
        for (id, grams) in [
            ("pla", 2.98255),
            ("petg", 3.05471),
            ("abs", 2.50149),
            ("asa", 2.57365),
            ("pc", 2.88634),
        ] {
            let density = material(id).expect(id).density.value;
            assert!((2.405_282 * density - grams).abs() < 1e-4, "{id}");
        }
    }
}
