//! Writes the pairs of `tests/pairs` as binary STL files `K-base.stl` and `K-present.stl`, and their names, a line each:
//! for `tests/witness/deviation.py`.
//!
//!   cargo run -p revisions --example deviation_pairs -- FOLDER

#[path = "../tests/pairs/mod.rs"]
#[allow(dead_code, reason = "the tests use the rest")]
mod pairs;

use std::io;
use std::path::PathBuf;

/// Binary STL: 80 bytes of header, the count, then normal, corners and two bytes a triangle.
fn stl(soup: &[[[f32; 3]; 3]]) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend((soup.len() as u32).to_le_bytes());
    for triangle in soup {
        bytes.extend([0; 12]);
        bytes.extend(triangle.iter().flatten().flat_map(|x| x.to_le_bytes()));
        bytes.extend([0; 2]);
    }
    bytes
}

fn main() -> io::Result<()> {
    let folder = std::env::args_os()
        .nth(1)
        .map(PathBuf::from)
        .ok_or_else(|| io::Error::other("a folder is expected"))?;
    for (k, (name, base, present)) in pairs::made().into_iter().enumerate() {
        std::fs::write(folder.join(format!("{k}-base.stl")), stl(&base))?;
        std::fs::write(folder.join(format!("{k}-present.stl")), stl(&present))?;
        println!("{name}");
    }
    for pair in pairs::PUBLISHED {
        println!("{}", pair.join(" "));
    }
    Ok(())
}
