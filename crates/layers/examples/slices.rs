//! What slicing says of a mesh, for the scripts in tests/witness that ask reference libraries the same.
//!
//! `slices made NAME` writes a shape of the tests as a binary STL to standard output;
//! `slices areas LAYER_MM` reads a binary STL from standard input and prints one line a layer: the height of the cut
//! above the lowest vertex, mm, the area by signed contours, mm2, closed and open chains; then the time as JSON.

use std::error::Error;
use std::io::{Read, Write};
use std::time::Instant;

use layers::{Posed, Slicer};
use mesh::Edges;
use mesh::decode::{DecodeLimits, Format, decode};
use mesh::tree::Tree;

#[path = "../tests/made/mod.rs"]
#[allow(dead_code)]
mod made;

const UPRIGHT: layers::Turn = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["made", name] => write_stl(name),
        ["areas", layer_mm] => areas(layer_mm.parse()?),
        _ => Err("slices made NAME | slices areas LAYER_MM < FILE".into()),
    }
}

fn write_stl(name: &str) -> Result<(), Box<dyn Error>> {
    let soup = made::made(name).ok_or("no shape of that name")?;
    let mut out = vec![0u8; 80];
    out.extend((soup.len() as u32).to_le_bytes());
    for triangle in soup {
        out.extend([0u8; 12]);
        out.extend(triangle.iter().flatten().flat_map(|v| v.to_le_bytes()));
        out.extend([0u8; 2]);
    }
    std::io::stdout().write_all(&out)?;
    Ok(())
}

fn areas(layer_mm: f64) -> Result<(), Box<dyn Error>> {
    let mut bytes = Vec::new();
    std::io::stdin().read_to_end(&mut bytes)?;
    let room = DecodeLimits {
        max_triangles: 100_000_000,
        max_unpacked_bytes: 0,
    };
    let decoded = decode(&bytes, Format::Stl, None, &room)?;
    let (mesh, _) = Tree::build(mesh::weld(decoded.vertices, decoded.triangles, false).mesh);
    let edges = Edges::build(&mesh);
    let begun = Instant::now();
    let posed = Posed::new(&mesh, &UPRIGHT);
    let stack = Slicer::new(&posed, &edges).stack(layer_mm);
    let lines = stack.each(layers::slice::CHUNK, |layer| {
        let open = layer.open();
        let closed = layer.contours.len() - open;
        format!("{} {} {closed} {open}", layer.z_mm, layer.area_mm2())
    });
    let seconds = begun.elapsed().as_secs_f64();
    println!("{}", lines.join("\n"));
    println!("{{\"layers\": {}, \"seconds\": {seconds}}}", stack.count());
    Ok(())
}
