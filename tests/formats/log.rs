//! Log commands: `::error file=F,line=L,title=T::message`, with their escapes undone.

/// An annotation as a build server reads it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Annotation {
    pub kind: String,
    pub file: Option<String>,
    pub line: Option<usize>,
    pub title: Option<String>,
    pub message: String,
}

/// The annotations of a log, in order.
pub fn annotations(log: &str) -> Vec<Annotation> {
    log.lines().filter_map(annotation).collect()
}

fn annotation(line: &str) -> Option<Annotation> {
    let (head, message) = line.strip_prefix("::")?.split_once("::")?;
    let (kind, properties) = head.split_once(' ').unwrap_or((head, ""));
    let value = |name: &str| {
        properties
            .split(',')
            .find_map(|p| p.strip_prefix(name)?.strip_prefix('='))
            .map(|v| undone(&v.replace("%3A", ":").replace("%2C", ",")))
    };
    Some(Annotation {
        kind: kind.to_string(),
        file: value("file"),
        line: value("line").and_then(|l| l.parse().ok()),
        title: value("title"),
        message: undone(message),
    })
}

fn undone(text: &str) -> String {
    text.replace("%0D", "\r")
        .replace("%0A", "\n")
        .replace("%25", "%")
}
