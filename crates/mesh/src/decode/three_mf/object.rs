//! What a model part holds, as the file writes it: objects, and the build that places them.

use std::collections::{BTreeMap, BTreeSet};

use super::build::Transform;
use crate::decode::unit::LengthUnit;

/// What an object is for (clause 4; ST_ObjectType of Appendix B.1).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Model,
    SolidSupport,
    Support,
    Surface,
    Other,
}

impl Kind {
    pub(super) fn of(name: &str) -> Option<Kind> {
        Some(match name {
            "model" => Kind::Model,
            "solidsupport" => Kind::SolidSupport,
            "support" => Kind::Support,
            "surface" => Kind::Surface,
            "other" => Kind::Other,
            _ => return None,
        })
    }

    pub(super) fn name(self) -> &'static str {
        match self {
            Kind::Model => "model",
            Kind::SolidSupport => "solidsupport",
            Kind::Support => "support",
            Kind::Surface => "surface",
            Kind::Other => "other",
        }
    }
}

/// An object that another one, or the build, places.
#[derive(Debug, Clone)]
pub(super) struct Placed {
    /// The model part it is in; `None` for the same part.
    pub(super) path: Option<String>,
    pub(super) object: u32,
    pub(super) transform: Transform,
}

/// An object: a mesh, or other objects put together.
#[derive(Debug)]
pub(super) struct Object {
    pub(super) kind: Kind,
    pub(super) name: Option<String>,
    pub(super) vertices: Vec<[f32; 3]>,
    pub(super) triangles: Vec<[u32; 3]>,
    pub(super) components: Vec<Placed>,
    /// Words for geometry that is not read.
    pub(super) unreadable: Option<&'static str>,
}

/// A model part as read.
#[derive(Debug)]
pub(super) struct ModelPart {
    pub(super) unit: LengthUnit,
    pub(super) objects: BTreeMap<u32, Object>,
    /// Ids in the order of the file.
    pub(super) order: Vec<u32>,
    pub(super) build: Vec<Placed>,
    /// Namespaces of extensions that were not read.
    pub(super) unread: BTreeSet<String>,
    pub(super) unlisted_metadata: Vec<String>,
}

impl ModelPart {
    /// Other model parts that this one names.
    pub(super) fn paths(&self) -> impl Iterator<Item = &str> {
        let components = self.objects.values().flat_map(|o| &o.components);
        components
            .chain(&self.build)
            .filter_map(|placed| placed.path.as_deref())
    }
}
