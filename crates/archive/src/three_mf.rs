//! One part as a 3MF file: the open standard's core specification 1.4.
//!
//! The object stands in the part's own frame, and the build's item carries it to the print pose: whoever opens the
//! file sees the part as it is to be printed, and a later revision can be compared with the very mesh that was
//! designed.
//!
//! Numbers are the shortest decimals that give the same f32 again, so a reader that parses exactly gets the
//! very mesh that was judged. No UUIDs and no dates, so the same part gives the same bytes.

use std::fmt::Write as _;

use quick_xml::escape::escape;

use crate::date::Stamp;
use crate::manifold;
use crate::plate::{Placement, Standing};
use crate::zip::{self, Member, WriteFault};

/// Core specification 1.4, appendix C.
const CORE_NAMESPACE: &str = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02";
/// Relationship of the start part, appendix C.
const START_PART: &str = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel";
/// Content type of the model part, appendix C.
const MODEL_TYPE: &str = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml";
/// Content type of relationships: Open Packaging Conventions, ECMA-376 part 2.
const RELATIONSHIPS_TYPE: &str = "application/vnd.openxmlformats-package.relationships+xml";
/// Namespaces of the two package files, ECMA-376 part 2.
const CONTENT_TYPES_NAMESPACE: &str =
    "http://schemas.openxmlformats.org/package/2006/content-types";
const RELATIONSHIPS_NAMESPACE: &str =
    "http://schemas.openxmlformats.org/package/2006/relationships";
/// Name of the model part.
pub(crate) const MODEL_NAME: &str = "3D/3dmodel.model";
/// XML declaration of all three files.
const DECLARATION: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";

/// What a file says about itself; empty texts are left out.
#[derive(Debug, Clone, Copy, Default)]
pub struct Metadata<'a> {
    /// Name of the object, and of the file: part and kit.
    pub title: &'a str,
    /// Who designed it.
    pub designer: &'a str,
    /// What it is.
    pub description: &'a str,
    /// Whose it is.
    pub copyright: &'a str,
    /// SPDX expression.
    pub license_terms: &'a str,
    /// Id of the part.
    pub object_name: &'a str,
    /// Kit, part and revision in one word.
    pub part_number: &'a str,
}

