//! A kit against its sign-off: what was accepted, what the parts are now, and where the two part.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use kit::{Kit, Mode, Part, Show, SignOff, SignedPart};
use measure::PartFacts;

use crate::measures::{self, Measure};

/// What a part is made of now, as hashes: 64 hexadecimal digits each.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Prints {
    /// Of its mesh file, or of the one it mirrors; `None` where that cannot be read.
    pub mesh: Option<String>,
    /// Of [`settings_text`].
    pub settings: String,
    /// Of the CAD file; `None` where none is declared or it does not lie there.
    pub source: Option<String>,
}

/// A sign-off beside what it is held against.
#[derive(Clone, Copy)]
pub struct Signed<'a> {
    /// What was accepted.
    pub accepted: &'a SignOff,
    /// What the parts are now, by id.
    pub now: &'a BTreeMap<String, Prints>,
}

impl<'a> Signed<'a> {
    /// A part as it was accepted, and as it is; `None` where either is not known.
    pub fn part(&self, id: &str) -> Option<(&'a SignedPart, &'a Prints)> {
        Some((self.accepted.parts.get(id)?, self.now.get(id)?))
    }
}

/// Whether mesh or settings of a part are others than those signed off.
pub fn changed(then: &SignedPart, now: &Prints) -> bool {
    now.mesh.as_ref() != Some(&then.mesh) || now.settings != then.settings
}

/// A value then and now.
pub struct Pair {
    /// The measure.
    pub measure: &'static Measure,
    /// As signed off.
    pub then: f64,
    /// As it is.
    pub now: f64,
}

/// The values that can be told apart, of those that were measured both times; by name.
pub fn differences(then: &SignedPart, facts: &PartFacts) -> Vec<Pair> {
    let pairs = measures::all().filter_map(|measure| {
        Some(Pair {
            measure,
            then: *then.values.get(measure.key)?,
            now: (measure.take)(facts)?,
        })
    });
    pairs.filter(|p| p.measure.differs(p.then, p.now)).collect()
}

impl Pair {
    /// By how much it is worse: per cent of what was signed off, or of the measure's resolution where that is more;
    /// `None` where it is no worse, or by less than what is tolerated.
    pub fn worse_by(&self) -> Option<f64> {
        let worsened = self.measure.worsened(self.then, self.now)?;
        let whole = self.then.abs().max((self.measure.resolution)());
        let share = 100.0 * worsened / whole;
        (worsened > 0.0 && share >= limits::signoff().worse.value).then_some(share)
    }
}

/// What is outdated about a sign-off, a line each: parts that are not those signed off, or measure otherwise.
/// `whole` says whether all of the kit is there.
pub fn outdated(kit: &Kit, facts: &[PartFacts], signed: Signed, whole: bool) -> Vec<String> {
    let mut out = Vec::new();
    if signed.accepted.engine != measures::ENGINE {
        out.push(format!(
            "it was written by way of measuring {}, this is {}",
            signed.accepted.engine,
            measures::ENGINE
        ));
    }
    for (part, facts) in kit.parts.iter().zip(facts) {
        let id = &part.id;
        let Some((then, now)) = signed.part(id) else {
            out.push(format!("{id}: never signed off"));
            continue;
        };
        if now.mesh.as_ref() != Some(&then.mesh) {
            out.push(format!("{id}: another mesh than signed off"));
        }
        if now.settings != then.settings {
            out.push(format!("{id}: printed otherwise than signed off"));
        }
        for pair in differences(then, facts) {
            if whole || pair.measure.alone {
                out.push(format!(
                    "{id}: {} {}, signed off {}",
                    pair.measure.title,
                    pair.measure.say(pair.now),
                    pair.measure.say(pair.then)
                ));
            }
        }
        for measure in measures::all().filter(|m| whole || m.alone) {
            let measured = (measure.take)(facts).is_some();
            if measured != then.values.contains_key(measure.key) {
                let words = if measured { "is" } else { "is no longer" };
                out.push(format!("{id}: {} {words} measured", measure.title));
            }
        }
    }
    if whole {
        let gone = signed.accepted.parts.keys();
        out.extend(
            gone.filter(|id| kit.part(id).is_none())
                .map(|id| format!("{id}: signed off and no longer in the kit")),
        );
    }
    out
}

/// The sign-off of a kit as it is now, part by part; parts without a readable mesh are left out.
pub fn present(kit: &Kit, facts: &[PartFacts], now: &BTreeMap<String, Prints>) -> SignOff {
    let parts = kit.parts.iter().zip(facts).filter_map(|(part, facts)| {
        let prints = now.get(&part.id)?;
        facts.loaded()?;
        let signed = SignedPart {
            mesh: prints.mesh.clone()?,
            settings: prints.settings.clone(),
            source: prints.source.clone(),
            values: measures::values(facts),
        };
        Some((part.id.clone(), signed))
    });
    SignOff {
        kit: kit.id.clone(),
        revision: kit.revision.clone(),
        engine: measures::ENGINE,
        parts: parts.collect(),
    }
}

/// The text of signoff.toml.
pub fn text(signed: &SignOff) -> String {
    signed.text(limits::signoff().decimals.value as usize)
}

/// Everything in the manifest that the measures of a part depend on besides its mesh, one line each.
pub fn settings_text(kit: &Kit, part: &Part) -> String {
    let (source, mirrors) = kit.source_of(part);
    let of_mesh = if part.mesh.is_some() { part } else { source };
    let settings = kit.settings_of(part);
    let mut out = String::new();
    let mut line = |key: &str, value: String| {
        let _ = writeln!(out, "{key} = {value}");
    };
    line(
        "unit",
        of_mesh.unit.map_or("as the file says", |u| u.word()).into(),
    );
    let object = of_mesh.mesh.as_ref().and_then(|m| m.object.as_deref());
    line("object", object.unwrap_or("all").into());
    if part.mesh.is_none() {
        let axes: Vec<String> = mirrors.iter().map(|a| a.index().to_string()).collect();
        line("mirrored along axes", axes.join(" "));
    }
    line("turn", format!("{:?}", part.orientation.turn));
    line("material", part.material.clone());
    line("process", kit.material_of(part).process.word().into());
    line("nozzle", settings.nozzle_mm.to_string());
    line("layer", settings.layer_mm.to_string());
    line("bead", settings.bead_mm.to_string());
    line("overhang", settings.overhang_deg.to_string());
    line("brim", settings.brim_mm.to_string());
    line(
        "mode",
        match settings.mode {
            Mode::Solid => "solid".into(),
            Mode::SingleLine => "single-line".into(),
        },
    );
    line(
        "show",
        match &part.show {
            Show::Visible => "visible".into(),
            Show::All => "all".into(),
            Show::None => "none".into(),
            Show::Directions(list) => list
                .iter()
                .map(|d| format!("{:?} within {}", d.toward, d.cone_deg))
                .collect::<Vec<_>>()
                .join(", "),
        },
    );
    out
}
