//! Grades of coated abrasives, FEPA 43 and ISO 6344.

use std::sync::LazyLock;

use crate::{Limit, Table};

/// A grade and its grain.
#[derive(Debug, Clone, PartialEq)]
pub struct Grade {
    /// Its name as printed on the paper, with the letter: P120.
    pub name: String,
    /// Mean size of the grain, micrometres.
    pub grain: Limit,
}

static TABLE: LazyLock<Table> =
    LazyLock::new(|| Table::embedded("abrasives.toml", include_str!("../tables/abrasives.toml")));

static GRADES: LazyLock<Vec<Grade>> = LazyLock::new(|| {
    let mut grades: Vec<Grade> = TABLE
        .rows
        .iter()
        .map(|(key, grain)| Grade {
            name: key.to_uppercase(),
            grain: grain.clone(),
        })
        .collect();
    grades.sort_by(|a, b| b.grain.value.total_cmp(&a.grain.value));
    grades
});

/// All grades, the coarsest first.
pub fn abrasives() -> &'static [Grade] {
    &GRADES
}

/// The grade to begin with on steps of a height: the coarsest whose grain is no larger (common practice, no source).
/// `None` where even the finest is.
pub fn first_abrasive(step_um: f64) -> Option<&'static Grade> {
    abrasives().iter().find(|g| g.grain.value <= step_um)
}

/// The table with all its rows.
pub fn table() -> &'static Table {
    &TABLE
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FEPA 43 / ISO 6344: 28 grades from P12 to P2500, each finer than the one before. Steps of 141 um (45 degrees
    /// at 0.2 mm) begin with P120, whose grain is 125 um.
    #[test]
    fn the_first_grade_is_no_coarser_than_the_step() {
        assert_eq!(abrasives().len(), 28);
        assert_eq!(abrasives()[0].name, "P12");
        assert_eq!(abrasives()[27].name, "P2500");
        let first = |um| first_abrasive(um).map(|g| g.name.as_str());
        assert_eq!(first(141.42), Some("P120"));
        assert_eq!(first(100.0), Some("P150"));
        assert_eq!(first(8.0), None);
    }
}
