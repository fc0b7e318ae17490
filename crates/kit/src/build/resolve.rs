//! One part with every value filled in: its own, that of the part it mirrors, the kit's default, or the
//! built-in one, in this order; where each came from is kept.

use super::machine::{root_material, supports};
use super::{Builder, Realm};
use crate::checked::{
    From, LevelOverride, MeshFile, Mirror, Orientation, Origin, Part, Process, Show, ShowDirection,
    Supports,
};
use crate::faults::Trouble;
use crate::path;
use crate::turn::{self, Axis};
use crate::unit::Unit;
use crate::written::{At, Entry};

/// `[defaults]` as written.
pub(super) struct Defaults<'a> {
    pub unit: Option<At<&'a str>>,
    pub material: Option<At<&'a str>>,
    pub settings: Option<At<&'a str>>,
}

/// Collects where each value came from.
struct Origins {
    list: Vec<Origin>,
    source: Option<String>,
}

impl Origins {
    fn note(&mut self, key: &'static str, value: String, from: From) {
        self.list.push(Origin { key, value, from });
    }

    /// The first of: the part's own value, the mirrored part's, the built-in one.
    fn pick<T>(
        &mut self,
        key: &'static str,
        own: Option<(T, usize)>,
        mirrored: Option<T>,
        built_in: T,
        say: impl Fn(&T) -> String,
    ) -> T {
        let (value, from) = match (own, mirrored, &self.source) {
            (Some((value, line)), _, _) => (value, From::Part { line }),
            (None, Some(value), Some(source)) => (value, From::MirrorOf(source.clone())),
            _ => (built_in, From::BuiltIn),
        };
        self.note(key, say(&value), from);
        value
    }
}

fn or_dash<T>(say: impl Fn(&T) -> String) -> impl Fn(&Option<T>) -> String {
    move |value| value.as_ref().map_or_else(|| "-".to_string(), &say)
}

