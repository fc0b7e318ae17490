//! A preview as binary glTF 2.0 (ISO/IEC 12113:2022): one JSON chunk, one binary chunk.
//!
//! Plain float positions and normals with 32-bit indices and no extension, so that any viewer opens it.
//! glTF is in metres with +y up; a part is in mm with +z up: (x, y, z) becomes (x, z, -y) / 1000.

use serde::Serialize;

use crate::preview::Preview;

/// What a file says about itself.
#[derive(Debug, Clone, Copy, Default)]
pub struct Label<'a> {
    /// Name of node and mesh.
    pub name: &'a str,
    /// Copyright line; empty for none.
    pub copyright: &'a str,
}

/// Chunk types, section 4.4.3.
const JSON_CHUNK: u32 = 0x4E4F_534A;
const BINARY_CHUNK: u32 = 0x004E_4942;
/// Component types and buffer targets, sections 3.6.2.2 and 3.6.1.1.
const UNSIGNED_INT: u32 = 5125;
const FLOAT: u32 = 5126;
const ARRAY_BUFFER: u32 = 34962;
const ELEMENT_ARRAY_BUFFER: u32 = 34963;

#[derive(Serialize)]
struct Document<'a> {
    asset: Asset<'a>,
    scene: u32,
    scenes: [Scene; 1],
    nodes: [Node<'a>; 1],
    meshes: [MeshEntry<'a>; 1],
    materials: [Material; 1],
    accessors: [Accessor; 3],
    #[serde(rename = "bufferViews")]
    buffer_views: [View; 3],
    buffers: [Buffer; 1],
}

#[derive(Serialize)]
struct Asset<'a> {
    version: &'static str,
    generator: &'static str,
    #[serde(skip_serializing_if = "str::is_empty")]
    copyright: &'a str,
}

#[derive(Serialize)]
struct Scene {
    nodes: [u32; 1],
}

#[derive(Serialize)]
struct Node<'a> {
    mesh: u32,
    name: &'a str,
}

#[derive(Serialize)]
struct MeshEntry<'a> {
    name: &'a str,
    primitives: [Primitive; 1],
}

#[derive(Serialize)]
struct Primitive {
    attributes: Attributes,
    indices: u32,
    material: u32,
}

