//! Writes the bundle of the tests to standard output, for witnesses outside this workspace.

#[path = "../tests/shapes/mod.rs"]
mod shapes;

use std::io::Write;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let meshes = shapes::witnessed();
    let bytes = archive::bundle(&shapes::input(&meshes))?;
    std::io::stdout().lock().write_all(&bytes)?;
    Ok(())
}
