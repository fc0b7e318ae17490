//! The smallest kits that raise each rule, each beside its near twin that does not.
//!
//! `faulty/<rule>/raises` and `faulty/<rule>/silent` differ in as little as can be, mostly one number;
//! both are made by one function, so the difference can be read there. `expect.toml` in each names every
//! finding of that kit. This room states what must be found; how it is found it must not know.

mod against;
mod decode;
mod layers;
mod manifest;
mod plate;
mod shapes;
mod show;
mod signed;
mod size;
mod soundness;
mod standing;
mod walls;

use crate::KitFile;

/// A kit in the making.
pub(crate) struct Faulty {
    head: String,
    body: String,
    files: Vec<KitFile>,
    findings: Vec<String>,
    blocked: bool,
    revision: &'static str,
    base: Option<Box<Faulty>>,
}

/// What a machine promises unless a kit says otherwise.
const PROMISE: &str = "[[promise]]\nid = \"common\"\nkind = \"filament\"\nplate = [220, 220, 240]\nnozzle = 0.4\n\
                       layers = [0.12, 0.28]\n";

impl Faulty {
    /// A kit with the usual promise, settings and units and no part yet.
    pub(crate) fn new() -> Faulty {
        Faulty {
            head: format!("{PROMISE}\n[settings.body]\n\n[defaults]\nunits = \"mm\"\n"),
            body: String::new(),
            files: Vec::new(),
            findings: Vec::new(),
            blocked: false,
            revision: "1.0.0",
            base: None,
        }
    }

    /// Gives the kit a revision other than 1.0.0.
    pub(crate) fn revision(mut self, revision: &'static str) -> Faulty {
        self.revision = revision;
        self
    }

    /// Gives the kit an earlier release to be compared with, in its folder `base`.
    pub(crate) fn base(mut self, base: Faulty) -> Faulty {
        self.base = Some(Box::new(base));
        self
    }

    /// Puts one text in place of another in the manifest's head.
    pub(crate) fn instead(mut self, of: &str, text: &str) -> Faulty {
        self.head = self.head.replace(of, text);
        self
    }

    /// Gives every part a brim: what stands on its edge is held.
    pub(crate) fn brim(self) -> Faulty {
        self.instead("[settings.body]\n", "[settings.body]\nbrim = 4\n")
    }

    /// Lets the promise print supports, also on the part.
    pub(crate) fn supported(self) -> Faulty {
        self.instead("nozzle = 0.4\n", "nozzle = 0.4\nsupports = \"from-part\"\n")
    }

    /// Adds to the manifest.
    pub(crate) fn toml(mut self, text: &str) -> Faulty {
        self.body.push_str(&format!("\n{text}\n"));
        self
    }

    /// Adds a file that is no part.
    pub(crate) fn file(mut self, path: &str, bytes: Vec<u8>) -> Faulty {
        self.files.push((path.to_string(), bytes));
        self
    }

    /// Adds a part with its mesh as a binary STL of loose facets.
    pub(crate) fn part(self, id: &str, facets: &[shapes::Facet]) -> Faulty {
        self.part_with(id, "", facets)
    }

    /// The same, with more lines in the part's table.
    pub(crate) fn part_with(self, id: &str, lines: &str, facets: &[shapes::Facet]) -> Faulty {
        let bytes = crate::write::stl_facets("faulty kit, invented", facets);
        self.mesh(id, "stl", lines, bytes)
    }

    /// Adds a part with its mesh file byte for byte.
    pub(crate) fn mesh(self, id: &str, extension: &str, lines: &str, bytes: Vec<u8>) -> Faulty {
        let path = format!("{id}.{extension}");
        self.without_mesh(id, &path, lines).file(&path, bytes)
    }

