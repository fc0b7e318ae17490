//! XML of a package part, tag by tag: well formed, with namespaces, UTF-8, without DTD (clause 2.3.2).

use std::borrow::Cow;
use std::io::BufReader;

use quick_xml::XmlVersion;
use quick_xml::events::{BytesStart, Event};
use quick_xml::name::{Namespace, NamespaceResolver, ResolveResult};
use quick_xml::reader::NsReader;

use super::Broken;
use super::package::{Bounded, Package};
use crate::decode::fault::{DecodeFault, Place};

/// Elements within elements: 3MF needs eight.
const DEEPEST: usize = 100;

/// What a reader of a part does with its tags.
pub(super) trait Visitor {
    /// An element begins.
    fn start(&mut self, tag: &Tag<'_>) -> Result<(), Stop>;
    /// The last element that began, ends.
    fn end(&mut self) -> Result<(), Stop>;
}

/// Why a visitor stops: the standard is broken, or a fault without a clause.
pub(super) enum Stop {
    Broken(Broken),
    Fault(DecodeFault),
}

impl From<Broken> for Stop {
    fn from(broken: Broken) -> Stop {
        Stop::Broken(broken)
    }
}

impl From<DecodeFault> for Stop {
    fn from(fault: DecodeFault) -> Stop {
        Stop::Fault(fault)
    }
}

/// An element's first tag.
pub(super) struct Tag<'a> {
    /// Its namespace, where it is in one.
    pub(super) namespace: Option<&'a str>,
    /// Its name without prefix.
    pub(super) name: &'a str,
    start: &'a BytesStart<'a>,
    resolver: &'a NamespaceResolver,
}

impl<'a> Tag<'a> {
    /// Calls `take` with namespace, name and value of every attribute, declarations of namespaces aside.
    pub(super) fn attributes(
        &self,
        mut take: impl FnMut(Option<&str>, &str, Cow<'_, str>) -> Result<(), Stop>,
    ) -> Result<(), Stop> {
        for attribute in self.start.attributes() {
            let attribute = attribute.map_err(|e| Broken::new("2.3.2", e.to_string()))?;
            if attribute.key.as_namespace_binding().is_some() {
                continue;
            }
            let value = if attribute.value.contains(['&', '\t', '\n', '\r']) {
                attribute
                    .normalized_value(XmlVersion::Explicit1_0)
                    .map_err(|e| Broken::new("2.3.2", e.to_string()))?
            } else {
                attribute.value
            };
            let (namespace, name) = self.resolver.resolve_attribute(attribute.key);
            take(bound(&namespace)?, name.as_ref(), value)?;
        }
        Ok(())
    }

    /// The value of an attribute without prefix.
    pub(super) fn attribute(&self, wanted: &str) -> Result<Option<String>, Stop> {
        let mut found = None;
        self.attributes(|namespace, name, value| {
            if namespace.is_none() && name == wanted {
                found = Some(value.into_owned());
            }
            Ok(())
        })?;
        Ok(found)
    }

    /// The value of an attribute without prefix that must be there.
    pub(super) fn required(&self, wanted: &str, clause: &'static str) -> Result<String, Stop> {
        self.attribute(wanted)?
            .ok_or_else(|| Broken::new(clause, format!("<{}> without {wanted}", self.name)).into())
    }

    /// The namespace of a prefix, as declared here.
    pub(super) fn namespace_of(&self, prefix: &str) -> Option<String> {
        self.resolver
            .bindings()
            .find(|(declared, _)| match declared {
                quick_xml::name::PrefixDeclaration::Named(name) => *name == prefix,
                quick_xml::name::PrefixDeclaration::Default => prefix.is_empty(),
            })
            .map(|(_, namespace)| namespace.0.to_string())
    }
}

fn bound<'n>(result: &ResolveResult<'n>) -> Result<Option<&'n str>, Broken> {
    match result {
        ResolveResult::Bound(Namespace(name)) => Ok(Some(name)),
        ResolveResult::Unbound => Ok(None),
        ResolveResult::Unknown(prefix) => Err(Broken::new(
            "2.3.2",
            format!("the namespace prefix {prefix:?} is not declared"),
        )),
    }
}

