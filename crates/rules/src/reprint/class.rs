//! The class of every part, computed with its reason, closed over bonds.

use findings::{Finding, Level, Verdict};
use kit::{ClassWord, Kit, Part};
use revisions::{Compared, Pair};

use super::bonds::bonds;
use super::mixed::{self, Mixed};
use super::reason::{self, Reason};
use super::step::{self, Step};

/// What a builder of the base does about a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Must be printed again.
    Required,
    /// Better printed again.
    Recommended,
    /// Changed where nothing hangs on it.
    Optional,
    /// The old kit had no such part.
    New,
    /// The kit has no such part any more.
    Retired,
    /// The same surface under another name.
    Renamed,
    /// The same.
    Same,
}

impl Class {
    /// Every class, the most pressing first.
    pub const ALL: &[Class] = &[
        Class::Required,
        Class::Recommended,
        Class::Optional,
        Class::New,
        Class::Retired,
        Class::Renamed,
        Class::Same,
    ];

    /// The word in outputs.
    pub fn word(self) -> &'static str {
        match self {
            Class::Required => "required",
            Class::Recommended => "recommended",
            Class::Optional => "optional",
            Class::New => "new",
            Class::Retired => "retired",
            Class::Renamed => "renamed",
            Class::Same => "same",
        }
    }

    /// What to do with a kit that is printed and not yet built.
    pub fn unbuilt(self) -> &'static str {
        match self {
            Class::Required => "print the new part",
            Class::Recommended => "better print the new part",
            Class::Optional => "use either",
            Class::New => "print it",
            Class::Retired => "leave it out",
            Class::Renamed | Class::Same => "use what you have",
        }
    }

    /// What to do with a kit that is built.
    pub fn finished(self) -> &'static str {
        match self {
            Class::Required => "print and replace",
            Class::Recommended => "keep; print at the next repair",
            Class::New => "print and add",
            Class::Retired => "take it off, or keep it as it is",
            Class::Optional | Class::Renamed | Class::Same => "keep",
        }
    }

    fn of(word: ClassWord) -> Class {
        match word {
            ClassWord::Required => Class::Required,
            ClassWord::Recommended => Class::Recommended,
            ClassWord::Optional => Class::Optional,
            ClassWord::Same => Class::Same,
        }
    }
}

/// The designer's word in the place of the computed class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Override {
    /// What was computed.
    pub computed: Class,
    /// Its reason.
    pub reason: String,
}

/// One part in the reprint table.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The part's id; the base's where it is retired.
    pub part: String,
    /// Its id in the base, where that is another.
    pub was: Option<String>,
    /// Its revision in the base and now.
    pub revs: [Option<u32>; 2],
    /// Copies a kit needs in the base and now.
    pub counts: [Option<u32>; 2],
    /// The class: that of a finished kit, which is closed over bonds.
    pub class: Class,
    /// The class for a kit that is not yet built: what is glued to what does not count.
    pub unbuilt: Class,
    /// Why, in one sentence.
    pub reason: String,
    /// The designer's line for the part.
    pub text: Option<String>,
    /// Whether the class is the designer's word.
    pub overridden: Option<Override>,
    /// The glued part that makes this one required, where its own change does not.
    pub bonded_to: Option<String>,
    /// The pair of surfaces in [`Compared`].
    pub pair: usize,
}

impl Row {
    /// Whether a kit needs more of it than the base did.
    pub fn more_copies(&self) -> bool {
        matches!(self.counts, [Some(was), Some(is)] if is > was)
    }

    /// Whether a builder of the base may have to print it: it changed, it is new, or more of it are needed.
    pub fn to_print(&self) -> bool {
        let classes = [self.class, self.unbuilt];
        let changed = [
            Class::Required,
            Class::Recommended,
            Class::Optional,
            Class::New,
        ];
        classes.iter().any(|class| changed.contains(class)) || self.more_copies()
    }

    /// Whether anything about it changed that a builder can see.
    pub fn changed(&self) -> bool {
        self.class != Class::Same || self.unbuilt != Class::Same
    }
}

/// The reprint table of a kit against its base.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// The present parts in the manifest's order, then the retired ones.
    pub rows: Vec<Row>,
    /// The smallest step that is allowed.
    pub step: Step,
    /// The row that asks for it.
    pub step_from: Option<usize>,
    /// What of the old goes with what of the new.
    pub mixed: Vec<Mixed>,
}

impl Table {
    /// A part's row.
    pub fn row(&self, part: &str) -> Option<&Row> {
        self.rows.iter().find(|r| r.part == part)
    }

    /// How many parts are of a class.
    pub fn count(&self, class: Class) -> usize {
        self.rows.iter().filter(|r| r.class == class).count()
    }
}