#[derive(Serialize)]
#[serde(rename_all = "UPPERCASE")]
struct Attributes {
    position: u32,
    normal: u32,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Material {
    pbr_metallic_roughness: Surface,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Surface {
    base_color_factor: [f32; 4],
    metallic_factor: f32,
    roughness_factor: f32,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Accessor {
    buffer_view: u32,
    component_type: u32,
    count: usize,
    #[serde(rename = "type")]
    shape: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    min: Option<[f32; 3]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    max: Option<[f32; 3]>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct View {
    buffer: u32,
    byte_offset: usize,
    byte_length: usize,
    target: u32,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Buffer {
    byte_length: usize,
}

/// To y up.
fn upright(p: [f32; 3]) -> [f32; 3] {
    [p[0], p[2], 0.0 - p[1]]
}

fn metres(p: [f32; 3]) -> [f32; 3] {
    p.map(|x| (f64::from(x) / 1000.0) as f32)
}

fn accessor(buffer_view: u32, component_type: u32, count: usize, shape: &'static str) -> Accessor {
    Accessor {
        buffer_view,
        component_type,
        count,
        shape,
        min: None,
        max: None,
    }
}

/// A preview as a .glb file.
pub fn write(preview: &Preview, label: &Label) -> Vec<u8> {
    let positions: Vec<[f32; 3]> = preview
        .positions
        .iter()
        .map(|&p| metres(upright(p)))
        .collect();
    let normals: Vec<[f32; 3]> = preview.normals.iter().map(|&n| upright(n)).collect();
    let bound = |start: f32, pick: fn(f32, f32) -> f32| {
        positions.iter().fold([start; 3], |m, p| {
            [pick(m[0], p[0]), pick(m[1], p[1]), pick(m[2], p[2])]
        })
    };
    let mut places = accessor(0, FLOAT, positions.len(), "VEC3");
    places.min = Some(bound(f32::INFINITY, f32::min));
    places.max = Some(bound(f32::NEG_INFINITY, f32::max));
    let mut binary: Vec<u8> = Vec::new();
    let mut view = |bytes: Vec<u8>, target| {
        let byte_offset = binary.len();
        binary.extend_from_slice(&bytes);
        View {
            buffer: 0,
            byte_offset,
            byte_length: bytes.len(),
            target,
        }
    };
    let floats = |rows: &[[f32; 3]]| {
        rows.iter()
            .flatten()
            .flat_map(|x| x.to_le_bytes())
            .collect()
    };
    let indices = preview.triangles.iter().flatten();
    // Every number is four bytes, so every view starts at a multiple of four as section 3.6.2.4 asks.
    let buffer_views = [
        view(floats(&positions), ARRAY_BUFFER),
        view(floats(&normals), ARRAY_BUFFER),
        view(
            indices.flat_map(|v| v.to_le_bytes()).collect(),
            ELEMENT_ARRAY_BUFFER,
        ),
    ];
    let document = Document {
        asset: Asset {
            version: "2.0",
            generator: "kitproof",
            copyright: label.copyright,
        },
        scene: 0,
        scenes: [Scene { nodes: [0] }],
        nodes: [Node {
            mesh: 0,
            name: label.name,
        }],
        meshes: [MeshEntry {
            name: label.name,
            primitives: [Primitive {
                attributes: Attributes {
                    position: 0,
                    normal: 1,
                },
                indices: 2,
                material: 0,
            }],
        }],
        materials: [Material {
            pbr_metallic_roughness: Surface {
                base_color_factor: [0.75, 0.75, 0.75, 1.0],
                metallic_factor: 0.0,
                roughness_factor: 0.75,
            },
        }],
        accessors: [
            places,
            accessor(1, FLOAT, normals.len(), "VEC3"),
            accessor(2, UNSIGNED_INT, 3 * preview.triangles.len(), "SCALAR"),
        ],
        buffer_views,
        buffers: [Buffer {
            byte_length: binary.len(),
        }],
    };
    let json = serde_json::to_vec(&document).expect("numbers and texts only");
    container(json, binary)
}

/// Header and chunks, section 4.4: JSON filled with spaces, binary with zeros, to multiples of four.
fn container(mut json: Vec<u8>, mut binary: Vec<u8>) -> Vec<u8> {
    json.resize(json.len().next_multiple_of(4), b' ');
    binary.resize(binary.len().next_multiple_of(4), 0);
    let total = 12 + 8 + json.len() + 8 + binary.len();
    let mut out = Vec::with_capacity(total);
    out.extend_from_slice(b"glTF");
    for number in [2, total as u32, json.len() as u32, JSON_CHUNK] {
        out.extend_from_slice(&number.to_le_bytes());
    }
    out.append(&mut json);
    for number in [binary.len() as u32, BINARY_CHUNK] {
        out.extend_from_slice(&number.to_le_bytes());
    }
    out.append(&mut binary);
    out
}

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::*;
    use crate::plate::{IDENTITY, set_down};
    use crate::preview::{preview, tests::ball};
    use crate::stl::tests::cube;

    fn u32_at(bytes: &[u8], at: usize) -> u32 {
        u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes"))
    }

    /// Reads a file by the glTF specification, asserting what it demands; gives positions, normals, indices.
    fn read(bytes: &[u8]) -> (Value, Vec<[f32; 3]>, Vec<[f32; 3]>, Vec<u32>) {
        assert_eq!(&bytes[..4], b"glTF");
        assert_eq!(u32_at(bytes, 4), 2);
        assert_eq!(u32_at(bytes, 8) as usize, bytes.len());
        let json_length = u32_at(bytes, 12) as usize;
        assert_eq!(json_length % 4, 0);
        assert_eq!(&bytes[16..20], b"JSON");
        let json: Value = serde_json::from_slice(&bytes[20..20 + json_length]).expect("JSON");
        let second = 20 + json_length;
        let binary_length = u32_at(bytes, second) as usize;
        assert_eq!(&bytes[second + 4..second + 8], b"BIN\0");
        assert_eq!(second + 8 + binary_length, bytes.len());
        let binary = &bytes[second + 8..];
        assert_eq!(json["asset"]["version"], "2.0");
        assert_eq!(json["buffers"][0]["byteLength"], binary_length);
        let words = |accessor: usize| -> Vec<u32> {
            let a = &json["accessors"][accessor];
            let view = &json["bufferViews"][a["bufferView"].as_u64().expect("a view") as usize];
            let (from, length) = (
                view["byteOffset"].as_u64().expect("offset") as usize,
                view["byteLength"].as_u64().expect("length") as usize,
            );
            assert_eq!(from % 4, 0);
            let each = if a["type"] == "VEC3" { 3 } else { 1 };
            assert_eq!(
                a["count"].as_u64().expect("count") as usize * each * 4,
                length
            );
            let words = binary[from..from + length].chunks_exact(4);
            words.map(|w| u32_at(w, 0)).collect()
        };
        let vectors = |accessor| -> Vec<[f32; 3]> {
            words(accessor)
                .chunks_exact(3)
                .map(|w| [w[0], w[1], w[2]].map(f32::from_bits))
                .collect()
        };
        let primitive = &json["meshes"][0]["primitives"][0];
        let index = |v: &Value| v.as_u64().expect("an index") as usize;
        (
            json.clone(),
            vectors(index(&primitive["attributes"]["POSITION"])),
            vectors(index(&primitive["attributes"]["NORMAL"])),
            words(index(&primitive["indices"])),
        )
    }

    #[test]
    fn a_file_reads_back_by_the_specification() {
        for mesh in [cube([0.0; 3]), ball(60)] {
            let mesh = set_down(&mesh, &IDENTITY).expect("set down");
            let preview = preview(&mesh).expect("area");
            let bytes = write(
                &preview,
                &Label {
                    name: "a \"part\"",
                    copyright: "",
                },
            );
            let (json, positions, normals, indices) = read(&bytes);
            assert_eq!(json["nodes"][0]["name"], "a \"part\"");
            assert_eq!(json["asset"].get("copyright"), None);
            assert_eq!(positions.len(), normals.len());
            assert!(indices.iter().all(|&v| (v as usize) < positions.len()));
            for (k, name) in ["min", "max"].iter().enumerate() {
                for axis in 0..3 {
                    let said = json["accessors"][0][name][axis].as_f64().expect("a number") as f32;
                    let all = positions.iter().map(|p| p[axis]);
                    let true_value = if k == 0 {
                        all.fold(f32::MAX, f32::min)
                    } else {
                        all.fold(f32::MIN, f32::max)
                    };
                    assert_eq!(said.to_bits(), true_value.to_bits());
                }
            }
            // Units are metres and y is up: heights run from 0 to the height of the part.
            let top = mesh.vertices.iter().map(|p| p[2]).fold(0.0, f32::max);
            let y =
                |pick: fn(f32, f32) -> f32, start| positions.iter().map(|p| p[1]).fold(start, pick);
            assert!((0.0..1e-4).contains(&y(f32::min, f32::MAX)));
            assert!((y(f32::max, 0.0) * 1000.0 - top).abs() < 0.05);
            // Winding and normals agree (section 3.7.2.1: counter-clockwise is the front).
            for t in indices.chunks_exact(3) {
                let [a, b, c] =
                    [t[0], t[1], t[2]].map(|v| mesh::vector::wide(positions[v as usize]));
                let facet = mesh::vector::cross(mesh::vector::sub(b, a), mesh::vector::sub(c, a));
                let n = mesh::vector::wide(normals[t[0] as usize]);
                assert!(mesh::vector::dot(facet, n) > 0.0);
            }
        }
    }

    #[test]
    fn the_same_part_gives_the_same_bytes() {
        let mesh = set_down(&ball(80), &IDENTITY).expect("set down");
        let once = |threads| {
            parallel::with_threads(threads, || {
                write(&preview(&mesh).expect("area"), &Label::default())
            })
            .expect("threads start")
        };
        assert_eq!(once(1), once(2));
    }
}
