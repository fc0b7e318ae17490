//! What the rules on loading share: a fault of one kind becomes one departure.

use measure::{LoadFault, Loading};

use crate::{Departure, PartCase};

/// What was learnt of a mesh file that was read; `None` where none was.
pub(super) fn loading<'a>(case: &PartCase<'a>) -> Option<&'a Loading> {
    case.facts.loading.as_ref()?.as_ref().ok()
}

/// The departure of a part whose file was not read, where `concerns` says that the fault is of this kind.
pub(super) fn of_fault(
    case: &PartCase,
    concerns: impl Fn(&LoadFault) -> bool,
) -> Option<Departure> {
    let fault = case.facts.loading.as_ref()?.as_ref().err()?;
    let file = case.part.mesh.as_ref().map_or("the mesh", |m| &m.path);
    concerns(fault).then(|| departure(file, fault))
}

/// One departure in the words of the fault.
pub(super) fn departure(file: &str, fault: &LoadFault) -> Departure {
    Departure {
        reading: format!("{file}: {}", fault.cause()),
        message: format!("{file}: {}", fault.cause()),
        fix: fault.remedy().to_string(),
        ..Departure::default()
    }
}

#[cfg(test)]
pub(super) mod tests {
    use measure::{LoadFault, Loading};
    use mesh::decode::Oddity;
    use mesh::weld::{Basis, Collapsed};

    /// A file that was read, with these oddities.
    pub(in crate::mesh) fn read_with(oddities: Vec<Oddity>) -> Loading {
        Loading {
            triangles_filed: 12,
            unit_mm: 1.0,
            unit_in_file: false,
            largest_side_filed: 20.0,
            oddities,
            basis: Basis::ExactWeld,
            collapsed: Collapsed::default(),
        }
    }

    #[test]
    fn the_words_of_a_fault_are_kept() {
        let got = super::departure("a.stl", &LoadFault::Missing);
        assert_eq!(got.message, "a.stl: there is no such file");
        assert!(got.fix.contains("kit.toml"));
    }
}