/// Why there is no 3MF file of a part.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ThreeMfFault {
    /// 4.1 of the core specification wants every edge shared by two triangles.
    #[error("{0}, and 3MF (core 1.4, clause 4.1) holds closed bodies only")]
    NotClosed(#[from] manifold::OpenFault),
    /// 4.1.4 wants four triangles at least.
    #[error("{triangles} triangles make no body (3MF core 1.4, clause 4.1.4)")]
    TooFew {
        /// Triangles there are.
        triangles: usize,
    },
    /// Too large for the container.
    #[error(transparent)]
    Container(#[from] WriteFault),
}

/// A character that XML 1.0 cannot hold even escaped (section 2.2) becomes U+FFFD.
fn text(value: &str) -> String {
    let allowed: String = value
        .chars()
        .map(|c| match c {
            '\t' | '\n' | '\r' | ' '..='\u{D7FF}' | '\u{E000}'..='\u{FFFD}' | '\u{10000}'.. => c,
            _ => '\u{FFFD}',
        })
        .collect();
    // A line feed in an attribute would be read as a space (3.3.3), a carriage return as a line feed (2.11).
    escape(allowed)
        .replace('\r', "&#13;")
        .replace('\n', "&#10;")
        .replace('\t', "&#9;")
}

fn metadata_lines(m: &Metadata) -> String {
    [
        ("Title", m.title),
        ("Designer", m.designer),
        ("Description", m.description),
        ("Copyright", m.copyright),
        ("LicenseTerms", m.license_terms),
        ("Application", "kitproof"),
    ]
    .iter()
    .filter(|(_, value)| !value.is_empty())
    .map(|(name, value)| format!(" <metadata name=\"{name}\">{}</metadata>\n", text(value)))
    .collect()
}

/// The decimal digits of an index; the general formatter takes twice as long, and there are many.
fn push_index(xml: &mut String, mut index: u32) {
    let mut digits = [0u8; 10];
    let mut from = digits.len();
    loop {
        from -= 1;
        digits[from] = b'0' + (index % 10) as u8;
        index /= 10;
        if index == 0 {
            break;
        }
    }
    xml.extend(digits[from..].iter().map(|&d| char::from(d)));
}

/// The twelve numbers of an item's transform: the standard multiplies row vectors from the left (3.3), so that
/// the turn stands transposed, its move last.
fn transform(placement: &Placement) -> String {
    let turn = &placement.turn;
    (0..3)
        .flat_map(|column| (0..3).map(move |row| turn[row][column]))
        .chain(placement.move_mm)
        .map(|x| format!("{}", x + 0.0))
        .collect::<Vec<_>>()
        .join(" ")
}

/// How the build's item starts, up to the transform's numbers.
const ITEM: &str = "  <item objectid=\"1\" transform=\"";

/// A model part that [`write`] made, with its object left in its own frame.
pub(crate) fn as_filed(model: &str) -> Option<String> {
    let from = model.rfind(ITEM)?;
    let rest = &model[from + ITEM.len()..];
    let end = rest.find('"')?;
    Some(format!(
        "{}  <item objectid=\"1\"{}",
        &model[..from],
        &rest[end + 1..]
    ))
}

/// The model part as XML. Coordinates mm.
///
/// # Errors
/// [`ThreeMfFault::NotClosed`] and [`ThreeMfFault::TooFew`].
pub fn model_xml(standing: &Standing, metadata: &Metadata) -> Result<String, ThreeMfFault> {
    let mesh = &standing.filed;
    if mesh.triangles.len() < 4 {
        return Err(ThreeMfFault::TooFew {
            triangles: mesh.triangles.len(),
        });
    }
    let split = manifold::split(&mesh.vertices, &mesh.triangles)?;
    let mut xml =
        String::with_capacity(1024 + 56 * split.vertices.len() + 48 * split.triangles.len());
    xml.push_str(DECLARATION);
    let _ = writeln!(
        xml,
        "<model unit=\"millimeter\" xml:lang=\"en-US\" xmlns=\"{CORE_NAMESPACE}\">"
    );
    xml.push_str(&metadata_lines(metadata));
    xml.push_str(" <resources>\n  <object id=\"1\" type=\"model\"");
    for (attribute, value) in [
        ("name", metadata.object_name),
        ("partnumber", metadata.part_number),
    ] {
        if !value.is_empty() {
            let _ = write!(xml, " {attribute}=\"{}\"", text(value));
        }
    }
    xml.push_str(">\n   <mesh>\n    <vertices>\n");
    for p in &split.vertices {
        let at = p.map(|x| x + 0.0);
        for (before, x) in ["<vertex x=\"", "\" y=\"", "\" z=\""].iter().zip(at) {
            xml.push_str(before);
            let _ = write!(xml, "{x}");
        }
        xml.push_str("\"/>\n");
    }
    xml.push_str("    </vertices>\n    <triangles>\n");
    for t in &split.triangles {
        for (before, &v) in ["<triangle v1=\"", "\" v2=\"", "\" v3=\""].iter().zip(t) {
            xml.push_str(before);
            push_index(&mut xml, v);
        }
        xml.push_str("\"/>\n");
    }
    xml.push_str("    </triangles>\n   </mesh>\n  </object>\n </resources>\n <build>\n");
    xml.push_str(ITEM);
    xml.push_str(&transform(&standing.placement));
    xml.push_str("\"/>\n </build>\n</model>\n");
    Ok(xml)
}

/// A part as a 3MF file. All entries carry the earliest time that zip knows.
///
/// # Errors
/// [`ThreeMfFault`]: the mesh is not closed, or too large.
pub fn write(standing: &Standing, metadata: &Metadata) -> Result<Vec<u8>, ThreeMfFault> {
    let content_types = format!(
        "{DECLARATION}<Types xmlns=\"{CONTENT_TYPES_NAMESPACE}\">\n \
         <Default Extension=\"rels\" ContentType=\"{RELATIONSHIPS_TYPE}\"/>\n \
         <Default Extension=\"model\" ContentType=\"{MODEL_TYPE}\"/>\n</Types>\n"
    );
    let relationships = format!(
        "{DECLARATION}<Relationships xmlns=\"{RELATIONSHIPS_NAMESPACE}\">\n \
         <Relationship Id=\"rel0\" Type=\"{START_PART}\" Target=\"/3D/3dmodel.model\"/>\n</Relationships>\n"
    );
    // The usual order of such packages: file-type detection looks at the first name.
    let members = [
        ("[Content_Types].xml", content_types),
        ("_rels/.rels", relationships),
        (MODEL_NAME, model_xml(standing, metadata)?),
    ]
    .map(|(name, xml)| Member {
        name: name.to_string(),
        bytes: xml.into_bytes(),
    });
    Ok(zip::write(&members, Stamp::EARLIEST, None)?)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use quick_xml::Reader;
    use quick_xml::events::Event;

    use super::*;
    use crate::manifold::OpenFault;
    use crate::plate::{IDENTITY, PrintMesh, stand};
    use crate::stl::tests::{cube, joined, tetrahedron};

    fn parsed(xml: &str) -> (Vec<[f32; 3]>, Vec<[u32; 3]>) {
        let (mut vertices, mut triangles) = (Vec::new(), Vec::new());
        let mut reader = Reader::from_str(xml);
        loop {
            match reader.read_event().expect("well-formed") {
                Event::Empty(e) => {
                    let value = |name: &str| {
                        let a = e.try_get_attribute(name).expect("sound").expect("there");
                        a.value.to_string()
                    };
                    match e.name().as_ref() {
                        "vertex" => vertices.push(
                            ["x", "y", "z"].map(|k| value(k).parse::<f32>().expect("a number")),
                        ),
                        "triangle" => triangles.push(
                            ["v1", "v2", "v3"].map(|k| value(k).parse::<u32>().expect("an index")),
                        ),
                        _ => {}
                    }
                }
                Event::Eof => return (vertices, triangles),
                _ => {}
            }
        }
    }

    #[test]
    fn a_mesh_comes_back_bit_for_bit() {
        let mesh = stand(&tetrahedron([0.1, 0.2, 0.3]), &IDENTITY).expect("set down");
        let xml = model_xml(&mesh, &Metadata::default()).expect("closed");
        assert_eq!(parsed(&xml), (mesh.filed.vertices, mesh.filed.triangles));
    }

    /// 3MF core 1.4, clause 3.3: a row vector times the matrix; so the item carries every vertex to the print pose.
    #[test]
    fn the_item_carries_the_object_to_its_print_pose() {
        let turn = [[0.0, 0.6, -0.8], [1.0, 0.0, 0.0], [0.0, -0.8, -0.6]];
        let standing = stand(&tetrahedron([3.0, -2.0, 7.0]), &turn).expect("set down");
        let xml = model_xml(&standing, &Metadata::default()).expect("closed");
        let from = xml.find("transform=\"").expect("a transform") + 11;
        let numbers: Vec<f64> = xml[from..]
            .split('"')
            .next()
            .expect("its text")
            .split(' ')
            .map(|x| x.parse().expect("a number"))
            .collect();
        for (own, printed) in standing
            .filed
            .vertices
            .iter()
            .zip(&standing.printed.vertices)
        {
            for k in 0..3 {
                let at = (0..3)
                    .map(|j| f64::from(own[j]) * numbers[3 * j + k])
                    .sum::<f64>()
                    + numbers[9 + k];
                assert!(
                    (at - f64::from(printed[k])).abs() < 1e-6,
                    "{own:?} {printed:?}"
                );
            }
        }
        let filed = as_filed(&xml).expect("an item");
        assert!(!filed.contains("transform") && parsed(&filed) == parsed(&xml));
    }

    #[test]
    fn bodies_that_touch_are_split_by_index() {
        let touching = joined(&cube([0.0; 3]), &cube([1.0, 1.0, 0.0]));
        let mesh = stand(&touching, &IDENTITY).expect("set down");
        assert_eq!(mesh.filed.vertices.len(), 14);
        let (vertices, triangles) =
            parsed(&model_xml(&mesh, &Metadata::default()).expect("closed"));
        assert_eq!((vertices.len(), triangles.len()), (16, 24));
    }

    #[test]
    fn open_meshes_are_refused_by_clause() {
        let mut open = cube([0.0; 3]);
        open.triangles.pop();
        let mesh = stand(&mesh::Mesh::new(open.vertices, open.triangles), &IDENTITY).expect("set");
        let got = write(&mesh, &Metadata::default());
        let open = OpenFault { open_edges: 3 };
        assert_eq!(got, Err(ThreeMfFault::NotClosed(open)));
        let mut few = mesh;
        few.filed.triangles.truncate(2);
        let got = write(&few, &Metadata::default());
        assert_eq!(got, Err(ThreeMfFault::TooFew { triangles: 2 }));
    }

    #[test]
    fn texts_are_escaped_and_cleaned() {
        let mesh = stand(&tetrahedron([0.0; 3]), &IDENTITY).expect("set down");
        let xml = model_xml(
            &mesh,
            &Metadata {
                title: "A & B <\"'> \u{1}",
                object_name: "x\"\n/>",
                ..Metadata::default()
            },
        )
        .expect("closed");
        assert!(xml.contains(
            "<metadata name=\"Title\">A &amp; B &lt;&quot;&apos;&gt; \u{FFFD}</metadata>"
        ));
        assert!(xml.contains(" name=\"x&quot;&#10;/&gt;\""));
        assert!(!xml.contains("Designer"), "empty texts are left out");
        assert_eq!(parsed(&xml).1.len(), 4);
    }

    /// ST_Number of appendix B.1: digits, or digits with a point and digits behind it; no `5.`, no `inf`.
    fn is_st_number(s: &str) -> bool {
        let s = s.strip_prefix('-').unwrap_or(s);
        let digits = |d: &str| !d.is_empty() && d.bytes().all(|b| b.is_ascii_digit());
        match s.split_once('.') {
            Some((whole, part)) => digits(whole) && digits(part),
            None => digits(s),
        }
    }

    #[test]
    fn indices_are_plain_decimals() {
        for index in [0, 7, 10, 4_000_000_000, u32::MAX] {
            let mut xml = String::new();
            push_index(&mut xml, index);
            assert_eq!(xml, index.to_string());
        }
    }

    proptest! {
        #[test]
        fn any_finite_f32_survives_the_text(bits in prop::array::uniform9(any::<u32>())) {
            let numbers = bits.map(|b| {
                let x = f32::from_bits(b);
                if x.is_finite() { x } else { f32::from_bits(b & 0x3FFF_FFFF) }
            });
            for x in numbers {
                let x = x + 0.0;
                let text = format!("{x}");
                prop_assert!(is_st_number(&text), "{}", text);
                prop_assert_eq!(text.parse::<f32>().expect("parses").to_bits(), x.to_bits());
            }
            let vertices: Vec<[f32; 3]> = numbers
                .chunks_exact(3)
                .map(|c| [c[0] + 0.0, c[1] + 0.0, c[2] + 0.0])
                .collect();
            let mesh = PrintMesh {
                vertices,
                triangles: vec![[0, 1, 2], [0, 2, 1], [0, 1, 2], [0, 2, 1]],
            };
            let standing = Standing {
                filed: mesh.clone(),
                printed: mesh.clone(),
                placement: Placement { turn: IDENTITY, move_mm: [0.0; 3] },
            };
            let xml = model_xml(&standing, &Metadata::default()).expect("closed");
            let (back, triangles) = parsed(&xml);
            for (new, old) in triangles.iter().zip(&mesh.triangles) {
                for (n, o) in new.iter().zip(old) {
                    let (n, o) = (back[*n as usize], mesh.vertices[*o as usize]);
                    prop_assert_eq!(n.map(f32::to_bits), o.map(f32::to_bits));
                }
            }
        }
    }
}