    /// Adds a part whose mesh is not in the kit.
    pub(crate) fn without_mesh(self, id: &str, path: &str, lines: &str) -> Faulty {
        let lines = if lines.is_empty() {
            String::new()
        } else {
            format!("\n{lines}")
        };
        self.toml(&format!(
            "[[part]]\nid = \"{id}\"\nmesh = \"{path}\"{lines}"
        ))
    }

    fn finding(mut self, rule: &str, level: &str, parts: &[&str], waived: bool) -> Faulty {
        let parts: Vec<String> = parts.iter().map(|p| format!("\"{p}\"")).collect();
        self.findings.push(format!(
            "{{ rule = \"{rule}\", level = \"{level}\", parts = [{}], waived = {waived} }}",
            parts.join(", ")
        ));
        self.blocked |= level == "block" && !waived;
        self
    }

    /// A finding that blocks.
    pub(crate) fn blocks(self, rule: &str, parts: &[&str]) -> Faulty {
        self.finding(rule, "block", parts, false)
    }

    /// A finding that warns.
    pub(crate) fn warns(self, rule: &str, parts: &[&str]) -> Faulty {
        self.finding(rule, "warn", parts, false)
    }

    /// A finding that only notes.
    pub(crate) fn notes(self, rule: &str, parts: &[&str]) -> Faulty {
        self.finding(rule, "note", parts, false)
    }

    /// A finding that a waiver covers.
    pub(crate) fn waived(self, rule: &str, level: &str, parts: &[&str]) -> Faulty {
        self.finding(rule, level, parts, true)
    }

    fn files(mut self, rule: &str, twin: &str) -> Vec<KitFile> {
        if let Some(base) = self.base.take() {
            let files = base.files(rule, twin);
            let below = files.into_iter().filter_map(|(path, bytes)| {
                let name = path.rsplit('/').next()?.to_string();
                (name != "expect.toml").then(|| (format!("base/{name}"), bytes))
            });
            self.files.extend(below);
        }
        let id = format!("{}-{twin}", rule.replace('.', "-"));
        let manifest = format!(
            "# {}\nformat = 1\nrule-set = \"2026.1\"\n\n[kit]\nid = \"{id}\"\ntitle = \"{rule}, {twin}\"\n\
             revision = \"{}\"\nlicense = \"CC0-1.0\"\n\n{}{}",
            if twin == "raises" {
                format!("The smallest kit that raises {rule}.")
            } else {
                format!("The near twin that does not raise {rule}.")
            },
            self.revision,
            self.head,
            self.body
        );
        let (verdict, exit) = if self.blocked {
            ("BLOCKED", 1)
        } else {
            ("READY", 0)
        };
        let findings: String = self.findings.iter().map(|f| format!("  {f},\n")).collect();
        let expect = format!(
            "# All that a check of this kit must find.\nverdict = \"{verdict}\"\nexit = {exit}\nfindings = [{}{findings}]\n",
            if findings.is_empty() { "" } else { "\n" }
        );
        self.files
            .push(("kit.toml".to_string(), manifest.into_bytes()));
        self.files
            .push(("expect.toml".to_string(), expect.into_bytes()));
        self.files
            .into_iter()
            .map(|(path, bytes)| (format!("faulty/{rule}/{twin}/{path}"), bytes))
            .collect()
    }
}

/// A rule and the function that makes its twins: `true` for the one that raises it.
pub(crate) type Twins = (&'static str, fn(bool) -> Faulty);

/// Every file of kits/faulty.
pub fn files() -> Vec<KitFile> {
    let mut files = Vec::new();
    for family in [
        against::TWINS,
        decode::TWINS,
        soundness::TWINS,
        walls::TWINS,
        layers::TWINS,
        plate::TWINS,
        show::TWINS,
        size::TWINS,
        standing::TWINS,
        manifest::TWINS,
        signed::TWINS,
    ] {
        for (rule, make) in family {
            files.extend(make(true).files(rule, "raises"));
            files.extend(make(false).files(rule, "silent"));
        }
    }
    files
}
