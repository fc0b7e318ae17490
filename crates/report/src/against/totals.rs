//! A kit's totals, and what became of them since the base.

use std::collections::BTreeMap;

use kit::Kit;
use measure::PartFacts;

/// Mesh volumes are told in cm3.
const MM3_IN_CM3: f64 = 1000.0;

/// What a kit amounts to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Totals {
    /// Different parts.
    pub parts: u64,
    /// Pieces to print, spares left out.
    pub pieces: u64,
    /// Volume of the pieces' models by material, cm3; `None` where a part was not measured.
    pub volume_cm3: BTreeMap<String, Option<f64>>,
}

/// Adds a kit up.
pub fn totals(kit: &Kit, facts: &[PartFacts]) -> Totals {
    let mut all = Totals::default();
    for part in &kit.parts {
        all.parts += 1;
        all.pieces += u64::from(part.count);
        let one = facts
            .iter()
            .find(|f| f.id == part.id)
            .and_then(PartFacts::volume_mm3);
        let sum = all
            .volume_cm3
            .entry(part.material.clone())
            .or_insert(Some(0.0));
        *sum = match (*sum, one) {
            (Some(sum), Some(one)) => Some(sum + one * f64::from(part.count) / MM3_IN_CM3),
            _ => None,
        };
    }
    all
}

/// Rows of name, value now, and the change; the value alone without a base.
pub fn rows(now: &Totals, base: Option<&Totals>) -> Vec<[String; 3]> {
    let count = |name: &str, now: u64, was: Option<u64>| {
        let delta = match was {
            Some(was) if was != now => format!("{:+}", now as i64 - was as i64),
            Some(_) => "the same".into(),
            None => String::new(),
        };
        [name.to_string(), now.to_string(), delta]
    };
    let mut rows = vec![
        count("different parts", now.parts, base.map(|b| b.parts)),
        count("pieces to print", now.pieces, base.map(|b| b.pieces)),
    ];
    let mut materials: Vec<&String> = now.volume_cm3.keys().collect();
    if let Some(base) = base {
        materials.extend(base.volume_cm3.keys());
    }
    materials.sort();
    materials.dedup();
    for material in materials {
        let of = |t: &Totals| t.volume_cm3.get(material).copied().unwrap_or(Some(0.0));
        let value = of(now);
        let delta = match (value, base.map(of)) {
            (Some(now), Some(Some(was))) if (now - was).abs() < SMALLEST_CM3 => "the same".into(),
            (Some(now), Some(Some(was))) => format!("{:+.1} cm3", now - was),
            (_, Some(_)) => "not measured".into(),
            (_, None) => String::new(),
        };
        rows.push([
            format!("volume of the models in {material}"),
            value.map_or("not measured".into(), |v| format!("{v:.1} cm3")),
            delta,
        ]);
    }
    rows
}

/// Differences that would read 0.0 are none.
const SMALLEST_CM3: f64 = 0.05;
