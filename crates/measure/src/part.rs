//! Everything measured on one part.

use crate::ambiguity::{self, Ambiguity};
use crate::crossings::CrossingFacts;
use crate::loading::{LoadFault, Loading};
use crate::mirror::Likeness;
use crate::print::{PrintFacts, Unmeasured};
use crate::show::ShowFacts;
use crate::size::{OnPlate, Size};
use crate::soundness::Soundness;
use crate::walls::Walls;
use serde::{Deserialize, Serialize};

/// Everything measured on one part. A fact that is `None` was not measured, and never reads as a pass.
#[derive(Debug, Default, Serialize, Deserialize)]
pub struct PartFacts {
    /// The part's id in the manifest.
    pub id: String,
    /// The words of the panic that ended the measuring of this part, if one did.
    pub panicked: Option<String>,
    /// What was learnt while its mesh file was read, or why there is no mesh; `None` before it is read.
    pub loading: Option<Result<Loading, LoadFault>>,
    /// Whether its mesh bounds solids, and where it does not.
    pub soundness: Option<Soundness>,
    /// Where its surface crosses or touches itself.
    pub crossings: Option<CrossingFacts>,
    /// Whether its faults leave doubt about what is printed.
    pub ambiguity: Option<Result<Ambiguity, ambiguity::Unmeasured>>,
    /// Extents and outline in the print pose.
    pub size: Option<Size>,
    /// The part on the plate of every promise that admits it, in the manifest's order.
    pub on_plates: Vec<PromisePlate>,
    /// Its own mesh against the mirror image it is said to be; `None` where it has only one of the two.
    pub mirror: Option<Likeness>,
    /// Its faces on show; `None` where they were not looked at.
    pub show: Option<ShowFacts>,
    /// Walls, feather edges and gaps.
    pub walls: Option<Walls>,
    /// Its layers at every height that is promised, the settings' own first; `None` where it is not printed in layers
    /// of filament.
    pub print: Option<Result<Vec<PrintFacts>, Unmeasured>>,
    /// Other ways to lay it on the plate.
    pub orientations: Option<crate::orientation::Orientations>,
}

/// A part on the plate of one promise.
#[derive(Debug, Serialize, Deserialize)]
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

    /// What was learnt while its mesh file was read.
    pub fn loaded(&self) -> Option<&Loading> {
        self.loading.as_ref()?.as_ref().ok()
    }

    /// Enclosed volume, mm3, signed: negative where the surface is inside out.
    pub fn volume_mm3(&self) -> Option<f64> {
        self.soundness.as_ref().map(|s| s.mass.volume_mm3)
    }

    /// Triangles in the file.
    pub fn triangles(&self) -> Option<u64> {
        self.loaded().map(|l| l.triangles_filed as u64)
    }

    /// Shells, connected along edges.
    pub fn shells(&self) -> Option<u64> {
        self.soundness.as_ref().map(|s| s.shells as u64)
    }

    /// Whether the surface ends nowhere.
    pub fn watertight(&self) -> Option<bool> {
        self.soundness.as_ref().map(Soundness::watertight)
    }

    /// Whether it is closed as stored or once vertices are merged.
    pub fn closes_on_merge(&self) -> Option<bool> {
        self.soundness.as_ref()?.closes_on_merge()
    }

    /// Edges with one facet.
    pub fn open_edges(&self) -> Option<u64> {
        self.soundness.as_ref().map(|s| s.boundary_edges as u64)
    }

    /// Edges with more than two facets.
    pub fn crowded_edges(&self) -> Option<u64> {
        self.soundness.as_ref().map(|s| s.crowded_edges as u64)
    }

    /// Pairs of facets that meet beyond the vertices they share; `None` where not all were looked at.
    pub fn self_intersections(&self) -> Option<u64> {
        self.crossings
            .as_ref()
            .filter(|c| c.complete)
            .map(CrossingFacts::pairs_total)
    }

    /// Least thickness between two opposing faces, mm; `None` where no wall was measured.
    pub fn min_wall_mm(&self) -> Option<f64> {
        let walls = self.walls.as_ref()?;
        walls.least.as_ref().map(|r| r.thickness_mm)
    }
}
