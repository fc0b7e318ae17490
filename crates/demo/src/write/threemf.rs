//! 3MF core 1.4: one object with one mesh, one build item, unit millimetre.

use super::zip::stored_zip;
use crate::surface::Surface;

const TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
"#;

const RELATIONSHIPS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
"#;

/// A 3MF of one object named `name`, titled `title`.
pub fn threemf(name: &str, title: &str, surface: &Surface) -> Vec<u8> {
    threemf_with(name, title, surface, "", "")
}

/// The same with more attributes on the model (name spaces) and more resources before the object.
pub fn threemf_with(
    name: &str,
    title: &str,
    surface: &Surface,
    attributes: &str,
    resources: &str,
) -> Vec<u8> {
    let mut model = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" xml:lang=\"en-US\" \
         xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\"{attributes}>\n\
         <metadata name=\"Title\">{title}</metadata>\n<resources>\n{resources}\
         <object id=\"1\" type=\"model\" name=\"{name}\">\n<mesh>\n<vertices>\n"
    );
    for [x, y, z] in &surface.points {
        model.push_str(&format!("<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>\n"));
    }
    model.push_str("</vertices>\n<triangles>\n");
    for [a, b, c] in &surface.triangles {
        model.push_str(&format!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>\n"));
    }
    model.push_str(
        "</triangles>\n</mesh>\n</object>\n</resources>\n<build>\n<item objectid=\"1\"/>\n</build>\n</model>\n",
    );
    stored_zip(&[
        ("[Content_Types].xml", TYPES.as_bytes().to_vec()),
        ("_rels/.rels", RELATIONSHIPS.as_bytes().to_vec()),
        ("3D/3dmodel.model", model.into_bytes()),
    ])
}
