//! `mesh.missing`: a part whose mesh file cannot be opened at all.

use findings::{Level, Rule, Worse};
use measure::LoadFault;

use super::loaded::of_fault;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.missing",
        title: "a mesh file that is not there",
        level: Level::Block,
        worse: Worse::Unmeasured,
        measures: "The path of the part's mesh, from the kit's folder: whether a readable file stands there.",
        why: "A builder who downloads the kit cannot print the part.",
        fix: "Add the file, or correct the path in kit.toml.",
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
    fault.is_missing()
}

#[cfg(test)]
mod tests {
    use mesh::decode::DecodeFault;

    use super::*;

    #[test]
    fn it_concerns_its_own_faults_only() {
        assert!(concerns(&LoadFault::Missing) && concerns(&LoadFault::Outside));
        assert!(!concerns(&LoadFault::UnknownFormat));
        assert!(!concerns(&LoadFault::Decode(DecodeFault::NoTriangles {
            unfit: None
        })));
    }
}
