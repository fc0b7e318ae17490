//! Namespaces of 3MF: which of them are read, which can be left out, and which hold geometry.
//!
//! Source: the extension specifications of the same consortium (namespaces from memory).

/// Core namespace (3MF Core 1.4.0, Appendix C).
pub(super) const CORE: &str = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02";
/// Production extension: names of parts and unique ids.
pub(super) const PRODUCTION: &str =
    "http://schemas.microsoft.com/3dmanufacturing/production/2015/06";
/// Triangle sets: names for groups of triangles, no geometry.
const TRIANGLE_SETS: &str = "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07";
/// Slice extension.
pub(super) const SLICE: &str = "http://schemas.microsoft.com/3dmanufacturing/slice/2015/07";
/// Markup compatibility: which namespaces a reader may pass over (clause 2.3.3).
pub(super) const COMPATIBILITY: &str =
    "http://schemas.openxmlformats.org/markup-compatibility/2006";
/// The namespace of `xml:lang` and `xml:space`.
pub(super) const XML: &str = "http://www.w3.org/XML/1998/namespace";

/// Extensions whose elements are geometry, by a piece of their namespace, with words for them.
const GEOMETRY: [(&str, &str); 6] = [
    ("/beamlattice/", "a beam lattice"),
    ("/booleanoperations/", "a shape made by boolean operations"),
    ("/displacement/", "a displaced surface"),
    ("/volumetric/", "a volumetric or implicit shape"),
    ("/implicit/", "a shape made by functions"),
    ("/securecontent/", "encrypted content"),
];

/// Words for the geometry that only this extension could give; `None` for extensions about other things.
pub(super) fn geometry(namespace: &str) -> Option<&'static str> {
    GEOMETRY
        .iter()
        .find(|(piece, _)| namespace.contains(piece))
        .map(|(_, words)| *words)
}

/// Is everything this namespace says about the geometry read?
pub(super) fn is_read(namespace: &str) -> bool {
    [CORE, PRODUCTION, TRIANGLE_SETS, COMPATIBILITY, XML].contains(&namespace)
}
