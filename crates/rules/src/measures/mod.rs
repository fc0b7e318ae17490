//! The measured values that a designer signs off: what each is called, which way it gets worse, how finely it
//! is told apart, and how it is taken from a part's facts.

mod layered;
mod solid;

use std::collections::BTreeMap;

use findings::Worse;
use measure::PartFacts;

/// Number of the way of measuring: raised whenever a change of the engine changes a value of an unchanged part.
pub const ENGINE: u32 = 1;

/// A named value of a part.
pub struct Measure {
    /// Its name in signoff.toml.
    pub key: &'static str,
    /// What it is, in a few words.
    pub title: &'static str,
    /// Its unit; empty for a bare number.
    pub unit: &'static str,
    /// Which way it gets worse; [`Worse::Unmeasured`] where neither is worse.
    pub worse: Worse,
    /// Whether it depends on the part alone, and not on its neighbours.
    pub alone: bool,
    /// Differences below this are none, in its unit.
    pub resolution: fn() -> f64,
    /// The value; `None` where it was not measured.
    pub take: fn(&PartFacts) -> Option<f64>,
    /// Where it is worst, mm, in the mesh's own frame.
    pub at: fn(&PartFacts) -> Option<[f64; 3]>,
}

/// Every measure, sorted by name.
pub fn all() -> impl Iterator<Item = &'static Measure> {
    // Two lists, each sorted; the map sorts them together.
    let both = layered::MEASURES.iter().chain(solid::MEASURES);
    let sorted: BTreeMap<&str, &Measure> = both.map(|m| (m.key, m)).collect();
    sorted.into_values()
}

/// Names of all measures, sorted.
pub fn keys() -> Vec<&'static str> {
    all().map(|m| m.key).collect()
}

/// The values of a part, by name; what was not measured is left out.
pub fn values(facts: &PartFacts) -> BTreeMap<String, f64> {
    all()
        .filter_map(|m| Some((m.key.to_string(), (m.take)(facts)?)))
        .filter(|(_, value)| value.is_finite())
        .collect()
}

impl Measure {
    /// By how much a value is worse than another, in the measure's unit; negative where it is better, `None`
    /// where neither way is worse.
    pub fn worsened(&self, from: f64, to: f64) -> Option<f64> {
        match self.worse {
            Worse::Lower => Some(from - to),
            Worse::Higher => Some(to - from),
            Worse::Unmeasured => None,
        }
    }

    /// Whether two values can be told apart.
    pub fn differs(&self, from: f64, to: f64) -> bool {
        // What is written has fixed decimals: a difference of just the resolution must not hang on the last of them.
        (from - to).abs() >= (self.resolution)() - rounding()
    }

    /// A value with its unit, as messages say it.
    pub fn say(&self, value: f64) -> String {
        // What rounds to nought has no sign.
        let value = if value.abs() < rounding_of_words() {
            0.0
        } else {
            value
        };
        let number = if self.unit.is_empty() {
            format!("{value:.0}")
        } else {
            format!("{value:.2}")
        };
        if self.unit.is_empty() {
            number
        } else {
            format!("{number} {}", self.unit)
        }
    }
}

/// Half a unit of the last decimal that messages say.
fn rounding_of_words() -> f64 {
    let hundred = f64::from(100);
    0.5 / hundred
}

/// Half a unit of the last decimal that is written.
pub(crate) fn rounding() -> f64 {
    let decimals = limits::signoff().decimals.value;
    (0..decimals as u32).fold(0.5, |unit, _| unit / 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_plain_unique_and_each_list_is_sorted() {
        for list in [layered::MEASURES, solid::MEASURES] {
            for pair in list.windows(2) {
                assert!(pair[0].key < pair[1].key, "{}", pair[1].key);
            }
        }
        let keys = keys();
        assert_eq!(keys.len(), layered::MEASURES.len() + solid::MEASURES.len());
        for key in keys {
            assert!(key.bytes().all(|b| b.is_ascii_lowercase() || b == b'-'));
        }
    }

    #[test]
    fn nothing_is_measured_on_a_part_without_facts() {
        assert!(values(&PartFacts::of("a")).is_empty());
    }

    #[test]
    fn a_difference_of_the_resolution_is_one() {
        let wall = all().find(|m| m.key == "min-wall").expect("it is there");
        assert!(wall.differs(0.80, 0.82) && !wall.differs(0.80, 0.815));
        assert_eq!(wall.worsened(1.0, 0.5), Some(0.5));
        let volume = all().find(|m| m.key == "volume").expect("it is there");
        assert_eq!(volume.worsened(1.0, 0.5), None);
    }
}
