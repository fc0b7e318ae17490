//! The smallest step of a kit's revision that its parts allow.

use kit::Revision;

use super::class::{Class, Row};

/// A step from one revision to a later one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Step {
    /// Nothing changed.
    None,
    /// The same parts, or optional ones.
    Patch,
    /// New, recommended or retired parts; every old part still fits.
    Minor,
    /// A required reprint.
    Major,
}

impl Step {
    /// The word in outputs.
    pub fn word(self) -> &'static str {
        match self {
            Step::None => "none",
            Step::Patch => "patch",
            Step::Minor => "minor",
            Step::Major => "major",
        }
    }
}

/// The step that the rows ask for, and the row that asks for it.
pub(crate) fn asked(rows: &[Row]) -> (Step, Option<usize>) {
    let mut most = (Step::None, None);
    for (i, row) in rows.iter().enumerate() {
        let step = match row.class {
            Class::Required => Step::Major,
            Class::Recommended | Class::New | Class::Retired => Step::Minor,
            _ if row.more_copies() => Step::Minor,
            Class::Optional | Class::Renamed => Step::Patch,
            // The designer's word that nothing need be printed does not make it the same part.
            Class::Same if row.overridden.is_some() => Step::Patch,
            Class::Same => Step::None,
        };
        if step > most.0 {
            most = (step, Some(i));
        }
    }
    most
}

/// Whether a revision is far enough from its base for a step.
pub fn enough(base: &Revision, present: &Revision, step: Step) -> bool {
    let [was, is] = [base, present].map(|r| (r.major, r.minor, r.patch));
    // Semantic Versioning 2.0.0, clause 4: before 1.0.0 the second number breaks, the third adds.
    let early = base.major == 0;
    match step {
        Step::None => present >= base,
        Step::Patch => present > base,
        Step::Minor if early => is > was,
        Step::Minor => (is.0, is.1) > (was.0, was.1),
        Step::Major if early => (is.0, is.1) > (was.0, was.1),
        Step::Major => is.0 > was.0,
    }
}

/// The smallest revision after a base that a step allows.
pub fn smallest(base: &Revision, step: Step) -> Revision {
    let of = |major, minor, patch| Revision {
        major,
        minor,
        patch,
        pre: String::new(),
    };
    let early = base.major == 0;
    match step {
        Step::None => base.clone(),
        // A finished revision follows its own pre-release.
        Step::Patch if !base.pre.is_empty() => of(base.major, base.minor, base.patch),
        Step::Minor if !early => of(base.major, base.minor + 1, 0),
        Step::Major if early => of(base.major, base.minor + 1, 0),
        Step::Major => of(base.major + 1, 0, 0),
        Step::Patch | Step::Minor => of(base.major, base.minor, base.patch + 1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Revision {
        Revision::parse(text).expect("a revision")
    }

    /// Semantic Versioning 2.0.0, clauses 4 and 6 to 9.
    #[test]
    fn steps_are_those_of_the_standard() {
        for (base, present, most) in [
            ("1.2.3", "1.2.3", Step::None),
            ("1.2.3", "1.2.4", Step::Patch),
            ("1.2.3", "1.3.0", Step::Minor),
            ("1.2.3", "2.0.0", Step::Major),
            ("1.2.3", "2.0.0-rc.1", Step::Major),
            ("0.4.1", "0.4.2", Step::Minor),
            ("0.4.1", "0.5.0", Step::Major),
        ] {
            for step in [Step::None, Step::Patch, Step::Minor, Step::Major] {
                let got = enough(&at(base), &at(present), step);
                assert_eq!(got, step <= most, "{base} to {present} for {}", step.word());
            }
        }
        assert!(
            !enough(&at("1.2.3"), &at("1.2.2"), Step::None),
            "going back"
        );
    }

    #[test]
    fn the_smallest_revision_is_enough_and_follows_the_base() {
        for base in ["1.2.3", "0.4.1", "2.0.0-rc.1"] {
            for step in [Step::Patch, Step::Minor, Step::Major] {
                let next = smallest(&at(base), step);
                assert!(enough(&at(base), &next, step), "{base} {}", step.word());
            }
        }
        assert_eq!(smallest(&at("1.2.3"), Step::Minor).to_string(), "1.3.0");
        assert_eq!(smallest(&at("0.4.1"), Step::Major).to_string(), "0.5.0");
    }
}
