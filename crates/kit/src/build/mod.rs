//! From the manifest as written to the checked kit: references, defaults, and what values ask of each
//! other. It reads on past every fault, so that all are found; a kit comes out only where there was none.

mod declared;
mod entries;
mod machine;
mod meeting;
mod part;
mod resolve;

use std::collections::BTreeMap;
use std::ops::Range;

use crate::checked::{Kit, Poses};
use crate::faults::{Faults, Trouble};
use crate::keys::{ROOT, Shape};
use crate::revision::Revision;
use crate::suggest::nearest;
use crate::written::{At, Entry};

/// Ids that are declared, by what they name, each with the line that declares it first.
#[derive(Default)]
struct Ids<'a> {
    promises: BTreeMap<&'a str, usize>,
    settings: BTreeMap<&'a str, usize>,
    /// Built-in materials have line 0.
    materials: BTreeMap<&'a str, usize>,
    parts: BTreeMap<&'a str, usize>,
    references: BTreeMap<&'a str, usize>,
}

struct Builder<'a, 'f> {
    faults: &'f mut Faults<'a>,
    root: Entry<'a>,
    ids: Ids<'a>,
    settings_order: Vec<&'a str>,
    first_promise: Option<Entry<'a>>,
}

/// Builds the kit of a parsed manifest; adds to the faults what it finds. `None` where there is any fault.
pub(crate) fn kit<'a>(file: &str, root: &Entry<'a>, faults: &mut Faults<'a>) -> Option<Kit> {
    let mut builder = Builder {
        faults,
        root: root.clone(),
        ids: Ids::default(),
        settings_order: Vec::new(),
        first_promise: root.tables("promise").into_iter().next(),
    };
    builder.declare();
    let promises = builder.promises();
    let settings = builder.settings();
    let materials = builder.materials();
    let parts = builder.parts();
    let placed = builder.poses();
    let references = builder.references();
    let files = builder.files();
    let waivers = builder.waivers();
    let changes = builder.changes();
    let (fits, holes) = (builder.fits(), builder.holes());
    let levels = builder.levels(&builder.root.clone());
    let (declared_unmeasured, later) = later(root);
    if !builder.faults.is_empty() {
        return None;
    }
    let kit = root.table("kit")?;
    let text = |key: &str| kit.text(key).map(|text| text.value.to_string());
    Some(Kit {
        file: file.to_string(),
        rule_set: root.text("rule-set")?.value.to_string(),
        id: text("id")?,
        title: text("title")?,
        revision: Revision::parse(kit.text("revision")?.value)?,
        designer: text("designer"),
        license: text("license")?,
        scale: text("scale"),
        poses: match kit.text("poses").map(|word| word.value) {
            Some("as-modelled") => Poses::AsModelled,
            _ => Poses::Listed,
        },
        promises,
        settings,
        materials,
        parts,
        placed,
        references,
        fits,
        holes,
        files,
        levels,
        waivers,
        changes,
        declared_unmeasured,
        later,
        extra: root.free("extra"),
    })
}

impl<'a> Builder<'a, '_> {
    fn line(&self, span: &Range<usize>) -> usize {
        self.faults.lines().line(span.start)
    }

    /// A fault between values; one that stands where a value is wrong by itself is left out.
    fn cross(&mut self, span: Range<usize>, trouble: Trouble) {
        if !self.faults.known_at(&span) {
            self.faults.add(span, trouble);
        }
    }

    /// Checks that an id is declared among some tables.
    fn declared(&mut self, what: &str, id: &At<&'a str>, among: &[Realm]) -> bool {
        let maps: Vec<&BTreeMap<&str, usize>> =
            among.iter().map(|realm| self.ids.of(*realm)).collect();
        if maps.iter().any(|map| map.contains_key(id.value)) {
            return true;
        }
        let known = maps.iter().flat_map(|map| map.keys().copied());
        let meant = self
            .faults
            .has_room()
            .then(|| nearest(id.value, known.clone()))
            .flatten();
        let trouble = Trouble::new(format!("there is no {what} `{}`", id.value));
        let few: Vec<&str> = known.clone().take(LISTED + 1).collect();
        let trouble = match meant {
            Some(_) => trouble.meant(meant),
            None if few.is_empty() => trouble.help(format!("no {what} is declared")),
            None if few.len() <= LISTED => trouble.expected(format!("one of {}", few.join(", "))),
            None => trouble,
        };
        self.cross(id.span.clone(), trouble);
        false
    }
}

/// So many ids are listed in a message; more would not be read.
const LISTED: usize = 12;

#[derive(Clone, Copy)]
enum Realm {
    Settings,
    Materials,
    Parts,
    References,
}

impl<'a> Ids<'a> {
    fn of(&self, realm: Realm) -> &BTreeMap<&'a str, usize> {
        match realm {
            Realm::Settings => &self.settings,
            Realm::Materials => &self.materials,
            Realm::Parts => &self.parts,
            Realm::References => &self.references,
        }
    }
}

/// Tables that are read, and whose content nothing measures yet.
const NOT_MEASURED: [&str; 2] = ["fit", "hole"];

/// The tables and keys that nothing measures yet: their names, and what they hold.
fn later(root: &Entry<'_>) -> (Vec<String>, BTreeMap<String, toml::Value>) {
    let mut names = Vec::new();
    let mut kept = BTreeMap::new();
    for key in ROOT
        .keys
        .iter()
        .filter(|key| matches!(key.shape, Shape::Later) || NOT_MEASURED.contains(&key.name))
    {
        let Some(value) = root.free(key.name) else {
            continue;
        };
        names.push(match value {
            toml::Value::Array(_) => format!("[[{}]]", key.name),
            _ => format!("[{}]", key.name),
        });
        kept.insert(key.name.to_string(), value);
    }
    let part = ROOT.key("part").and_then(|key| key.shape.spec());
    let keys = part.into_iter().flat_map(|spec| spec.keys);
    for key in keys.filter(|key| matches!(key.shape, Shape::Later)) {
        let mut by_part = toml::Table::new();
        for part in root.tables("part") {
            if let (Some(id), Some(value)) = (part.text("id"), part.free(key.name)) {
                by_part.insert(id.value.to_string(), value);
            }
        }
        if !by_part.is_empty() {
            names.push(format!("part.{}", key.name));
            kept.insert(format!("part.{}", key.name), toml::Value::Table(by_part));
        }
    }
    names.sort();
    (names, kept)
}
