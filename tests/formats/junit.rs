//! JUnit XML by the strictest schema in use: attributes, their forms, and the order of children.

use quick_xml::XmlVersion;
use quick_xml::events::Event;
use quick_xml::reader::Reader;

/// An element with its attributes and children; texts are joined.
#[derive(Debug, Default)]
pub struct Element {
    pub name: String,
    pub attributes: Vec<(String, String)>,
    pub children: Vec<Element>,
    pub text: String,
}

impl Element {
    /// An attribute's value.
    pub fn get(&self, name: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(n, _)| n == name);
        found.map(|(_, value)| value.as_str())
    }

    /// The children of a name.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Element> {
        self.children.iter().filter(move |c| c.name == name)
    }

    /// The value of a suite's property.
    pub fn property(&self, name: &str) -> Option<&str> {
        self.all("properties")
            .flat_map(|p| p.all("property"))
            .find(|p| p.get("name") == Some(name))
            .and_then(|p| p.get("value"))
    }
}

/// The document's root.
pub fn parse(document: &str) -> Element {
    let mut reader = Reader::from_str(document);
    let mut open = vec![Element::default()];
    loop {
        let event = reader.read_event().expect("well-formed XML");
        let (start, empty) = match &event {
            Event::Start(start) => (Some(start), false),
            Event::Empty(start) => (Some(start), true),
            _ => (None, false),
        };
        if let Some(start) = start {
            open.push(Element {
                name: start.name().as_ref().to_string(),
                attributes: start
                    .attributes()
                    .map(|a| {
                        let a = a.expect("an attribute");
                        let value = a
                            .normalized_value(XmlVersion::Explicit1_0)
                            .expect("a value");
                        let name = a.key.as_ref().to_string();
                        (name, value.into_owned())
                    })
                    .collect(),
                ..Element::default()
            });
            if !empty {
                continue;
            }
        }
        match event {
            Event::Empty(_) | Event::End(_) => {
                let done = open.pop().expect("an open element");
                open.last_mut().expect("its parent").children.push(done);
            }
            Event::Text(text) => {
                open.last_mut().expect("an element").text += text.as_ref();
            }
            Event::Eof => break,
            _ => {}
        }
    }
    let mut top = open.pop().expect("the document");
    assert!(open.is_empty(), "every element is closed");
    assert_eq!(top.children.len(), 1, "one root");
    top.children.remove(0)
}

/// What is wrong with a document; empty where nothing is.
pub fn faults(root: &Element) -> Vec<String> {
    let mut faults = Vec::new();
    let mut must = |holds: bool, what: String| {
        if !holds {
            faults.push(what);
        }
    };
    must(root.name == "testsuites", "the root is testsuites".into());
    for (i, suite) in root.children.iter().enumerate() {
        must(
            suite.name == "testsuite",
            format!("a suite: {}", suite.name),
        );
        for name in ["package", "name", "hostname"] {
            must(token(suite.get(name)), format!("a suite has a {name}"));
        }
        must(
            number(suite.get("id")) == Some(i),
            "suites count from 0".into(),
        );
        must(
            timestamp(suite.get("timestamp")),
            "timestamp without a zone".into(),
        );
        must(suite.get("time") == Some("0"), "no time enters".into());
        let cases: Vec<&Element> = suite.all("testcase").collect();
        let with = |name: &str| {
            cases
                .iter()
                .filter(|c| c.all(name).next().is_some())
                .count()
        };
        for (name, count) in [
            ("tests", cases.len()),
            ("failures", with("failure")),
            ("errors", with("error")),
        ] {
            must(
                number(suite.get(name)) == Some(count),
                format!("{name} is {count}"),
            );
        }
        let order: Vec<&str> = suite.children.iter().map(|c| c.name.as_str()).collect();
        let mut expected = vec!["properties"];
        expected.extend(vec!["testcase"; cases.len()]);
        expected.extend(["system-out", "system-err"]);
        must(order == expected, format!("children in order: {order:?}"));
        for p in suite.all("properties").flat_map(|p| &p.children) {
            let named = token(p.get("name")) && p.get("value").is_some();
            must(p.name == "property" && named, format!("a property: {p:?}"));
        }
        let mut seen = std::collections::BTreeSet::new();
        for case in cases {
            for name in ["name", "classname"] {
                must(
                    token(case.get(name)),
                    format!("a case has a {name}: {case:?}"),
                );
            }
            must(case.get("time") == Some("0"), format!("a case: {case:?}"));
            must(
                case.attributes.len() == 3,
                format!("no other attribute: {case:?}"),
            );
            must(
                case.children.len() <= 1,
                format!("one end a case: {case:?}"),
            );
            must(
                seen.insert((case.get("classname"), case.get("name"))),
                format!("each case once: {case:?}"),
            );
            for end in &case.children {
                let known = end.name == "failure" || end.name == "error";
                must(
                    known && end.get("type").is_some(),
                    format!("an end: {end:?}"),
                );
            }
        }
    }
    faults
}

fn number(value: Option<&str>) -> Option<usize> {
    value.and_then(|v| v.parse().ok())
}

/// A token of XML Schema: no line ends, no space at an end, no two in a row.
fn token(value: Option<&str>) -> bool {
    value.is_some_and(|v| !v.is_empty() && v.split_whitespace().collect::<Vec<_>>().join(" ") == v)
}

/// `YYYY-MM-DDThh:mm:ss`.
fn timestamp(value: Option<&str>) -> bool {
    let form = "dddd-dd-ddTdd:dd:dd";
    value.is_some_and(|v| {
        v.len() == form.len()
            && v.chars().zip(form.chars()).all(|(c, f)| match f {
                'd' => c.is_ascii_digit(),
                f => c == f,
            })
    })
}