impl<'a> Builder<'a, '_> {
    pub(super) fn part(
        &mut self,
        entry: &Entry<'a>,
        source: Option<&Part>,
        defaults: &Defaults<'a>,
    ) -> Option<Part> {
        let id = entry.text("id").map_or("", |id| id.value);
        self.object(entry);
        let mut origins = Origins {
            list: Vec::new(),
            source: source.map(|part| part.id.clone()),
        };
        let mesh = entry.text("mesh").map(|path| MeshFile {
            path: path.value.to_string(),
            object: entry.text("object").map(|object| object.value.to_string()),
        });
        let axis = entry
            .text("mirror")
            .and_then(|word| Axis::of_word(word.value));
        let unit = self.unit(entry, source, defaults, &mut origins);
        let material = self.material(entry, source, defaults, &mut origins);
        let settings = self.settings_id(entry, source, defaults, &mut origins);
        let line_of = |at: &std::ops::Range<usize>| self.faults.lines().line(at.start);
        let whole = |key: &str| entry.whole(key).map(|n| (n.value, line_of(&n.span)));
        let text = |key: &str| {
            entry
                .text(key)
                .map(|t| (Some(t.value.to_string()), line_of(&t.span)))
        };
        let number = |n: &u32| n.to_string();
        let words = or_dash(|text: &String| text.clone());
        let color = origins.pick(
            "color",
            text("color"),
            source.map(|p| p.color.clone()),
            None,
            &words,
        );
        let rev = origins.pick("rev", whole("rev"), source.map(|p| p.rev), 1, number);
        let count = origins.pick("count", whole("count"), None, 1, number);
        let spare = origins.pick("spare", whole("spare"), None, 0, number);
        let bodies = origins.pick(
            "bodies",
            whole("bodies"),
            source.map(|p| p.bodies),
            1,
            number,
        );
        let orientation = orientation(entry, source.zip(axis), &mut origins, &line_of);
        let show = show(entry, source.zip(axis), &mut origins, &line_of);
        let own_supports = entry
            .text("supports")
            .map(|word| (supports(word.value), line_of(&word.span)));
        let supports = origins.pick(
            "supports",
            own_supports,
            source.map(|p| p.supports),
            None,
            |s: &Option<Supports>| s.map_or("the promise's", Supports::word).to_string(),
        );
        let own_wall = entry
            .number("min-wall")
            .map(|n| (Some(n.value), line_of(&n.span)));
        let min_wall_mm = origins.pick(
            "min-wall",
            own_wall,
            source.map(|p| p.min_wall_mm),
            None,
            or_dash(|n: &f64| format!("{n} mm")),
        );
        let up_because = entry
            .text("up-because")
            .map(|t| t.value.to_string())
            .or_else(|| source.and_then(|p| p.up_because.clone()));
        Some(Part {
            id: id.to_string(),
            mesh,
            mirror: entry.text("mirror-of").zip(axis).map(|(of, axis)| Mirror {
                of: of.value.to_string(),
                axis,
            }),
            unit,
            source: entry.text("source").map(|t| t.value.to_string()),
            material,
            settings,
            color,
            rev,
            count,
            spare,
            bodies,
            orientation,
            up_because,
            show,
            supports,
            min_wall_mm,
            was: entry
                .one_or_texts("was")
                .into_iter()
                .map(|id| id.value.to_string())
                .collect(),
            levels: self.part_levels(entry, source),
            line: self.line(&entry.span),
            origins: origins.list,
        })
    }

    /// A mirrored part is judged as its source is, unless it says otherwise.
    fn part_levels(&mut self, entry: &Entry<'a>, source: Option<&Part>) -> Vec<LevelOverride> {
        let mut levels = self.levels(entry);
        // A faulty manifest gives no kit; what a long chain of mirrors would copy is left out.
        if !self.faults.is_empty() {
            return levels;
        }
        let own: Vec<String> = levels.iter().map(|level| level.rule.clone()).collect();
        let taken = source.into_iter().flat_map(|part| &part.levels);
        levels.extend(taken.filter(|level| !own.contains(&level.rule)).cloned());
        levels
    }

    fn unit(
        &mut self,
        entry: &Entry<'a>,
        source: Option<&Part>,
        defaults: &Defaults<'a>,
        origins: &mut Origins,
    ) -> Option<Unit> {
        let own = entry.text("units");
        let states_its_own = entry
            .text("mesh")
            .is_some_and(|mesh| path::ending(mesh.value).as_deref() == Some("3mf"));
        let (unit, from) = if let Some(word) = own {
            let line = self.line(&word.span);
            (Unit::of_word(word.value), From::Part { line })
        } else if states_its_own {
            (None, From::File)
        } else if let Some(part) = source.filter(|part| part.unit.is_some() || !entry.has("mesh")) {
            (part.unit, From::MirrorOf(part.id.clone()))
        } else if let Some(word) = &defaults.unit {
            let line = self.line(&word.span);
            (Unit::of_word(word.value), From::Defaults { line })
        } else {
            if let Some(mesh) = entry.text("mesh") {
                let trouble = Trouble::new("nothing says which unit this mesh is in")
                    .expected("`units` here or in [defaults]")
                    .help("STL, OBJ and PLY carry no unit: write units = \"mm\" in [defaults]");
                self.cross(mesh.span, trouble);
            }
            (None, From::BuiltIn)
        };
        let value = unit.map_or("as the file says", Unit::word).to_string();
        origins.note("units", value, from);
        unit
    }

    fn material(
        &mut self,
        entry: &Entry<'a>,
        source: Option<&Part>,
        defaults: &Defaults<'a>,
        origins: &mut Origins,
    ) -> String {
        let (id, from) = if let Some(own) = entry.text("material") {
            self.declared("material", &own, &[Realm::Materials]);
            let line = self.line(&own.span);
            (own.value.to_string(), From::Part { line })
        } else if let Some(part) = source {
            (part.material.clone(), From::MirrorOf(part.id.clone()))
        } else if let Some(default) = &defaults.material {
            let line = self.line(&default.span);
            (default.value.to_string(), From::Defaults { line })
        } else {
            (self.built_in_material(), From::BuiltIn)
        };
        origins.note("material", id.clone(), from);
        id
    }

    /// The first material that the first promise names; else pla, or resin on a vat.
    fn built_in_material(&self) -> String {
        let named = self.first_promise.as_ref().and_then(|promise| {
            let listed = promise.texts("materials").into_iter().map(|id| id.value);
            let vat = promise
                .text("kind")
                .is_some_and(|kind| kind.value == Process::Vat.word());
            let kind = if vat { Process::Vat } else { Process::Filament };
            let usual = limits::materials().iter().map(|known| known.id);
            listed
                .chain(usual)
                .find(|id| root_material(&self.root, id) == Some(kind))
        });
        named.unwrap_or("pla").to_string()
    }

    fn settings_id(
        &mut self,
        entry: &Entry<'a>,
        source: Option<&Part>,
        defaults: &Defaults<'a>,
        origins: &mut Origins,
    ) -> String {
        let (id, from) = if let Some(own) = entry.text("settings") {
            self.declared("settings table", &own, &[Realm::Settings]);
            let line = self.line(&own.span);
            (own.value.to_string(), From::Part { line })
        } else if let Some(part) = source {
            (part.settings.clone(), From::MirrorOf(part.id.clone()))
        } else if let Some(default) = &defaults.settings {
            let line = self.line(&default.span);
            (default.value.to_string(), From::Defaults { line })
        } else {
            let (first, more) = (self.settings_order.first(), self.settings_order.len() > 1);
            let first = first.copied().unwrap_or_default().to_string();
            if more {
                let trouble =
                    Trouble::new("this part does not say which settings it is printed with")
                        .expected(format!(
                            "`settings`, one of {}",
                            self.settings_order.join(", ")
                        ))
                        .help("name them here or in [defaults]");
                self.faults.add(entry.span.clone(), trouble);
            }
            (first, From::BuiltIn)
        };
        origins.note("settings", id.clone(), from);
        id
    }
}

