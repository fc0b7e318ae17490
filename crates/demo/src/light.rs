//! The demo kit: Skerry Light, a model lighthouse of our own design; every figure in it is invented.
//!
//! Each part stands in a file of its group, in its own frame, most with z = 0 on the plate.

mod tower;

use crate::solid::Solid;
use crate::write::stl;
use crate::{DemoError, KitFile};

/// The text of every binary mesh's header.
const HEADER: &str = "skerry-light demo, invented";

/// Every file of kits/skerry-light.
///
/// # Errors
/// [`DemoError`] for the first part that could not be built as a sound solid.
pub fn files() -> Result<Vec<KitFile>, DemoError> {
    let parts: [(&str, Solid); 3] = [
        ("tower-base", tower::base()),
        ("tower-middle", tower::middle()),
        ("tower-upper", tower::upper()),
    ];
    let mut files = vec![(
        "skerry-light/kit.toml".to_string(),
        include_bytes!("light/kit.toml").to_vec(),
    )];
    for (name, solid) in parts {
        let surface = solid.mesh(name)?;
        files.push((
            format!("skerry-light/meshes/{name}.stl"),
            stl(HEADER, &surface),
        ));
    }
    Ok(files)
}
