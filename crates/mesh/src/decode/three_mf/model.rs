//! Reads a model part: its unit, its objects and its build, as the file writes them.
//!
//! Clauses: 3.4 model, 3.4.1 metadata, 3.4.2 resources, 3.4.3 build, 4 objects, 4.1 meshes, 4.2 components,
//! 5.1 base materials.

use std::collections::{BTreeMap, BTreeSet};

use super::Broken;
use super::build::Transform;
use super::extension::{self, CORE};
use super::number;
use super::object::{Kind, ModelPart, Object, Placed};
use super::package::Package;
use super::relations::resolve;
use super::xml::{Stop, Tag, Visitor, walk};
use crate::decode::fault::{DecodeFault, Place};
use crate::decode::format::DecodeLimits;
use crate::decode::tidy::drop_unused;
use crate::decode::unit::LengthUnit;

/// Metadata names that need no namespace (clause 3.4.1).
const METADATA: [&str; 9] = [
    "Title",
    "Designer",
    "Description",
    "Copyright",
    "LicenseTerms",
    "Rating",
    "CreationDate",
    "ModificationDate",
    "Application",
];

/// Reads a model part; `root` is the start part, which must hold resources and a build.
pub(super) fn read(
    package: &mut Package<'_>,
    part: &str,
    root: bool,
    limits: &DecodeLimits,
) -> Result<ModelPart, DecodeFault> {
    let mut reader = Reader {
        part,
        limit: limits.max_triangles,
        root,
        path: Vec::new(),
        model: ModelPart {
            unit: LengthUnit::Millimetre,
            objects: BTreeMap::new(),
            order: Vec::new(),
            build: Vec::new(),
            unread: BTreeSet::new(),
            unlisted_metadata: Vec::new(),
        },
        ids: BTreeSet::new(),
        metadata: BTreeSet::new(),
        ignorable: BTreeSet::new(),
        resources: false,
        build: false,
        current: None,
        triangles: 0,
    };
    walk(package, part, &mut reader)?;
    Ok(reader.model)
}

/// Where in the tree of a model part an element stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum At {
    Model,
    Resources,
    BaseMaterials,
    Object,
    Mesh,
    Vertices,
    Triangles,
    Components,
    Build,
    /// An element whose children say nothing about geometry.
    Leaf,
    /// An element of an extension.
    Foreign,
}

struct Reader<'a> {
    part: &'a str,
    limit: usize,
    root: bool,
    path: Vec<At>,
    model: ModelPart,
    ids: BTreeSet<u32>,
    metadata: BTreeSet<String>,
    ignorable: BTreeSet<String>,
    resources: bool,
    build: bool,
    current: Option<(u32, Object)>,
    triangles: usize,
}

impl Visitor for Reader<'_> {
    fn start(&mut self, tag: &Tag<'_>) -> Result<(), Stop> {
        let at = match (self.path.last().copied(), tag.namespace) {
            (None, Some(CORE)) if tag.name == "model" => self.model(tag)?,
            (None, _) => {
                let what = format!("the root element is <{}>, not a core <model>", tag.name);
                return Err(Broken::new("3.4", what).into());
            }
            (Some(parent), Some(CORE)) => self.core(parent, tag)?,
            (Some(parent), Some(namespace)) => self.foreign(parent, namespace, tag)?,
            (Some(At::Foreign), None) => At::Foreign,
            (Some(_), None) => return Err(misplaced(tag)),
        };
        self.path.push(at);
        Ok(())
    }

    fn end(&mut self) -> Result<(), Stop> {
        match self.path.pop() {
            Some(At::Object) => self.end_object(),
            Some(At::Model) => self.end_model(),
            _ => Ok(()),
        }
    }
}

fn misplaced(tag: &Tag<'_>) -> Stop {
    Broken::new("2.3.2", format!("<{}> is not allowed here", tag.name)).into()
}