/// Walks over a part of the package.
///
/// # Errors
/// What the visitor stops with, or what is wrong with the XML, with the line.
pub(super) fn walk(
    package: &mut Package<'_>,
    part: &str,
    visitor: &mut impl Visitor,
) -> Result<(), DecodeFault> {
    let mut stopped = None;
    package.with_part(part, |input| {
        let mut reader = NsReader::from_reader(BufReader::with_capacity(1 << 16, input));
        if let Err(stop) = events(&mut reader, visitor) {
            stopped = Some((stop, reader.buffer_position()));
        }
        Ok(())
    })?;
    match stopped {
        None => Ok(()),
        Some((Stop::Fault(fault), _)) => Err(fault),
        Some((Stop::Broken(broken), offset)) => {
            let line = package.line_at(part, offset);
            Err(DecodeFault::Standard {
                clause: broken.clause.into(),
                place: Place::Part {
                    name: part.into(),
                    line,
                },
                what: broken.what,
            })
        }
    }
}

fn events(
    reader: &mut NsReader<BufReader<&mut Bounded<'_>>>,
    visitor: &mut impl Visitor,
) -> Result<(), Stop> {
    reader.config_mut().expand_empty_elements = true;
    let mut buf = Vec::new();
    let mut depth = 0usize;
    let mut roots = 0usize;
    loop {
        buf.clear();
        reader.get_mut().get_mut().event();
        let event = reader
            .read_event_into(&mut buf)
            .map_err(|e| Broken::new("2.3.2", format!("not well-formed UTF-8 XML: {e}")))?;
        match event {
            Event::Start(start) => {
                if depth == 0 {
                    roots += 1;
                    if roots > 1 {
                        return Err(Broken::new("3.4", "more than one root element").into());
                    }
                }
                depth += 1;
                if depth > DEEPEST {
                    let what = format!("elements nested deeper than {DEEPEST}");
                    return Err(Broken::new("2.3.2", what).into());
                }
                let resolver = reader.resolver();
                let (namespace, name) = resolver.resolve_element(start.name());
                visitor.start(&Tag {
                    namespace: bound(&namespace)?,
                    name: name.as_ref(),
                    start: &start,
                    resolver,
                })?;
            }
            Event::End(_) => {
                depth = depth.saturating_sub(1);
                visitor.end()?;
            }
            Event::Decl(declaration) => {
                if let Some(encoding) = declaration.encoding() {
                    let encoding = encoding.map_err(|e| Broken::new("2.3.2", e.to_string()))?;
                    if !encoding.eq_ignore_ascii_case("utf-8") {
                        let what = format!("encoded as {encoding}, only UTF-8 is allowed");
                        return Err(Broken::new("2.3.2", what).into());
                    }
                }
            }
            Event::DocType(_) => {
                return Err(Broken::new("2.3.2", "a document type definition (DTD)").into());
            }
            Event::GeneralRef(name) => {
                let known = ["lt", "gt", "amp", "apos", "quot"];
                if !name.is_char_ref() && !known.contains(&&*name.xml10_content()) {
                    let what = format!("the entity {:?} is not defined", name.xml10_content());
                    return Err(Broken::new("2.3.2", what).into());
                }
            }
            Event::Text(text) => {
                if depth == 0 && !text.xml10_content().trim().is_empty() {
                    return Err(Broken::new("2.3.2", "text outside the root element").into());
                }
            }
            Event::CData(_) if depth == 0 => {
                return Err(Broken::new("2.3.2", "text outside the root element").into());
            }
            Event::Eof if depth > 0 => {
                return Err(Broken::new("2.3.2", "the XML ends before its root element").into());
            }
            Event::Eof if roots == 0 => {
                return Err(Broken::new("2.3.2", "no XML element").into());
            }
            Event::Eof => return Ok(()),
            Event::Empty(_) | Event::CData(_) | Event::Comment(_) | Event::PI(_) => {}
        }
    }
}
