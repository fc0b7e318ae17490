//! The measured values of a part before and after.

use measure::PartFacts;
use revisions::Rigid;
use rules::Against;
use rules::measures::{self, Measure};
use rules::reprint::Row;

use crate::input::Checked;

/// A value of a part at both revisions; `None` where it was not measured.
pub(super) struct Value {
    /// What it is.
    pub measure: &'static Measure,
    /// In the base.
    pub base: Option<f64>,
    /// Now.
    pub present: Option<f64>,
}

impl Value {
    /// Whether the two can be told apart.
    pub fn changed(&self) -> bool {
        match (self.base, self.present) {
            (Some(base), Some(present)) => self.measure.differs(base, present),
            (base, present) => base.is_some() != present.is_some(),
        }
    }
}

/// Every value that either revision of a part has, by name; none for a part that only one of them has.
pub(super) fn values(row: &Row, checked: &Checked, against: &Against) -> Vec<Value> {
    let was = row.was.as_ref().unwrap_or(&row.part);
    let (Some(base), Some(present)) = (
        against.facts_of(was),
        checked.facts.iter().find(|f| f.id == row.part),
    ) else {
        return Vec::new();
    };
    measures::all()
        .map(|measure| {
            let take = |facts: &PartFacts| (measure.take)(facts).filter(|value| value.is_finite());
            Value {
                measure,
                base: take(base),
                present: take(present),
            }
        })
        .filter(|value| value.base.is_some() || value.present.is_some())
        .collect()
}

/// What is measured otherwise than before, in words; empty where nothing is.
pub(super) fn otherwise(row: &Row, checked: &Checked, against: &Against) -> String {
    let new = checked.facts.iter().find(|f| f.id == row.part);
    if new.is_some_and(|facts| facts.loaded().is_none()) {
        return "nothing: the new part has no mesh that can be read".into();
    }
    let change = against.compared.pairs[row.pair].change.as_ref();
    // Sizes along the axes of a part that was turned in its file are sizes along others.
    let turned = change.is_some_and(|c| c.onto.turn != Rigid::IDENTITY.turn);
    let words: Vec<String> = values(row, checked, against)
        .iter()
        .filter(|value| value.changed() && !(turned && value.measure.key.starts_with("size-")))
        .map(|value| {
            let say = |number: Option<f64>| {
                number.map_or("not measured".to_string(), |number| {
                    value.measure.say(number)
                })
            };
            let title = value.measure.title;
            format!("{title} {}, was {}", say(value.present), say(value.base))
        })
        .collect();
    words.join("; ")
}
