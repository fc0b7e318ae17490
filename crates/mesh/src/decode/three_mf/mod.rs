//! 3MF: a zip package of parts, one of which describes the model.
//!
//! Standard: 3MF Core Specification 1.4.0 (6 February 2025); clause numbers in faults are of that version.
//! Own code over the crates `zip` and `quick-xml`, since a fault must name the clause it breaks.
//!
//! Read: units, objects, components, the build, transforms (a mirroring one turns the winding, clause 3.3)
//! and model parts that other parts name by path (production extension). Not read: everything about looks;
//! it is told as [`Oddity::ExtensionUnread`]. Geometry that only an extension could give (lattices,
//! displaced or boolean shapes, low-resolution stand-ins of slices, encrypted parts) is a fault.
//!
//! Not refused, though the standard forbids it: what the rules on meshes judge anyway (open edges, turned
//! facets, triangles without area, clause 4.1), and attributes that no namespace knows.

mod build;
mod extension;
mod model;
mod number;
mod object;
mod package;
mod relations;
mod xml;

use std::collections::BTreeMap;

use super::fault::{DecodeFault, Place};
use super::format::{DecodeLimits, Format};
use super::sniff::{self, Content};
use super::{Decoded, Oddity};
use object::ModelPart;
use package::Package;

/// The clause of the core standard that a file breaks, and how.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Broken {
    clause: &'static str,
    what: String,
}

impl Broken {
    fn new(clause: &'static str, what: impl Into<String>) -> Broken {
        Broken {
            clause,
            what: what.into(),
        }
    }

    fn at(self, part: &str) -> DecodeFault {
        DecodeFault::Standard {
            clause: self.clause.into(),
            place: Place::Part {
                name: part.into(),
                line: None,
            },
            what: self.what,
        }
    }
}

/// Model parts of one package that are read at most.
const MODEL_PARTS: usize = 10_000;

/// Reads the build, or the object that `object` names.
pub(super) fn decode(
    bytes: &[u8],
    object: Option<&str>,
    limits: &DecodeLimits,
) -> Result<Decoded, DecodeFault> {
    match sniff::content(bytes) {
        Content::Zip => {}
        found => {
            return Err(DecodeFault::WrongFormat {
                expected: Format::ThreeMf,
                found,
            });
        }
    }
    let mut package = Package::open(bytes, limits)?;
    let start = relations::start_part(&mut package)?;
    let mut parts: BTreeMap<String, ModelPart> = BTreeMap::new();
    let mut wanted = vec![start.clone()];
    while let Some(name) = wanted.pop() {
        if parts.contains_key(&name) {
            continue;
        }
        if parts.len() == MODEL_PARTS {
            return Err(DecodeFault::Package {
                what: format!("more than {MODEL_PARTS} model parts"),
            });
        }
        let root = name == start;
        let part = model::read(&mut package, &name, root, limits)?;
        wanted.extend(part.paths().map(String::from));
        parts.insert(name, part);
    }
    let (mut decoded, used) = build::assemble(&parts, &start, object, limits)?;
    let mut namespaces: Vec<&String> = parts.values().flat_map(|p| &p.unread).collect();
    namespaces.sort();
    namespaces.dedup();
    for namespace in namespaces {
        decoded.oddities.push(Oddity::ExtensionUnread {
            namespace: namespace.clone(),
        });
    }
    let root = &parts[&start];
    for name in &root.unlisted_metadata {
        decoded
            .oddities
            .push(Oddity::MetadataUnlisted { name: name.clone() });
    }
    decoded.unit_mm = Some(root.unit.mm());
    if let Some(other) = used.iter().find(|name| parts[*name].unit != root.unit) {
        return Err(Broken::new(
            "3.4",
            format!(
                "its unit is {}, that of the start part is {}",
                parts[other].unit, root.unit
            ),
        )
        .at(other));
    }
    Ok(decoded)
}

#[cfg(test)]
mod tests;
