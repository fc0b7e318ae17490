//! An earlier bundle opened again as a kit: its manifest and the files that it names, each mesh in its own frame.
//!
//! The bundle is verified first. A part's mesh comes from its 3MF file, whose object stands in the part's own frame
//! bit for bit; a part without one (its mesh is not closed) comes from its STL in the print pose, and its `up` says so.

use std::collections::BTreeMap;

use toml::{Table, Value};

use crate::names::{self, Named};
use crate::three_mf;
use crate::verify::{self, VerifyFault};
use crate::zip::{self, Member};

/// An earlier release, ready to be read as a kit.
#[derive(Debug, Clone, PartialEq)]
pub struct Earlier {
    /// The manifest, with the paths of `files`.
    pub manifest: String,
    /// Every file that the manifest names, by its path.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// Why an earlier bundle cannot be opened as a kit.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EarlierFault {
    /// It is damaged, or no bundle.
    #[error("{}", told(.0))]
    Damaged(Vec<VerifyFault>),
    /// Its manifest cannot be read.
    #[error("its kit.toml cannot be read: {0}")]
    Manifest(String),
    /// A mesh that its manifest calls for is not in it.
    #[error("it holds no mesh of part {part} ({stem}.3mf or {stem}.stl)")]
    Lacks {
        /// The part.
        part: String,
        /// The name the mesh should have.
        stem: String,
    },
    /// A 3MF file in it was not written by a release.
    #[error("{name} is not as a release writes it")]
    Foreign {
        /// The file.
        name: String,
    },
}

/// The first few faults in one line each.
fn told(faults: &[VerifyFault]) -> String {
    let shown: Vec<String> = faults.iter().take(3).map(ToString::to_string).collect();
    let more = match faults.len() - shown.len() {
        0 => String::new(),
        n => format!("\n  and {n} more"),
    };
    format!("{}{more}", shown.join("\n  "))
}

/// The entries of a sound zip of ours by name.
fn entries(file: &[u8]) -> BTreeMap<String, Vec<u8>> {
    zip::members(file)
        .members
        .iter()
        .filter_map(|m| {
            let bytes = verify::contents(file, m, zip::MOST_UNPACKED_BYTES)?;
            Some((m.facts.name.clone(), bytes))
        })
        .collect()
}

/// A 3MF of a release with its object left in its own frame.
fn own_frame(name: &str, three_mf: &[u8]) -> Result<Vec<u8>, EarlierFault> {
    let foreign = || EarlierFault::Foreign {
        name: name.to_string(),
    };
    let mut members = Vec::new();
    for (name, bytes) in entries(three_mf) {
        let bytes = if name == three_mf::MODEL_NAME {
            let text = String::from_utf8(bytes).map_err(|_| foreign())?;
            three_mf::as_filed(&text).ok_or_else(foreign)?.into_bytes()
        } else {
            bytes
        };
        members.push(Member { name, bytes });
    }
    if members.len() < 3 {
        return Err(foreign());
    }
    zip::write(&members, crate::date::Stamp::EARLIEST, None).map_err(|_| foreign())
}

/// Opens a bundle.
///
/// # Errors
/// [`EarlierFault`]: it is damaged, or lacks what its manifest names.
pub fn earlier(bundle: &[u8]) -> Result<Earlier, EarlierFault> {
    verify::verify(bundle).map_err(EarlierFault::Damaged)?;
    let mut held = entries(bundle);
    let text = held
        .remove("kit.toml")
        .and_then(|bytes| String::from_utf8(bytes).ok())
        .ok_or_else(|| EarlierFault::Manifest("it is not there, or is not UTF-8".into()))?;
    let mut table: Table =
        toml::from_str(&text).map_err(|e| EarlierFault::Manifest(e.to_string()))?;
    let mut files = BTreeMap::new();
    if let Some(Value::Array(parts)) = table.get_mut("part") {
        let stems = stems(parts)?;
        for (part, stem) in parts.iter_mut().zip(stems) {
            if let Some(part) = part.as_table_mut().filter(|p| p.contains_key("mesh")) {
                files.extend([mesh_of(part, &stem, &held)?]);
            }
        }
    }
    for key in ["reference", "file"] {
        let Some(Value::Array(items)) = table.get_mut(key) else {
            continue;
        };
        let path = if key == "file" { "path" } else { "mesh" };
        for item in items {
            if let Some(path) = item.get(path).and_then(Value::as_str)
                && let Some(bytes) = held.remove(&format!("files/{path}"))
            {
                files.insert(path.to_string(), bytes);
            }
        }
    }
    let manifest = toml::to_string(&table).map_err(|e| EarlierFault::Manifest(e.to_string()))?;
    Ok(Earlier { manifest, files })
}

/// The names of the parts' files, as the release gave them.
fn stems(parts: &[Value]) -> Result<Vec<String>, EarlierFault> {
    let id = |part: &Value| {
        let id = part.get("id").and_then(Value::as_str);
        id.unwrap_or_default().to_string()
    };
    let whole = |part: &Value, key: &str| {
        let value = part.get(key).and_then(Value::as_integer);
        value.and_then(|n| u32::try_from(n).ok()).unwrap_or(1)
    };
    let ids: Vec<String> = parts.iter().map(id).collect();
    let named: Vec<Named> = parts
        .iter()
        .zip(&ids)
        .map(|(part, id)| Named {
            id,
            rev: whole(part, "rev"),
            count: whole(part, "count"),
        })
        .collect();
    names::stems(&named).map_err(|e| EarlierFault::Manifest(e.to_string()))
}

/// Points a part's table to its mesh in the bundle; the path and the mesh.
fn mesh_of(
    part: &mut Table,
    stem: &str,
    held: &BTreeMap<String, Vec<u8>>,
) -> Result<(String, Vec<u8>), EarlierFault> {
    let (three_mf, stl) = (format!("3mf/{stem}.3mf"), format!("stl/{stem}.stl"));
    let (path, bytes) = if let Some(bytes) = held.get(&three_mf) {
        let own = own_frame(&three_mf, bytes)?;
        (three_mf, own)
    } else if let Some(bytes) = held.get(&stl) {
        part.remove("turn");
        part.insert("up".into(), Value::String("+z".into()));
        (stl, bytes.clone())
    } else {
        return Err(EarlierFault::Lacks {
            part: part
                .get("id")
                .and_then(Value::as_str)
                .unwrap_or_default()
                .to_string(),
            stem: stem.to_string(),
        });
    };
    part.insert("mesh".into(), Value::String(path.clone()));
    part.insert("units".into(), Value::String("mm".into()));
    part.remove("object");
    part.remove("source");
    Ok((path, bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_bundle_is_named() {
        let got = earlier(b"PK but no zip").expect_err("no bundle");
        assert!(matches!(got, EarlierFault::Damaged(_)), "{got}");
    }

    #[test]
    fn a_3mf_of_others_is_no_mesh_of_a_release() {
        let member = Member {
            name: three_mf::MODEL_NAME.into(),
            bytes: b"<model/>".to_vec(),
        };
        let zip = zip::write(&[member], crate::date::Stamp::EARLIEST, None).expect("a zip");
        assert!(matches!(
            own_frame("3mf/a.3mf", &zip),
            Err(EarlierFault::Foreign { .. })
        ));
    }
}
