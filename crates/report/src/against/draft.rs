//! `[[change]]` lines to fill in, for changed parts that have none.

use rules::Against;
use rules::reprint::Class;

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
                "[[change]]\npart = \"{}\"\n# {}\ntext = \"\"\n\n",
                row.part, row.reason
            ));
        }
    }
    out
}
