//! `mesh.empty`: a mesh file that holds nothing to print.

use findings::{Level, Rule, Worse};
use measure::LoadFault;

use super::loaded::of_fault;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.empty",
        title: "a mesh file without a triangle",
        level: Level::Block,
        worse: Worse::Unmeasured,
        measures: "The triangles of the mesh file, those with numbers that are not finite left out.",
        why: "There is nothing to print.",
        fix: "Export the part again as a surface mesh.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    of_fault(case, concerns).into_iter().collect()
}

fn concerns(fault: &LoadFault) -> bool {
    fault.is_empty()
}

#[cfg(test)]
mod tests {
    use mesh::decode::DecodeFault;

    use super::*;

    #[test]
    fn it_concerns_its_own_faults_only() {
        assert!(concerns(&LoadFault::Decode(DecodeFault::NoTriangles {
            unfit: None
        })));
        assert!(concerns(&LoadFault::Decode(DecodeFault::Empty)));
        assert!(!concerns(&LoadFault::Missing));
    }
}