impl Reader<'_> {
    fn model(&mut self, tag: &Tag<'_>) -> Result<At, Stop> {
        let mut required = String::new();
        let mut ignorable = String::new();
        let model = &mut self.model;
        tag.attributes(|namespace, name, value| {
            match (namespace, name) {
                (None, "unit") => {
                    model.unit = LengthUnit::of_three_mf(&value).ok_or_else(|| {
                        Broken::new("3.4", format!("{value:?} is no unit of a 3MF"))
                    })?;
                }
                (None, "requiredextensions") => required = value.into_owned(),
                (Some(extension::COMPATIBILITY), "Ignorable") => ignorable = value.into_owned(),
                (Some(extension::XML), "space") if value != "preserve" => {
                    let what = format!("xml:space={value:?}, only \"preserve\" may be written");
                    return Err(Broken::new("2.3.4", what).into());
                }
                _ => {}
            }
            Ok(())
        })?;
        for prefix in ignorable.split_ascii_whitespace() {
            self.ignorable.extend(tag.namespace_of(prefix));
        }
        for prefix in required.split_ascii_whitespace() {
            let namespace = tag.namespace_of(prefix).ok_or_else(|| {
                Broken::new(
                    "2.3.1",
                    format!("the required extension {prefix:?} is not declared"),
                )
            })?;
            if !extension::is_read(&namespace) {
                self.model.unread.insert(namespace);
            }
        }
        Ok(At::Model)
    }

    fn core(&mut self, parent: At, tag: &Tag<'_>) -> Result<At, Stop> {
        Ok(match (parent, tag.name) {
            (At::Model, "metadata") => self.metadata(tag)?,
            (At::Model, "resources") => {
                if std::mem::replace(&mut self.resources, true) {
                    return Err(Broken::new("3.4", "more than one <resources>").into());
                }
                At::Resources
            }
            (At::Model, "build") => {
                if !self.resources {
                    return Err(Broken::new("3.4", "no <resources> before <build>").into());
                }
                if std::mem::replace(&mut self.build, true) {
                    return Err(Broken::new("3.4", "more than one <build>").into());
                }
                At::Build
            }
            (At::Resources, "object") => self.object(tag)?,
            (At::Resources, "basematerials") => {
                let id = tag.required("id", "5.1")?;
                self.new_id(&id, "5.1")?;
                At::BaseMaterials
            }
            (At::BaseMaterials, "base")
            | (At::Object | At::Leaf, "metadatagroup")
            | (At::Leaf, "metadata") => At::Leaf,
            (At::Object, "mesh") => {
                self.one_shape(At::Mesh)?;
                At::Mesh
            }
            (At::Object, "components") => {
                self.one_shape(At::Components)?;
                At::Components
            }
            (At::Mesh, "vertices") => {
                self.vertices(tag)?;
                At::Vertices
            }
            (At::Mesh, "triangles") => At::Triangles,
            (At::Vertices, "vertex") => self.vertex(tag)?,
            (At::Triangles, "triangle") => self.triangle(tag)?,
            (At::Components, "component") => {
                let placed = self.placed(tag, "4.2")?;
                if let Some((_, object)) = &mut self.current {
                    object.components.push(placed);
                }
                At::Leaf
            }
            (At::Build, "item") => {
                let placed = self.placed(tag, "3.4.3.1")?;
                self.model.build.push(placed);
                At::Leaf
            }
            (At::Foreign, _) => At::Foreign,
            _ => return Err(misplaced(tag)),
        })
    }

    fn foreign(&mut self, parent: At, namespace: &str, tag: &Tag<'_>) -> Result<At, Stop> {
        if !extension::is_read(namespace) && !self.ignorable.contains(namespace) {
            self.model.unread.insert(namespace.into());
        }
        let words = extension::geometry(namespace);
        if let (Some((_, object)), Some(words)) = (&mut self.current, words) {
            object.unreadable.get_or_insert(words);
        }
        if parent == At::Resources {
            if let Some(id) = tag.attribute("id")? {
                self.new_id(&id, "3.4.2")?;
            }
            if words == Some("encrypted content") {
                let what = "encrypted content".into();
                let place = self.place();
                return Err(DecodeFault::Unreadable { what, place }.into());
            }
        }
        Ok(At::Foreign)
    }

    fn metadata(&mut self, tag: &Tag<'_>) -> Result<At, Stop> {
        let name = tag.required("name", "3.4.1")?;
        if !name.contains(':') && !METADATA.contains(&name.as_str()) {
            self.model.unlisted_metadata.push(name.clone());
        }
        if !self.metadata.insert(name.clone()) {
            return Err(
                Broken::new("3.4.1", format!("the metadata name {name:?} stands twice")).into(),
            );
        }
        Ok(At::Leaf)
    }

    fn new_id(&mut self, written: &str, clause: &'static str) -> Result<u32, Stop> {
        let id = number::id(written)
            .ok_or_else(|| Broken::new(clause, format!("{written:?} is no id of a resource")))?;
        if !self.ids.insert(id) {
            return Err(Broken::new(clause, format!("the id {id} stands twice")).into());
        }
        Ok(id)
    }

    fn object(&mut self, tag: &Tag<'_>) -> Result<At, Stop> {
        let mut object = Object {
            kind: Kind::Model,
            name: None,
            vertices: Vec::new(),
            triangles: Vec::new(),
            components: Vec::new(),
            unreadable: None,
        };
        let mut id = None;
        let [mut pid, mut pindex] = [false, false];
        tag.attributes(|namespace, name, value| {
            match (namespace, name) {
                (None, "id") => id = Some(value.into_owned()),
                (None, "name") => object.name = Some(value.into_owned()),
                (None, "pid") => pid = true,
                (None, "pindex") => pindex = true,
                (None, "type") => {
                    object.kind = Kind::of(&value).ok_or_else(|| {
                        Broken::new("4", format!("{value:?} is no type of an object"))
                    })?;
                }
                (Some(extension::SLICE), "meshresolution") if value == "lowres" => {
                    object.unreadable = Some("a stack of slices whose mesh is a coarse stand-in");
                }
                _ => {}
            }
            Ok(())
        })?;
        let id = id.ok_or_else(|| Broken::new("4", "<object> without id"))?;
        let id = self.new_id(&id, "4")?;
        if pindex && !pid {
            let what = format!("object {id} has a pindex and no pid");
            return Err(Broken::new("4", what).into());
        }
        self.current = Some((id, object));
        Ok(At::Object)
    }

    fn one_shape(&mut self, next: At) -> Result<(), Stop> {
        let Some((id, object)) = &self.current else {
            return Ok(());
        };
        if !object.triangles.is_empty() || !object.components.is_empty() {
            let clause = if next == At::Mesh { "4.1" } else { "4.2" };
            let what = format!("object {id} has more than one mesh or list of components");
            return Err(Broken::new(clause, what).into());
        }
        Ok(())
    }

    /// The schema lets no foreign attribute stand on `<vertices>` (Appendix B.1).
    fn vertices(&mut self, tag: &Tag<'_>) -> Result<(), Stop> {
        let ignorable = &self.ignorable;
        tag.attributes(|namespace, name, _| match namespace {
            Some(namespace) if !ignorable.contains(namespace) => {
                let what = format!("the attribute {name} of {namespace:?} is not in the schema");
                Err(Broken::new("2.3.2", what).into())
            }
            _ => Ok(()),
        })
    }

    fn vertex(&mut self, tag: &Tag<'_>) -> Result<At, Stop> {
        let mut p = [None; 3];
        tag.attributes(|namespace, name, value| {
            let k = match (namespace, name) {
                (None, "x") => 0,
                (None, "y") => 1,
                (None, "z") => 2,
                _ => return Ok(()),
            };
            let x = number::real(&value)
                .ok_or_else(|| Broken::new("4.1.3.1", format!("{name}={value:?} is no number")))?;
            p[k] = Some(x);
            Ok(())
        })?;
        let [Some(x), Some(y), Some(z)] = p else {
            return Err(Broken::new("4.1.3.1", "<vertex> without x, y and z").into());
        };
        if let Some((_, object)) = &mut self.current {
            // A vertex that no triangle uses is dropped later, so it is triangles that bound the vertices.
            if object.vertices.len() >= self.limit.saturating_mul(3) {
                return Err(self.too_many(self.limit + 1).into());
            }
            object.vertices.push([x, y, z]);
        }
        Ok(At::Leaf)
    }

    fn triangle(&mut self, tag: &Tag<'_>) -> Result<At, Stop> {
        let mut t = [None; 3];
        tag.attributes(|namespace, name, value| {
            let k = match (namespace, name) {
                (None, "v1") => 0,
                (None, "v2") => 1,
                (None, "v3") => 2,
                _ => return Ok(()),
            };
            let v = number::index(&value).ok_or_else(|| {
                Broken::new("4.1.4.1", format!("{name}={value:?} is no vertex index"))
            })?;
            t[k] = Some(v);
            Ok(())
        })?;
        let [Some(a), Some(b), Some(c)] = t else {
            return Err(Broken::new("4.1.4.1", "<triangle> without v1, v2 and v3").into());
        };
        self.triangles += 1;
        if self.triangles > self.limit {
            return Err(self.too_many(self.triangles).into());
        }
        if let Some((id, object)) = &mut self.current {
            let known = object.vertices.len();
            if let Some(v) = [a, b, c].into_iter().find(|&v| v as usize >= known) {
                let what = format!("object {id} has {known} vertices, a triangle names vertex {v}");
                return Err(Broken::new("4.1.4.1", what).into());
            }
            object.triangles.push([a, b, c]);
        }
        Ok(At::Leaf)
    }

    fn too_many(&self, count: usize) -> DecodeFault {
        DecodeFault::TooManyTriangles {
            count: count as u64,
            limit: self.limit as u64,
        }
    }

    fn placed(&mut self, tag: &Tag<'_>, clause: &'static str) -> Result<Placed, Stop> {
        let [mut object, mut transform, mut path] = [None, None, None];
        tag.attributes(|namespace, name, value| {
            match (namespace, name) {
                (None, "objectid") => object = Some(value.into_owned()),
                (None, "transform") => transform = Some(value.into_owned()),
                (Some(extension::PRODUCTION), "path") => path = Some(value.into_owned()),
                _ => {}
            }
            Ok(())
        })?;
        let written = object
            .ok_or_else(|| Broken::new(clause, format!("<{}> without objectid", tag.name)))?;
        let object = number::id(&written)
            .ok_or_else(|| Broken::new(clause, format!("{written:?} is no id of an object")))?;
        let transform = match transform {
            Some(written) => Transform::read(&written)?,
            None => Transform::IDENTITY,
        };
        let path = match path {
            Some(written) => Some(resolve("", &written)?.ok_or_else(|| {
                Broken::new(clause, format!("{written:?} is no part of the package"))
            })?),
            None => None,
        };
        Ok(Placed {
            path,
            object,
            transform,
        })
    }

    fn end_object(&mut self) -> Result<(), Stop> {
        if let Some((id, mut object)) = self.current.take() {
            drop_unused(&mut object.vertices, &mut object.triangles);
            object.vertices.shrink_to_fit();
            object.triangles.shrink_to_fit();
            self.model.order.push(id);
            self.model.objects.insert(id, object);
        }
        Ok(())
    }

    fn end_model(&mut self) -> Result<(), Stop> {
        for (there, name) in [(self.resources, "resources"), (self.build, "build")] {
            if self.root && !there {
                return Err(Broken::new("3.4", format!("the model has no <{name}>")).into());
            }
        }
        Ok(())
    }

    fn place(&self) -> Place {
        Place::Part {
            name: self.part.into(),
            line: None,
        }
    }
}