fn orientation(
    entry: &Entry<'_>,
    mirrored: Option<(&Part, Axis)>,
    origins: &mut Origins,
    line_of: &dyn Fn(&std::ops::Range<usize>) -> usize,
) -> Orientation {
    let from_up = |up: [f64; 3]| {
        let up = turn::unit(up)?;
        Some(Orientation {
            turn: turn::up_to_z(up)?,
            up,
        })
    };
    let from_turn = |degrees: [f64; 3]| {
        let turn = turn::from_degrees(degrees);
        Orientation { turn, up: turn[2] }
    };
    let upright = Orientation {
        turn: turn::IDENTITY,
        up: [0.0, 0.0, 1.0],
    };
    let say = |o: &Orientation| format!("up {}", direction_word(o.up));
    if let Some(degrees) = entry.numbers::<3>("turn") {
        let line = line_of(&degrees.span);
        return origins.pick(
            "turn",
            Some((from_turn(degrees.value), line)),
            None,
            upright,
            say,
        );
    }
    let own = entry
        .direction("up")
        .and_then(|up| from_up(up.value).map(|orientation| (orientation, line_of(&up.span))));
    let source = mirrored.map(|(part, axis)| mirrored_orientation(&part.orientation, axis));
    origins.pick("up", own, source, upright, say)
}

/// The pose in which the mirror image lies as its source does. With M the mirror of the mesh and N that of
/// the plate along x, it is N R M: a proper turn, with the mirrored direction up.
fn mirrored_orientation(source: &Orientation, axis: Axis) -> Orientation {
    let mirror = axis.mirror();
    let up = turn::apply(&mirror, source.up);
    // Where the source lies by the shortest turn, so does the image; that of a chosen turn is carried over.
    if turn::up_to_z(source.up).is_some_and(|shortest| shortest == source.turn)
        && let Some(turn) = turn::up_to_z(up)
    {
        return Orientation { turn, up };
    }
    let turned = turn::product(&source.turn, &mirror);
    Orientation {
        turn: turn::product(&Axis::X.mirror(), &turned),
        up,
    }
}

fn direction_word(v: [f64; 3]) -> String {
    if let Some(word) = turn::word_of(v) {
        return word.to_string();
    }
    format!("[{:.4}, {:.4}, {:.4}]", v[0], v[1], v[2])
}

fn show(
    entry: &Entry<'_>,
    mirrored: Option<(&Part, Axis)>,
    origins: &mut Origins,
    line_of: &dyn Fn(&std::ops::Range<usize>) -> usize,
) -> Show {
    let own = entry.span_of("show").and_then(|span| {
        let show = match entry.text("show").map(|word| word.value) {
            Some("visible") => Show::Visible,
            Some("all") => Show::All,
            Some("none") => Show::None,
            Some(_) => return None,
            None => Show::Directions(entry.tables("show").iter().filter_map(cone).collect()),
        };
        Some((show, line_of(&span)))
    });
    let source = mirrored.map(|(part, axis)| match &part.show {
        Show::Directions(list) => Show::Directions(
            list.iter()
                .map(|d| ShowDirection {
                    toward: turn::apply(&axis.mirror(), d.toward),
                    cone_deg: d.cone_deg,
                })
                .collect(),
        ),
        show => show.clone(),
    });
    origins.pick("show", own, source, Show::Visible, |show| match show {
        Show::Visible => "visible".into(),
        Show::All => "all".into(),
        Show::None => "none".into(),
        Show::Directions(list) => {
            let words: Vec<String> = list
                .iter()
                .map(|d| format!("{} within {} deg", direction_word(d.toward), d.cone_deg))
                .collect();
            words.join(", ")
        }
    })
}

fn cone(entry: &Entry<'_>) -> Option<ShowDirection> {
    Some(ShowDirection {
        toward: turn::unit(entry.direction("toward")?.value)?,
        cone_deg: entry.number("cone")?.value,
    })
}
