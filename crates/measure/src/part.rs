//! Everything measured on one part.

use mesh::MassProperties;

use crate::crossings::CrossingFacts;
use crate::loading::{LoadFault, Loading};
use crate::mirror::Likeness;
use crate::size::{OnPlate, Size};
use crate::soundness::Soundness;
use crate::walls::Walls;

/// Everything measured on one part. A fact that is `None` was not measured, and never reads as a pass.
#[derive(Debug, Default)]
pub struct PartFacts {
    /// The part's id in the manifest.
    pub id: String,
    /// The words of the panic that ended the measuring of this part, if one did.
    pub panicked: Option<String>,
    /// What was learnt while its mesh file was read, or why there is no mesh; `None` before it is read.
    pub loading: Option<Result<Loading, LoadFault>>,
    /// Volume, area, centroid, inertia.
    pub mass: Option<MassProperties>,
    /// Whether its mesh bounds solids, and where it does not.
    pub soundness: Option<Soundness>,
    /// Where its surface crosses or touches itself.
    pub crossings: Option<CrossingFacts>,
    /// Extents and outline in the print pose.
    pub size: Option<Size>,
    /// The part on the plate of every promise that admits it, in the manifest's order.
    pub on_plates: Vec<PromisePlate>,
    /// Its own mesh against the mirror image it is said to be; `None` where it has only one of the two.
    pub mirror: Option<Likeness>,
    /// Walls, feather edges and gaps.
    pub walls: Option<Walls>,
}

/// A part on the plate of one promise.
#[derive(Debug)]
pub struct PromisePlate {
    /// The promise's id.
    pub promise: String,
    /// How it lies there.
    pub plate: OnPlate,
}

impl PartFacts {
    /// Facts of a part of that id; nothing is measured yet.
    pub fn of(id: &str) -> PartFacts {
        PartFacts {
            id: id.to_string(),
            ..PartFacts::default()
        }
    }

    /// Enclosed volume, mm3.
    pub fn volume_mm3(&self) -> Option<f64> {
        self.mass.as_ref().map(|m| m.volume_mm3)
    }

    /// Triangles of the welded mesh.
    pub fn triangles(&self) -> Option<u64> {
        let loading = self.loading.as_ref()?.as_ref().ok()?;
        Some(loading.triangles_filed as u64)
    }

    /// See the fact.
    pub fn shells(&self) -> Option<u64> {
        None
    }

    /// See the fact.
    pub fn watertight(&self) -> Option<bool> {
        None
    }

    /// See the fact.
    pub fn closes_on_merge(&self) -> Option<bool> {
        None
    }

    /// See the fact.
    pub fn min_wall_mm(&self) -> Option<f64> {
        None
    }

    /// See the fact.
    pub fn open_edges(&self) -> Option<u64> {
        None
    }

    /// See the fact.
    pub fn crowded_edges(&self) -> Option<u64> {
        None
    }

    /// See the fact.
    pub fn self_intersections(&self) -> Option<u64> {
        None
    }
}
