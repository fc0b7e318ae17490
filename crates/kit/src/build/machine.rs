//! Promises, settings, materials.

use super::{Builder, Realm};
use crate::checked::{Machine, Material, Mode, Process, Promise, Settings, Supports, without_dust};
use crate::faults::Trouble;
use crate::written::Entry;

pub(super) fn supports(word: &str) -> Option<Supports> {
    [Supports::None, Supports::FromPlate, Supports::FromPart]
        .into_iter()
        .find(|supports| supports.word() == word)
}

fn process(word: &str) -> Option<Process> {
    [Process::Filament, Process::Vat]
        .into_iter()
        .find(|process| process.word() == word)
}

impl<'a> Builder<'a, '_> {
    pub(super) fn promises(&mut self) -> Vec<Promise> {
        let entries = self.root.tables("promise");
        entries
            .iter()
            .filter_map(|entry| self.promise(entry))
            .collect()
    }

    fn promise(&mut self, entry: &Entry<'a>) -> Option<Promise> {
        let margin = entry.number("edge-margin").map_or(0.0, |n| n.value);
        if let (Some(plate), Some(at)) = (entry.numbers::<3>("plate"), entry.span_of("edge-margin"))
        {
            let least = plate.value[0].min(plate.value[1]);
            if 2.0 * margin >= least {
                let trouble = Trouble::new(format!(
                    "an edge margin of {margin} mm leaves nothing of a plate of {least} mm"
                ));
                self.cross(at, trouble.expected("less than half the plate"));
            }
        }
        let built_in = limits::settings();
        let nozzle_mm = entry
            .number("nozzle")
            .map_or(built_in.nozzle.value, |n| n.value);
        let layers_mm = entry.numbers("layers").map_or_else(
            || {
                let ends = [&built_in.least_layer_share, &built_in.greatest_layer_share];
                ends.map(|share| without_dust(share.value * nozzle_mm))
            },
            |layers| layers.value,
        );
        if let Some(span) = entry.span_of("layers")
            && layers_mm[1] >= nozzle_mm
        {
            let trouble = Trouble::new(format!(
                "a layer of {} mm from a nozzle of {nozzle_mm} mm",
                layers_mm[1]
            ));
            self.cross(
                span,
                trouble.expected("layers lower than the nozzle is wide"),
            );
        }
        let kind = match entry.text("kind") {
            Some(word) => process(word.value),
            None if entry.has("kind") => None,
            None => Some(Process::Filament),
        };
        let materials = self.admitted(entry, kind);
        let machine = match kind? {
            Process::Filament => Machine::Filament {
                nozzle_mm,
                layers_mm,
            },
            Process::Vat => Machine::Vat {
                pixel_mm: entry.number("pixel")?.value,
                least_wall_mm: entry.number("least-wall")?.value,
            },
        };
        Some(Promise {
            id: entry.text("id")?.value.to_string(),
            machine,
            plate_mm: entry.numbers("plate")?.value,
            edge_margin_mm: margin,
            materials,
            supports: entry
                .text("supports")
                .and_then(|word| supports(word.value))
                .unwrap_or(Supports::None),
            line: self.line(&entry.span),
        })
    }

    /// The materials a promise lists: each declared, and printed as the promise prints.
    fn admitted(&mut self, entry: &Entry<'a>, kind: Option<Process>) -> Vec<String> {
        let mut materials = Vec::new();
        for id in entry.texts("materials") {
            let Some(own) = root_material(&self.root, id.value) else {
                self.declared("material", &id, &[Realm::Materials]);
                continue;
            };
            if let Some(kind) = kind
                && own != kind
            {
                let trouble = Trouble::new(format!(
                    "`{}` is a material for kind `{}`, and this promise is kind `{}`",
                    id.value,
                    own.word(),
                    kind.word()
                ));
                self.cross(
                    id.span.clone(),
                    trouble.help("leave it out here, or promise it apart"),
                );
            }
            materials.push(id.value.to_string());
        }
        materials
    }

    pub(super) fn settings(&mut self) -> Vec<Settings> {
        let entries = self.root.named("settings");
        entries
            .iter()
            .map(|(name, entry)| self.setting(name.value, entry))
            .collect()
    }

    fn setting(&mut self, id: &str, entry: &Entry<'_>) -> Settings {
        let built_in = Settings::built_in(id);
        let shares = limits::settings();
        let number = |key: &str, default: f64| entry.number(key).map_or(default, |n| n.value);
        let nozzle_mm = number("nozzle", built_in.nozzle_mm);
        let layer_mm = number("layer", without_dust(shares.layer_share.value * nozzle_mm));
        let bead_mm = number("bead", without_dust(shares.bead_share.value * nozzle_mm));
        let at = |key: &str| entry.span_of(key).unwrap_or(entry.span.clone());
        if layer_mm >= nozzle_mm {
            let trouble = Trouble::new(format!(
                "a layer of {layer_mm} mm from a nozzle of {nozzle_mm} mm"
            ));
            self.cross(
                at("layer"),
                trouble.expected("a layer lower than the nozzle is wide"),
            );
        }
        let share = limits::manifest::span("settings.bead-share");
        if !share.holds(bead_mm / nozzle_mm) {
            let trouble = Trouble::new(format!(
                "a bead of {bead_mm} mm from a nozzle of {nozzle_mm} mm"
            ));
            self.cross(at("bead"), trouble.expected(share.to_string()));
        }
        Settings {
            nozzle_mm,
            layer_mm,
            bead_mm,
            contours: entry
                .whole("contours")
                .map_or(built_in.contours, |n| n.value),
            floor_mm: number("floor", built_in.floor_mm),
            roof_mm: number("roof", built_in.roof_mm),
            fill: number("fill", built_in.fill),
            overhang_deg: number("overhang", built_in.overhang_deg),
            brim_mm: number("brim", built_in.brim_mm),
            mode: match entry.text("mode").map(|word| word.value) {
                Some("single-line") => Mode::SingleLine,
                _ => Mode::Solid,
            },
            line: self.line(&entry.span),
            ..built_in
        }
    }

    /// The built-in materials, overridden or not, then the kit's own in the order of the text.
    pub(super) fn materials(&mut self) -> Vec<Material> {
        let declared = self.root.named("materials");
        let mut materials: Vec<Material> = limits::materials()
            .iter()
            .map(|known| {
                let value = |limit: &Option<limits::Limit>| limit.as_ref().map(|limit| limit.value);
                Material {
                    id: known.id.to_string(),
                    process: if known.vat {
                        Process::Vat
                    } else {
                        Process::Filament
                    },
                    density_g_cm3: known.density.value,
                    cte_per_k: value(&known.cte),
                    tg_c: value(&known.tg),
                    shrink_pct: value(&known.shrink),
                    cost_per_kg: None,
                    line: None,
                }
            })
            .collect();
        for (name, entry) in &declared {
            let number = |key: &str| entry.number(key).map(|n| n.value);
            let at = materials.iter().position(|m| m.id == name.value);
            if at.is_none() && !entry.has("density") {
                let trouble =
                    Trouble::new(format!("the material `{}` has no `density`", name.value));
                self.cross(
                    entry.span.clone(),
                    trouble.help("a material of your own needs its density in g/cm3"),
                );
            }
            let mut material = match at {
                Some(at) => materials[at].clone(),
                None => Material {
                    id: name.value.to_string(),
                    process: Process::Filament,
                    density_g_cm3: 1.0,
                    cte_per_k: None,
                    tg_c: None,
                    shrink_pct: None,
                    cost_per_kg: None,
                    line: None,
                },
            };
            material.line = Some(self.line(&entry.span));
            if let Some(kind) = entry.text("kind").and_then(|word| process(word.value)) {
                material.process = kind;
            }
            material.density_g_cm3 = number("density").unwrap_or(material.density_g_cm3);
            material.cte_per_k = number("cte").or(material.cte_per_k);
            material.tg_c = number("tg").or(material.tg_c);
            material.shrink_pct = number("shrink").or(material.shrink_pct);
            material.cost_per_kg = number("cost-kg");
            match at {
                Some(at) => materials[at] = material,
                None => materials.push(material),
            }
        }
        materials
    }
}

/// How a material of a manifest is printed; `None` where it is not declared.
pub(super) fn root_material(root: &Entry<'_>, id: &str) -> Option<Process> {
    let own = root.table("materials").and_then(|all| all.table(id));
    let known = limits::material(id);
    if own.is_none() && known.is_none() {
        return None;
    }
    own.and_then(|entry| entry.text("kind"))
        .and_then(|word| process(word.value))
        .or_else(|| {
            known.map(|known| {
                if known.vat {
                    Process::Vat
                } else {
                    Process::Filament
                }
            })
        })
        .or(Some(Process::Filament))
}
