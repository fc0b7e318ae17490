//! Parts and their relations: which part is the model, by relationship and never by its name (clause 2.1).

use super::Broken;
use super::package::Package;
use super::xml::{Stop, Tag, Visitor, walk};
use crate::decode::fault::DecodeFault;

const RELATIONSHIPS: &str = "http://schemas.openxmlformats.org/package/2006/relationships";
const CONTENT_TYPES: &str = "http://schemas.openxmlformats.org/package/2006/content-types";
const MODEL: &str = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel";
const TICKET: &str = "http://schemas.microsoft.com/3dmanufacturing/2013/01/printticket";
const THUMBNAIL: &str =
    "http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail";
const MODEL_TYPE: &str = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml";
const TYPES_PART: &str = "[Content_Types].xml";

/// One relationship: what kind, and which part it leads to.
struct Relation {
    kind: String,
    target: String,
}

/// The name of the start part, after every relation of the package and of that part has been checked.
pub(super) fn start_part(package: &mut Package<'_>) -> Result<String, DecodeFault> {
    let root = "_rels/.rels";
    if !package.has(root) {
        return Err(Broken::new("2.1.1", "the package has no relationships part").at(root));
    }
    let relations = read(package, root, "")?;
    let starts: Vec<&Relation> = relations.iter().filter(|r| r.kind == MODEL).collect();
    let start = match starts[..] {
        [] => {
            return Err(Broken::new("2.1.1", "no relationship leads to a 3D model part").at(root));
        }
        [one] => one.target.clone(),
        _ => {
            let what = format!(
                "{} start parts, only one 3D model part is allowed",
                starts.len()
            );
            return Err(Broken::new("2.1.2", what).at(root));
        }
    };
    if !package.has(&start) {
        let what = format!("the 3D model part {start} is not in the package");
        return Err(Broken::new("2.1.1", what).at(root));
    }
    targets_exist(package, root, &relations)?;
    let kind = content_type(package, &start)?;
    if kind.as_deref() != Some(MODEL_TYPE) {
        let what = match kind {
            Some(kind) => format!("content type {kind:?}, a model part has {MODEL_TYPE}"),
            None => format!("no content type in {TYPES_PART}, a model part has {MODEL_TYPE}"),
        };
        return Err(Broken::new("2.1.2", what).at(&start));
    }
    let (folder, file) = start.rsplit_once('/').unwrap_or(("", &start));
    let own = if folder.is_empty() {
        format!("_rels/{file}.rels")
    } else {
        format!("{folder}/_rels/{file}.rels")
    };
    if package.has(&own) {
        let relations = read(package, &own, folder)?;
        targets_exist(package, &own, &relations)?;
    }
    Ok(start)
}

/// The core standard's own relations must lead to parts; at most one print ticket belongs to a model.
fn targets_exist(
    package: &Package<'_>,
    part: &str,
    relations: &[Relation],
) -> Result<(), DecodeFault> {
    let tickets = relations.iter().filter(|r| r.kind == TICKET).count();
    if tickets > 1 {
        let what = format!("{tickets} print tickets, at most one is allowed");
        return Err(Broken::new("2.1.4", what).at(part));
    }
    for relation in relations {
        let clause = match relation.kind.as_str() {
            THUMBNAIL => "2.1.3",
            TICKET => "2.1.4",
            _ => continue,
        };
        if !package.has(&relation.target) {
            let what = format!(
                "a relationship leads to {}, which is missing",
                relation.target
            );
            return Err(Broken::new(clause, what).at(part));
        }
    }
    Ok(())
}

struct Relations<'a> {
    folder: &'a str,
    found: Vec<Relation>,
}

impl Visitor for Relations<'_> {
    fn start(&mut self, tag: &Tag<'_>) -> Result<(), Stop> {
        if tag.namespace != Some(RELATIONSHIPS) || tag.name != "Relationship" {
            return Ok(());
        }
        let kind = tag.required("Type", "2.1.1")?;
        let written = tag.required("Target", "2.1.1")?;
        let outside = tag
            .attribute("TargetMode")?
            .is_some_and(|mode| mode == "External");
        let target = resolve(self.folder, &written)?.filter(|_| !outside);
        let Some(target) = target else {
            let what = format!("a relationship leads out of the package, to {written:?}");
            return Err(Broken::new("2.1.1", what).into());
        };
        self.found.push(Relation { kind, target });
        Ok(())
    }

    fn end(&mut self) -> Result<(), Stop> {
        Ok(())
    }
}

