//! `[[change]]` lines to fill in, for changed parts that have none.

use rules::Against;
use rules::reprint::Class;

use super::bench;

/// The lines to paste into kit.toml; empty where nothing is missing. What is measured stands in a comment; the text
/// is the designer's to write.
pub fn draft(against: &Against) -> String {
    let mut out = String::new();
    for row in &against.table.rows {
        let changed = matches!(
            row.unbuilt,
            Class::Required | Class::Recommended | Class::Optional
        );
        if changed && row.text.is_none() {
            out.push_str(&format!(
                "[[change]]\npart = \"{}\"\n# {}\n{}text = \"\"\n\n",
                row.part,
                row.reason,
                bench::only_rounds(against.compared.pairs[row.pair].change.as_ref())
                    .map_or(String::new(), |words| format!("# {words}\n")),
            ));
        }
    }
    out
}
