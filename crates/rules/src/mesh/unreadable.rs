//! `mesh.unreadable`: a mesh file that is there and cannot be decoded.

use findings::{Level, Rule, Worse};
use measure::LoadFault;

use super::loaded::of_fault;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.unreadable",
        title: "a mesh file that cannot be read",
        level: Level::Block,
        worse: Worse::Unmeasured,
        measures: "The bytes of the mesh file, read as the format its name promises: STL, 3MF, OBJ or PLY. The fault names the line, the byte or the clause of the standard.",
        why: "What this program cannot read whole, other programs read wrongly or not at all.",
        fix: "Export the mesh again; keep mesh files out of every conversion of text.",
        source: "3MF Core Specification 1.4.0 for 3MF; common practice, no source for STL, OBJ and PLY",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    of_fault(case, concerns).into_iter().collect()
}

fn concerns(fault: &LoadFault) -> bool {
    !fault.is_missing() && !fault.is_empty()
}

#[cfg(test)]
mod tests {
    use mesh::decode::DecodeFault;

    use super::*;

    #[test]
    fn it_concerns_its_own_faults_only() {
        assert!(concerns(&LoadFault::UnknownFormat));
        let pointer = DecodeFault::LargeFilePointer { real_bytes: None };
        assert!(concerns(&LoadFault::Decode(pointer)));
        assert!(!concerns(&LoadFault::Decode(DecodeFault::NoTriangles {
            unfit: None
        })));
        assert!(!concerns(&LoadFault::NotAFile));
    }
}