fn read(package: &mut Package<'_>, part: &str, folder: &str) -> Result<Vec<Relation>, DecodeFault> {
    let mut relations = Relations {
        folder,
        found: Vec::new(),
    };
    walk(package, part, &mut relations)?;
    Ok(relations.found)
}

/// The part a reference leads to, without leading slash; `None` for one that names another place than the
/// package. Source: RFC 3986, clause 5.2.4, for dot segments.
///
/// # Errors
/// A reference whose `..` climb out of the package.
pub(super) fn resolve(folder: &str, reference: &str) -> Result<Option<String>, DecodeFault> {
    let path = reference.split(['?', '#']).next().unwrap_or_default();
    let scheme = path.split('/').next().is_some_and(|s| s.contains(':'));
    if scheme || path.starts_with("//") || path.contains('\\') || path.is_empty() {
        return Ok(None);
    }
    let from = if path.starts_with('/') { "" } else { folder };
    let mut steps: Vec<String> = Vec::new();
    for step in from.split('/').chain(path.split('/')) {
        match step {
            "" | "." => {}
            ".." => {
                if steps.pop().is_none() {
                    return Err(DecodeFault::PartPath {
                        path: reference.into(),
                    });
                }
            }
            other => steps.push(unescaped(other)),
        }
    }
    let path = steps.join("/");
    if path.split('/').any(|step| step == "..") {
        return Err(DecodeFault::PartPath {
            path: reference.into(),
        });
    }
    Ok(Some(path))
}

/// Percent escapes undone (RFC 3986, clause 2.1).
fn unescaped(step: &str) -> String {
    let bytes = step.as_bytes();
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while at < bytes.len() {
        let escape = (bytes[at] == b'%')
            .then(|| step.get(at + 1..at + 3))
            .flatten()
            .and_then(|hex| u8::from_str_radix(hex, 16).ok());
        match escape {
            Some(byte) => {
                out.push(byte);
                at += 3;
            }
            None => {
                out.push(bytes[at]);
                at += 1;
            }
        }
    }
    String::from_utf8_lossy(&out).into_owned()
}

struct Types {
    part: String,
    by_extension: Option<String>,
    by_name: Option<String>,
}

impl Visitor for Types {
    fn start(&mut self, tag: &Tag<'_>) -> Result<(), Stop> {
        if tag.namespace != Some(CONTENT_TYPES) {
            return Ok(());
        }
        let extension = self.part.rsplit_once('.').map_or("", |(_, e)| e);
        match tag.name {
            "Default"
                if tag
                    .attribute("Extension")?
                    .is_some_and(|e| e.eq_ignore_ascii_case(extension)) =>
            {
                self.by_extension = tag.attribute("ContentType")?;
            }
            "Override"
                if tag.attribute("PartName")?.is_some_and(|name| {
                    name.trim_start_matches('/')
                        .eq_ignore_ascii_case(&self.part)
                }) =>
            {
                self.by_name = tag.attribute("ContentType")?;
            }
            _ => {}
        }
        Ok(())
    }

    fn end(&mut self) -> Result<(), Stop> {
        Ok(())
    }
}

/// The content type of a part: its own entry, else that of its extension.
fn content_type(package: &mut Package<'_>, part: &str) -> Result<Option<String>, DecodeFault> {
    if !package.has(TYPES_PART) {
        return Err(Broken::new("2.1.1", "the package has no content types part").at(TYPES_PART));
    }
    let mut types = Types {
        part: part.into(),
        by_extension: None,
        by_name: None,
    };
    walk(package, TYPES_PART, &mut types)?;
    Ok(types.by_name.or(types.by_extension))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn references_are_resolved_within_the_package() {
        let at = |folder, reference| resolve(folder, reference);
        assert_eq!(at("", "/3D/a.model"), Ok(Some("3D/a.model".into())));
        assert_eq!(at("3D", "b/c.png"), Ok(Some("3D/b/c.png".into())));
        assert_eq!(at("3D", "../x%20y.png"), Ok(Some("x y.png".into())));
        assert_eq!(at("3D", "C:/x.png"), Ok(None));
        assert_eq!(at("3D", "https://host.example/x"), Ok(None));
        assert!(at("3D", "../../x").is_err());
        assert!(at("", "/%2e%2e/x").is_err());
    }
}
