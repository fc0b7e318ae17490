//! The list of all rules. The README's table, `explain`, the docs and the SARIF texts come from it.

use findings::Rule;

use crate::{Case, Departure, PartCase};

/// How a rule looks at a kit.
#[derive(Clone, Copy)]
pub enum Judge {
    /// Part by part.
    Part(fn(&PartCase) -> Vec<Departure>),
    /// The kit as a whole; each departure names its parts.
    Kit(fn(&Case) -> Vec<Departure>),
}

/// A rule with its words and its judging function.
#[derive(Clone, Copy)]
pub struct Entry {
    /// The words.
    pub rule: Rule,
    /// The function.
    pub judge: Judge,
}

impl Entry {
    /// Whether an id, present or earlier, names this rule.
    pub fn is_named(&self, id: &str) -> bool {
        self.rule.id == id || self.rule.aliases.contains(&id)
    }
}

/// Every rule, by family, then by id.
pub static RULES: &[&Entry] = &[
    &crate::bridge::long::ENTRY,
    &crate::change::idle::ENTRY,
    &crate::change::missing::ENTRY,
    &crate::detail::lost::ENTRY,
    &crate::edge::feather::ENTRY,
    &crate::file::missing::ENTRY,
    &crate::first_layer::small::ENTRY,
    &crate::first_layer::spread::ENTRY,
    &crate::floor::thin::ENTRY,
    &crate::gap::fused::ENTRY,
    &crate::internal::fault::ENTRY,
    &crate::island::in_air::ENTRY,
    &crate::kit::unmeasured::ENTRY,
    &crate::mesh::ambiguous::ENTRY,
    &crate::mesh::body_count::ENTRY,
    &crate::mesh::crack::ENTRY,
    &crate::mesh::crowded_edge::ENTRY,
    &crate::mesh::debris::ENTRY,
    &crate::mesh::degenerate::ENTRY,
    &crate::mesh::duplicate_facet::ENTRY,
    &crate::mesh::empty::ENTRY,
    &crate::mesh::extension_unread::ENTRY,
    &crate::mesh::inside_out::ENTRY,
    &crate::mesh::missing::ENTRY,
    &crate::mesh::nested_shell::ENTRY,
    &crate::mesh::not_finite::ENTRY,
    &crate::mesh::open_edge::ENTRY,
    &crate::mesh::pinched_vertex::ENTRY,
    &crate::mesh::prints_as_drawn::ENTRY,
    &crate::mesh::sealed_cavity::ENTRY,
    &crate::mesh::self_crossing::ENTRY,
    &crate::mesh::self_overlap::ENTRY,
    &crate::mesh::shells_crossing::ENTRY,
    &crate::mesh::shells_touching::ENTRY,
    &crate::mesh::sliver::ENTRY,
    &crate::mesh::stale_export::ENTRY,
    &crate::mesh::trailing_data::ENTRY,
    &crate::mesh::turned_facet::ENTRY,
    &crate::mesh::unit_doubtful::ENTRY,
    &crate::mesh::unreadable::ENTRY,
    &crate::mirror::differs::ENTRY,
    &crate::orientation::dominated::ENTRY,
    &crate::overhang::steep::ENTRY,
    &crate::overhang::unsupported::ENTRY,
    &crate::print::unmeasured::ENTRY,
    &crate::promise::none::ENTRY,
    &crate::reference::unreadable::ENTRY,
    &crate::regression::engine::ENTRY,
    &crate::regression::unsigned::ENTRY,
    &crate::regression::worse::ENTRY,
    &crate::revision::too_small::ENTRY,
    &crate::show::brim_scar::ENTRY,
    &crate::show::facets::ENTRY,
    &crate::show::joint_line::ENTRY,
    &crate::show::layer_lines::ENTRY,
    &crate::show::loop_start::ENTRY,
    &crate::show::scar::ENTRY,
    &crate::single_line::broken::ENTRY,
    &crate::size::diagonal_only::ENTRY,
    &crate::size::edge_margin::ENTRY,
    &crate::size::over_plate::ENTRY,
    &crate::stability::slender::ENTRY,
    &crate::stability::tips::ENTRY,
    &crate::string::risk::ENTRY,
    &crate::support::trapped::ENTRY,
    &crate::waiver::ended::ENTRY,
    &crate::waiver::ends_soon::ENTRY,
    &crate::waiver::stale::ENTRY,
    &crate::wall::lost::ENTRY,
    &crate::wall::thin::ENTRY,
    &crate::wall::unmeasured::ENTRY,
    &crate::warp::corner::ENTRY,
];

/// The rule of an id or of an earlier id.
pub fn find(id: &str) -> Option<&'static Entry> {
    RULES.iter().copied().find(|e| e.is_named(id))
}

/// The row of a limits' table that a rule names: `walls.toml lost.lines`.
pub fn limit(named: &str) -> Option<&'static limits::Limit> {
    let (table, key) = named.split_once(' ')?;
    limits::tables()
        .into_iter()
        .find(|t| t.name == table)?
        .rows
        .get(key)
}

/// Every id, for the manifest's own checks.
pub fn ids() -> Vec<&'static str> {
    RULES.iter().map(|e| e.rule.id).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_has_words_and_its_place() {
        for entry in RULES {
            let r = &entry.rule;
            let (family, fault) = r.id.split_once('.').expect("an id is family.fault");
            for (what, text) in [
                ("title", r.title),
                ("measures", r.measures),
                ("why", r.why),
                ("fix", r.fix),
                ("source", r.source),
            ] {
                assert!(!text.trim().is_empty(), "{}: no {what}", r.id);
            }
            assert!(!r.title.ends_with('.'), "{}: a title is no sentence", r.id);
            let file = format!(
                "{}/src/{}/{}.rs",
                env!("CARGO_MANIFEST_DIR"),
                family.replace('-', "_"),
                fault.replace('-', "_")
            );
            assert!(
                std::path::Path::new(&file).is_file(),
                "{}: a rule lives in {family}/{}.rs",
                r.id,
                fault.replace('-', "_")
            );
        }
    }

    #[test]
    fn every_limit_that_a_rule_names_is_a_row() {
        for entry in RULES {
            for named in entry.rule.limits {
                assert!(limit(named).is_some(), "{}: no row {named}", entry.rule.id);
            }
        }
    }

    #[test]
    fn ids_are_unique_and_sorted() {
        let ids = ids();
        let mut sorted = ids.clone();
        sorted.sort_unstable();
        sorted.dedup();
        assert_eq!(ids, sorted, "keep the list sorted by id, each id once");
    }
}
