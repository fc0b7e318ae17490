//! Bundle: the release, only of a kit that is READY; built twice and compared byte by byte.

use archive::bundle::{BundleInput, BundlePart, ExtraFile, Notes, bundle};
use archive::cautions::Trigger;
use archive::date::Stamp;
use archive::readme::{KitCard, PartCard, PromiseCard, SettingsCard};
use kit::{Kit, Part, Process};
use measure::PartFacts;
use report::Figures;
use thiserror::Error;

use crate::proof::Proof;

/// Why there is no bundle.
#[derive(Debug, Error)]
pub enum ReleaseFault {
    /// A view failed: a fault of kitproof.
    #[error("{0}")]
    View(String),
    /// The bundle cannot be made of this kit.
    #[error(transparent)]
    Bundle(#[from] archive::BundleFault),
    /// Two builds of the same kit differ: a fault of kitproof.
    #[error(
        "two builds of the same bundle differ at byte {0}; nothing was written; please report this with the kit"
    )]
    Unlike(usize),
}

/// What a release is made of.
pub struct Archives {
    /// The bundle.
    pub whole: Vec<u8>,
    /// The parts of it that a builder of the base may have to print, in a zip of their own; `None` without a base, or
    /// where there are none.
    pub changed: Option<Vec<u8>>,
}

/// The release's archives.
///
/// # Errors
/// [`ReleaseFault`].
pub fn build(
    proof: &Proof,
    figures: &Figures,
    extra: Vec<ExtraFile>,
    notes: Option<Notes>,
    license_text: Option<&str>,
    stamp: Stamp,
) -> Result<Archives, ReleaseFault> {
    let _span = tracing::info_span!("bundle").entered();
    let checked = proof.checked();
    let html = report::html(&checked, figures).map_err(|e| ReleaseFault::View(e.to_string()))?;
    let json = report::json(&checked).map_err(|e| ReleaseFault::View(e.to_string()))?;
    let kit = &proof.kit;
    let input = BundleInput {
        kit: KitCard {
            id: kit.id.clone(),
            title: kit.title.clone(),
            revision: kit.revision.to_string(),
            designer: kit.designer.clone(),
            license: kit.license.clone(),
            scale: kit.scale.clone(),
        },
        parts: parts(proof),
        promises: kit
            .promises
            .iter()
            .map(|p| PromiseCard {
                id: p.id.clone(),
                words: report::promise_words(p),
            })
            .collect(),
        settings: settings(kit),
        known_limits: known_limits(proof),
        triggers: triggers(proof),
        manifest: &proof.text,
        report_html: html.as_bytes(),
        report_json: json.as_bytes(),
        license_text,
        extra,
        notes,
        stamp,
    };
    let whole = twice(|| bundle(&input))?;
    let changed = match &proof.against {
        None => None,
        Some(against) => {
            let rows = against.table.rows.iter().filter(|row| row.to_print());
            let wanted: Vec<&str> = rows.map(|row| row.part.as_str()).collect();
            let since = against.kit.revision.to_string();
            (!wanted.is_empty())
                .then(|| twice(|| archive::changed(&input, &wanted, &since)))
                .transpose()?
        }
    };
    Ok(Archives { whole, changed })
}

/// The same bytes twice, or no bytes.
fn twice(
    make: impl Fn() -> Result<Vec<u8>, archive::BundleFault>,
) -> Result<Vec<u8>, ReleaseFault> {
    let (first, second) = (make()?, make()?);
    if first == second {
        return Ok(first);
    }
    let at = first
        .iter()
        .zip(&second)
        .position(|(a, b)| a != b)
        .unwrap_or(first.len().min(second.len()));
    Err(ReleaseFault::Unlike(at))
}

