//! The one table of what a manifest may contain. The reader checks by it and the JSON Schema is written
//! from it, so the two cannot part.

mod entries;
mod machine;
mod meeting;
mod part;
mod root;
mod signoff;

pub(crate) use root::ROOT;
pub(crate) use signoff::SIGNOFF;

/// One table of the manifest.
pub(crate) struct Spec {
    /// Its name as a reader knows it: `[[part]]`.
    pub name: &'static str,
    /// What it is for, a sentence.
    pub doc: &'static str,
    /// Its keys, in the order of the documentation.
    pub keys: &'static [Key],
    /// What its keys ask of each other.
    pub demands: &'static [Demand],
}

/// One key of a table.
pub(crate) struct Key {
    /// Its name, kebab-case.
    pub name: &'static str,
    /// What its value must be.
    pub shape: Shape,
    /// Whether it must be there.
    pub required: bool,
    /// What it says, with its default.
    pub doc: &'static str,
    /// Other words people write for it; a did-you-mean finds them.
    pub also: &'static [&'static str],
}

/// What keys of one table ask of each other.
pub(crate) enum Demand {
    /// At least one of them.
    AnyOf(&'static [&'static str]),
    /// One of them and no other.
    OneOf(&'static [&'static str]),
    /// Not both.
    NotBoth(&'static str, &'static str),
    /// The first asks for the second.
    With(&'static str, &'static str),
    /// Where a key has this word: what it asks for and what it bars. `usual`: a missing key means this word.
    When {
        key: &'static str,
        word: &'static str,
        usual: bool,
        needs: &'static [&'static str],
        bars: &'static [&'static str],
    },
}

/// A word that a key may have.
pub(crate) struct Word {
    /// The word.
    pub word: &'static str,
    /// What it means.
    pub doc: &'static str,
}

/// What a path names.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum PathTo {
    /// A mesh: its ending says how it is read.
    Mesh,
    /// Any file.
    File,
}

