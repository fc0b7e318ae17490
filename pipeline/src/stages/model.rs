//! Model: the mesh of a part with its tree and its edges. What was measured before needs none, so that a model is
//! only made once it is asked for.

use std::sync::OnceLock;

use archive::Digest;
use mesh::tree::Tree;
use mesh::{Edges, Mesh};

use crate::stages::load::Source;

/// The mesh of a part, once it is asked for.
#[derive(Default)]
pub struct Model {
    print: Option<Digest>,
    source: Option<Source>,
    made: OnceLock<Result<Made, String>>,
}

/// A mesh that is there.
pub struct Made {
    /// The mesh, mm, renumbered in space.
    pub mesh: Mesh,
    /// Its tree; `None` once no stage needs it any more.
    pub tree: Option<Tree>,
    /// Its edges, for every cut into layers.
    pub edges: Edges,
}

impl Made {
    /// The tree and the edges of a mesh, which is renumbered on the way.
    fn of(mesh: Mesh) -> Made {
        let (mesh, tree) = Tree::build(mesh);
        let edges = Edges::build(&mesh);
        Made {
            mesh,
            tree: Some(tree),
            edges,
        }
    }
}

static NOTHING: Mesh = Mesh {
    vertices: Vec::new(),
    triangles: Vec::new(),
    filed: Vec::new(),
};

impl Model {
    /// A model that is there already.
    pub fn made_of(made: Made, print: Option<Digest>, source: Option<Source>) -> Model {
        Model {
            print,
            source,
            made: OnceLock::from(Ok(made)),
        }
    }

    /// A model that is made from its file once it is asked for. `print` is what the file must still hold by then.
    pub fn later(source: Source, print: Digest) -> Model {
        Model {
            print: Some(print),
            source: Some(source),
            made: OnceLock::new(),
        }
    }

    /// A model of a mesh that was a model's before.
    pub fn of_mesh(mesh: Mesh, print: Option<Digest>) -> Model {
        if mesh.triangles.is_empty() {
            return Model::default();
        }
        let edges = Edges::build(&mesh);
        let made = Made {
            mesh,
            tree: None,
            edges,
        };
        Model::made_of(made, print, None)
    }

    /// What the mesh is made from; `None` where it cannot be told.
    pub fn print(&self) -> Option<&Digest> {
        self.print.as_ref()
    }

    /// Makes the model, unless that is done.
    ///
    /// # Errors
    /// In words, where its file changed since its print was taken, or cannot be read any more.
    pub fn make(&self) -> Result<Option<&Made>, String> {
        let (Some(source), Some(print)) = (&self.source, &self.print) else {
            return Ok(self.made.get().and_then(|made| made.as_ref().ok()));
        };
        let made = self.made.get_or_init(|| {
            let loaded = source.load();
            if loaded.print.as_ref() == Some(print) {
                Ok(Made::of(loaded.mesh))
            } else {
                Err("its mesh file changed while the check ran; run it again".into())
            }
        });
        made.as_ref().map(Some).map_err(Clone::clone)
    }

    /// The model; `None` where there is no mesh.
    pub fn made(&self) -> Option<&Made> {
        self.make().ok().flatten()
    }

    /// The mesh; empty where there is none.
    pub fn mesh(&self) -> &Mesh {
        self.made().map_or(&NOTHING, |made| &made.mesh)
    }

    /// Frees what only the measuring stages need.
    pub fn free_tree(&mut self) {
        if let Some(Ok(made)) = self.made.get_mut() {
            made.tree = None;
        }
    }
}
