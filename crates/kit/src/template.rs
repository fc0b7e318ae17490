//! The commented manifest that shows every key: template, documentation and test at once.

/// A whole manifest with every key that is measured today, each with a comment. It reads without a fault.
pub fn template() -> &'static str {
    include_str!("../kit.template.toml")
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::template;
    use crate::keys::{Key, ROOT, Shape, Spec};

    #[test]
    fn the_template_reads_without_a_fault() {
        let kit = crate::read(template(), "kit.toml", &["wall.thin"]);
        let kit = kit.unwrap_or_else(|faults| {
            panic!("{}", crate::render(&faults, template(), false));
        });
        assert_eq!(kit.parts.len(), 3);
        assert_eq!(kit.declared_unmeasured, ["[[fit]]", "[[hole]]"]);
    }

    /// Every key that is not for later stands in the template, so that it documents all of them.
    #[test]
    fn the_template_names_every_key() {
        fn names(spec: &'static Spec, out: &mut BTreeSet<&'static str>) {
            let now = |key: &&Key| !matches!(key.shape, Shape::Later);
            for key in spec.keys.iter().filter(now) {
                out.insert(key.name);
                if let Some(inner) = key.shape.spec() {
                    names(inner, out);
                }
            }
        }
        let mut keys = BTreeSet::new();
        names(&ROOT, &mut keys);
        let words: BTreeSet<&str> = template()
            .split(|c: char| !(c.is_ascii_lowercase() || c == '-'))
            .collect();
        let absent: Vec<&&str> = keys.iter().filter(|key| !words.contains(**key)).collect();
        assert!(absent.is_empty(), "not in the template: {absent:?}");
    }
}