fn parts(proof: &Proof) -> Vec<BundlePart<'_>> {
    proof
        .kit
        .parts
        .iter()
        .zip(&proof.models)
        .zip(&proof.facts)
        .map(|((part, model), facts)| BundlePart {
            card: PartCard {
                id: part.id.clone(),
                rev: part.rev,
                count: part.count,
                spare: part.spare,
                material: part.material.clone(),
                color: part.color.clone(),
                settings: part.settings.clone(),
                supports: supports(&proof.kit, part),
                ..PartCard::default()
            },
            mesh: model.mesh(),
            close_within_mm: close_within_mm(facts),
            rotation: part.orientation.turn,
        })
        .collect()
}

/// The supports a part is printed with: one word where every promise says the same, else one a promise.
fn supports(kit: &Kit, part: &Part) -> String {
    let said: Vec<(&str, &str)> = kit
        .promises_for(part)
        .iter()
        .map(|p| (p.id.as_str(), kit.supports_for(part, p).word()))
        .collect();
    match said.as_slice() {
        [] => "none".to_string(),
        [(_, first), rest @ ..] if rest.iter().all(|(_, w)| w == first) => (*first).to_string(),
        many => many
            .iter()
            .map(|(id, word)| format!("{word} on {id}"))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

/// How near vertices must be to be merged, where that closes the part's cracks.
fn close_within_mm(facts: &PartFacts) -> Option<f64> {
    let merging = facts.soundness.as_ref()?.openings.merging.as_ref()?;
    merging.closes.then_some(merging.tolerance_mm)
}

fn settings(kit: &Kit) -> Vec<SettingsCard> {
    kit.settings
        .iter()
        .filter(|s| kit.parts.iter().any(|p| p.settings == s.id))
        .map(|s| SettingsCard {
            id: s.id.clone(),
            values: [
                ("nozzle", format!("{} mm", s.nozzle_mm)),
                ("layer", format!("{} mm", s.layer_mm)),
                ("bead", format!("{} mm", s.bead_mm)),
                ("contours", s.contours.to_string()),
                ("floor", format!("{} mm", s.floor_mm)),
                ("roof", format!("{} mm", s.roof_mm)),
                ("fill", format!("{} %", (s.fill * 100.0).round())),
                ("brim", format!("{} mm", s.brim_mm)),
                ("mode", s.mode.word().to_string()),
            ]
            .map(|(name, value)| (name.to_string(), value))
            .to_vec(),
        })
        .collect()
}

/// Waived findings that builders are told of.
fn known_limits(proof: &Proof) -> Vec<String> {
    proof
        .verdict
        .findings
        .iter()
        .filter_map(|f| {
            let waived = f.waived.as_ref().filter(|w| w.tell_builders)?;
            let owner: Vec<&str> = f.parts.iter().map(|p| p.id.as_str()).collect();
            Some(format!(
                "{}: {}. {}",
                owner.join(", "),
                f.message,
                waived.reason
            ))
        })
        .collect()
}

/// What calls for a caution: small pieces, how the materials are printed, and the words of supplies and
/// hardware that the kit declares.
fn triggers(proof: &Proof) -> Vec<Trigger> {
    let kit = &proof.kit;
    let mut found = Vec::new();
    if proof.facts.iter().any(rules::may_be_small) {
        found.push(Trigger::SmallParts);
    }
    for part in &kit.parts {
        found.push(match kit.material_of(part).process {
            Process::Filament => Trigger::FilamentPrinting,
            Process::Vat => Trigger::Resin,
        });
    }
    for value in kit.later.values() {
        let mut open = vec![value];
        while let Some(value) = open.pop() {
            match value {
                toml::Value::String(word) => {
                    found.extend(Trigger::ALL.into_iter().filter(|t| t.word() == word));
                }
                toml::Value::Array(list) => open.extend(list),
                toml::Value::Table(table) => open.extend(table.iter().map(|(_, v)| v)),
                _ => {}
            }
        }
    }
    Trigger::ALL
        .into_iter()
        .filter(|t| found.contains(t))
        .collect()
}