/// Classes every part. `base` and `now` are what is said of both revisions, each for itself.
pub fn table(
    base: &Kit,
    base_verdict: &Verdict,
    compared: &Compared,
    present: &Kit,
    now: &Verdict,
) -> Table {
    let mut rows: Vec<Row> = compared
        .pairs
        .iter()
        .enumerate()
        .map(|(i, pair)| row(i, pair, base, base_verdict, present, now))
        .collect();
    overrule(&mut rows, present);
    close_over_bonds(&mut rows, base, compared, present);
    let (step, step_from) = step::asked(&rows);
    Table {
        mixed: mixed::lines(&rows, compared, present),
        rows,
        step,
        step_from,
    }
}

fn row(
    index: usize,
    pair: &Pair,
    base: &Kit,
    base_verdict: &Verdict,
    present: &Kit,
    now: &Verdict,
) -> Row {
    let new = pair.part.as_deref().and_then(|id| present.part(id));
    let old = pair.was.as_deref().and_then(|id| base.part(id));
    let Reason { class, words } = match (old, new) {
        (None, _) => Reason::new_part(),
        (_, None) => Reason::retired(),
        (Some(old), Some(new)) => {
            let gone = gone(base_verdict, old, now, new);
            reason::of(pair, (base, old), (present, new), &gone)
        }
    };
    let id = |part: &Part| part.id.clone();
    let words = match (old, new) {
        (Some(old), Some(new)) if old.count != new.count => {
            format!("{} are needed, before {}; {words}", new.count, old.count)
        }
        _ => words,
    };
    Row {
        part: new.or(old).map(id).unwrap_or_default(),
        was: old
            .map(id)
            .filter(|was| pair.part.as_ref().is_some_and(|p| p != was)),
        revs: [old.map(|p| p.rev), new.map(|p| p.rev)],
        counts: [old.map(|p| p.count), new.map(|p| p.count)],
        class,
        unbuilt: class,
        reason: words,
        text: None,
        overridden: None,
        bonded_to: None,
        pair: index,
    }
}

/// Findings of the old part alone that say nothing of the new one.
fn gone<'a>(base: &'a Verdict, old: &Part, now: &Verdict, new: &Part) -> Vec<&'a Finding> {
    let of = |f: &Finding, id: &str| f.parts.len() == 1 && f.parts[0].id == id;
    let stays = |f: &Finding| {
        let still = |g: &Finding| g.rule == f.rule && of(g, &new.id) && g.level >= f.level;
        now.findings.iter().any(still)
    };
    base.findings
        .iter()
        .filter(|f| of(f, &old.id) && f.waived.is_none() && f.level >= Level::Warn)
        .filter(|f| !stays(f))
        .collect()
}

/// Puts the designer's words in.
fn overrule(rows: &mut [Row], present: &Kit) {
    for change in &present.changes {
        let Some(row) = rows
            .iter_mut()
            .find(|r| r.part == change.part && r.class != Class::Retired)
        else {
            continue;
        };
        row.text = Some(change.text.clone());
        let Some(class) = change.class.map(Class::of).filter(|c| *c != row.class) else {
            continue;
        };
        row.overridden = Some(Override {
            computed: row.class,
            reason: std::mem::replace(
                &mut row.reason,
                "the designer's word, in the place of what was computed".into(),
            ),
        });
        (row.class, row.unbuilt) = (class, class);
    }
}

/// Whatever is glued to a required part is required with it in a finished kit.
fn close_over_bonds(rows: &mut [Row], base: &Kit, compared: &Compared, present: &Kit) {
    let now_called = |was: &str| {
        let pair = compared
            .pairs
            .iter()
            .find(|p| p.was.as_deref() == Some(was));
        pair.and_then(|p| p.part.clone())
    };
    let bonds = bonds(base, present, now_called);
    let mut open: Vec<String> = rows
        .iter()
        .filter(|r| r.class == Class::Required)
        .map(|r| r.part.clone())
        .collect();
    while let Some(part) = open.pop() {
        for bond in &bonds {
            let Some(other) = bond.other(&part) else {
                continue;
            };
            let Some(row) = rows.iter_mut().find(|r| {
                // What the old kit did not have is glued to nothing yet; what is gone comes off with its partner.
                r.part == other
                    && r.class > Class::Required
                    && !matches!(r.class, Class::New | Class::Retired)
            }) else {
                continue;
            };
            // A designer who says that a part may stay has a way to part the joint.
            if row.overridden.is_some() {
                continue;
            }
            row.reason = format!(
                "glued to {part} ({}), which must be printed again",
                bond.fit
            );
            row.bonded_to = Some(part.clone());
            row.class = Class::Required;
            open.push(row.part.clone());
        }
    }
}