/// What a value must be. Ranges are named rows of the limits' table of the manifest.
pub(crate) enum Shape {
    /// Text that says something.
    Text,
    /// A reason in words.
    Reason,
    /// An id that this table declares.
    Id,
    /// An id that another table declares; the words say of what.
    Ref(&'static str),
    /// The id of a rule.
    Rule,
    /// A path within the kit's folder.
    Path(PathTo),
    /// A number in a range.
    Number(&'static str),
    /// A whole number in a range.
    Whole(&'static str),
    /// true or false.
    Flag,
    /// One of some words.
    OneWord(&'static [Word]),
    /// Three numbers in a range.
    Three(&'static str),
    /// Two numbers in a range, the lesser first.
    Two(&'static str),
    /// A signed axis (`+z`) or three numbers, not all 0.
    Direction,
    /// `1.4.0`
    Revision,
    /// `2027-01-31`, quoted or bare.
    Date,
    /// An SPDX expression.
    License,
    /// `1:48`
    Scale,
    /// A list of one kind, not empty.
    List(&'static Shape),
    /// One of a kind, or a list of them, not empty.
    OneOrList(&'static Shape),
    /// A word, or a list of tables.
    WordOrTables(&'static [Word], &'static Spec),
    /// A table.
    Table(&'static Spec),
    /// An array of tables.
    Tables(&'static Spec),
    /// Tables by id: `[settings.body]`.
    Named(&'static Spec),
    /// Numbers in a range by the name of a measure; the names are those the checker knows.
    Values(&'static str),
    /// Levels by rule.
    Levels,
    /// Known, kept, not measured yet.
    Later,
    /// Free content, never looked at.
    Free,
}

/// The levels of a rule, for the schema and for messages.
pub(crate) const LEVELS: &[Word] = &[
    Word {
        word: "off",
        doc: "not judged",
    },
    Word {
        word: "note",
        doc: "advice",
    },
    Word {
        word: "warn",
        doc: "a risk",
    },
    Word {
        word: "block",
        doc: "it cannot print or fit as promised",
    },
];

/// Length units.
pub(crate) const UNITS: &[Word] = &[
    Word {
        word: "mm",
        doc: "millimetre",
    },
    Word {
        word: "cm",
        doc: "centimetre",
    },
    Word {
        word: "m",
        doc: "metre",
    },
    Word {
        word: "um",
        doc: "micrometre",
    },
    Word {
        word: "in",
        doc: "inch, 25.4 mm",
    },
    Word {
        word: "ft",
        doc: "foot, 304.8 mm",
    },
];

/// How a material is printed.
pub(crate) const PROCESSES: &[Word] = &[
    Word {
        word: "filament",
        doc: "material extrusion",
    },
    Word {
        word: "vat",
        doc: "vat photopolymerisation of a resin",
    },
];

/// Which supports are allowed.
pub(crate) const SUPPORTS: &[Word] = &[
    Word {
        word: "none",
        doc: "no supports",
    },
    Word {
        word: "from-plate",
        doc: "supports that stand on the plate",
    },
    Word {
        word: "from-part",
        doc: "supports that may stand on the part too",
    },
];

/// Axes a part is mirrored along.
pub(crate) const AXES: &[Word] = &[
    Word {
        word: "x",
        doc: "x turns its sign",
    },
    Word {
        word: "y",
        doc: "y turns its sign",
    },
    Word {
        word: "z",
        doc: "z turns its sign",
    },
];

const fn need(name: &'static str, shape: Shape, doc: &'static str) -> Key {
    Key {
        name,
        shape,
        required: true,
        doc,
        also: &[],
    }
}

const fn may(name: &'static str, shape: Shape, doc: &'static str) -> Key {
    Key {
        name,
        shape,
        required: false,
        doc,
        also: &[],
    }
}

impl Key {
    const fn or(mut self, also: &'static [&'static str]) -> Key {
        self.also = also;
        self
    }
}

impl Spec {
    /// A key by its name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }
}

impl Shape {
    /// The table within, where there is one.
    pub fn spec(&self) -> Option<&'static Spec> {
        match self {
            Shape::Table(spec)
            | Shape::Tables(spec)
            | Shape::Named(spec)
            | Shape::WordOrTables(_, spec) => Some(spec),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn every(spec: &'static Spec, look: &mut dyn FnMut(&'static Spec, &'static Key)) {
        for key in spec.keys {
            look(spec, key);
            if let Some(inner) = key.shape.spec() {
                every(inner, look);
            }
        }
    }

    #[test]
    fn every_key_is_kebab_case_documented_and_in_a_known_range() {
        every(&ROOT, &mut |spec, key| {
            let kebab = key
                .name
                .bytes()
                .all(|b| b.is_ascii_lowercase() || b == b'-');
            assert!(kebab, "{} {}", spec.name, key.name);
            assert!(
                key.doc.len() > 5 && !key.doc.ends_with('.'),
                "{} {}",
                spec.name,
                key.name
            );
            match key.shape {
                Shape::Number(range)
                | Shape::Whole(range)
                | Shape::Two(range)
                | Shape::Three(range) => {
                    assert!(
                        limits::manifest::span(range).least <= limits::manifest::span(range).most
                    );
                }
                _ => {}
            }
        });
    }

    #[test]
    fn demands_name_keys_of_their_table() {
        every(&ROOT, &mut |_, key| {
            let Some(spec) = key.shape.spec() else { return };
            for demand in spec.demands {
                let names: Vec<&str> = match demand {
                    Demand::AnyOf(keys) | Demand::OneOf(keys) => keys.to_vec(),
                    Demand::NotBoth(a, b) | Demand::With(a, b) => vec![a, b],
                    Demand::When {
                        key, needs, bars, ..
                    } => [&[*key], *needs, *bars].concat(),
                };
                for name in names {
                    assert!(spec.key(name).is_some(), "{} has no {name}", spec.name);
                }
            }
        });
    }
}
