//! What each result depends on. Limits and code stand in the engine's name, which is a hash of its source.

use archive::{Digest, Hasher};
use findings::Finding;
use kit::{Fit, Kit, Material, Part, Placement, Promise, Settings};
use measure::PartFacts;
use measure::show::ShowFacts;
use serde::Serialize;

/// The name of the engine: a hash of its source, and what it was built for, since results are the same bytes on one
/// target.
pub fn engine() -> String {
    format!(
        "{} {} {}",
        env!("KITPROOF_ENGINE"),
        std::env::consts::ARCH,
        std::env::consts::OS
    )
}

/// The name of an entry: a hash of all that it depends on.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Key(Digest);

impl Key {
    /// A key for what a stage gives.
    pub fn of(stage: &str) -> Key {
        let text = format!("{stage} {}", engine());
        Key(archive::sha256(text.as_bytes()))
    }

    /// The same, depending on something more. A hash of hashes: where one thing ends is never in doubt.
    #[must_use]
    pub fn and(self, more: &[u8]) -> Key {
        let mut hasher = Hasher::default();
        hasher.update(&self.0.0);
        hasher.update(&archive::sha256(more).0);
        Key(hasher.finish())
    }

    fn and_key(self, more: &Key) -> Key {
        self.and(&more.0.0)
    }

    /// The name, hexadecimal.
    pub fn name(&self) -> String {
        self.0.to_string()
    }
}

/// Everything in the manifest that the facts of a part depend on besides its mesh: the part, its settings, its
/// material and what it is promised on, without names, words, counts and lines of the file.
fn asked(kit: &Kit, part: &Part) -> String {
    let bare = Part {
        id: String::new(),
        mesh: None,
        mirror: None,
        unit: None,
        source: None,
        color: None,
        rev: 0,
        count: 0,
        spare: 0,
        up_because: None,
        was: Vec::new(),
        levels: Vec::new(),
        line: 0,
        origins: Vec::new(),
        ..part.clone()
    };
    let promises: Vec<Promise> = kit
        .promises_for(part)
        .into_iter()
        .map(|promise| Promise {
            line: 0,
            ..promise.clone()
        })
        .collect();
    let settings = Settings {
        line: 0,
        ..kit.settings_of(part).clone()
    };
    let material = Material {
        line: None,
        ..kit.material_of(part).clone()
    };
    format!("{bare:?} {settings:?} {material:?} {promises:?}")
}

/// What is measured on a part alone.
pub fn measured(print: &Digest, kit: &Kit, part: &Part) -> Key {
    Key::of("measured")
        .and(&print.0)
        .and(asked(kit, part).as_bytes())
}

/// Every copy of every part where it sits.
pub fn scene(copies: &[(usize, Option<Digest>, Placement)]) -> Key {
    let said = |(part, print, at): &(usize, Option<Digest>, Placement)| {
        format!("{part} {print:?} {:?} {:?}\n", at.turn, at.move_mm)
    };
    let text: String = copies.iter().map(said).collect();
    Key::of("scene").and(text.as_bytes())
}

/// What is on show of a part, alone or seen in the assembled kit, where it is the part of that number.
pub fn shown(print: &Digest, kit: &Kit, part: &Part, seen_in: Option<(&Key, usize)>) -> Key {
    let key = Key::of("shown")
        .and(&print.0)
        .and(asked(kit, part).as_bytes());
    match seen_in {
        Some((scene, number)) => key.and_key(scene).and(&number.to_le_bytes()),
        None => key,
    }
}

/// Where two parts of a glued fit meet on show faces, by their numbers; the keys are those of what is on show of each.
pub fn joined(fit: &Fit, pair: [usize; 2], scene: &Key, sides: [&Key; 2]) -> Key {
    Key::of("joined")
        .and(format!("{pair:?}").as_bytes())
        .and(format!("{:?} {:?}", fit.kind, fit.gap_mm).as_bytes())
        .and_key(scene)
        .and_key(sides[0])
        .and_key(sides[1])
}

/// Other ways to lay a part.
pub fn laid(
    print: &Digest,
    kit: &Kit,
    part: &Part,
    shown: Option<&ShowFacts>,
    closer: bool,
) -> Option<Key> {
    Some(
        Key::of("laid")
            .and(&print.0)
            .and(asked(kit, part).as_bytes())
            .and(&bytes(&shown)?)
            .and(&[u8::from(closer)]),
    )
}

/// The pictures of a part and of its findings.
pub fn drawn(
    print: &Digest,
    kit: &Kit,
    part: &Part,
    facts: &PartFacts,
    findings: &[&Finding],
) -> Option<Key> {
    Some(
        Key::of("drawn")
            .and(&print.0)
            .and(part.id.as_bytes())
            .and(asked(kit, part).as_bytes())
            .and(&bytes(facts)?)
            .and(format!("{findings:?}").as_bytes()),
    )
}

/// What changed between two surfaces.
pub fn compared(old: &Digest, new: &Digest) -> Key {
    Key::of("compared").and(&old.0).and(&new.0)
}

/// A value as bytes; `None` where it cannot be written so, and then nothing is reused.
fn bytes<T: Serialize + ?Sized>(value: &T) -> Option<Vec<u8>> {
    postcard::to_stdvec(value).ok()
}
