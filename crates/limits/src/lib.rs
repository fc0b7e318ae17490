//! Materials, settings and the limits of every rule: tables with sources, read into typed values.
//!
//! Every number that a verdict can hang on stands in `tables/*.toml` with value, unit, source and how sure
//! it is; nothing here compares, and nothing here knows a mesh, a kit or a rule.

pub mod abrasives;
pub mod ambiguity;
pub mod crossings;
pub mod draft;
pub mod first_layer;
pub mod kit;
pub mod layers;
pub mod loading;
pub mod manifest;
pub mod materials;
pub mod orientation;
pub mod platform;
pub mod revisions;
mod row;
pub mod settings;
pub mod show;
pub mod signoff;
pub mod single_line;
pub mod size;
pub mod small_parts;
pub mod soundness;
pub mod stability;
pub mod strings;
mod table;
mod typed;
pub mod units;
pub mod walls;

pub use abrasives::{Grade, abrasives, first_abrasive};
pub use ambiguity::{AmbiguityLimits, ambiguity_limits};
pub use crossings::{CrossingLimits, crossing_limits};
pub use draft::{Draft, draft};
pub use first_layer::{FirstLayer, first_layer};
pub use kit::{Kit, kit};
pub use layers::{Layers, layers};
pub use loading::{LoadingLimits, loading_limits};
pub use materials::{Material, material, materials};
pub use orientation::{Orientation, orientation};
pub use platform::{PlatformLimits, platform_limits};
pub use revisions::{Revisions, revisions};
pub use row::{Limit, Span, Sure};
pub use settings::{Settings, settings};
pub use show::{Show, show};
pub use signoff::{SignOff, signoff};
pub use single_line::{SingleLine, single_line};
pub use size::{SizeLimits, size_limits};
pub use small_parts::{SmallParts, small_parts};
pub use soundness::{SoundnessLimits, soundness_limits};
pub use stability::{Stability, stability};
pub use strings::{Strings, strings};
pub use table::Table;
pub use units::{Units, units};
pub use walls::{Walls, walls};

/// Every table, by name.
pub fn tables() -> Vec<&'static Table> {
    vec![
        abrasives::table(),
        ambiguity::table(),
        crossings::table(),
        draft::table(),
        first_layer::table(),
        kit::table(),
        layers::table(),
        loading::table(),
        manifest::table(),
        materials::table(),
        orientation::table(),
        platform::table(),
        revisions::table(),
        settings::table(),
        show::table(),
        signoff::table(),
        single_line::table(),
        size::table(),
        small_parts::table(),
        soundness::table(),
        stability::table(),
        strings::table(),
        units::table(),
        walls::table(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The tables on disk are the tables of the program, and every row says where it comes from: its source
    /// is there, and where it is practice or memory it says so. Parsing holds each row to that.
    #[test]
    fn every_table_is_read_and_every_row_has_a_source() {
        let tables = tables();
        let names: Vec<&str> = tables.iter().map(|table| table.name).collect();
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tables");
        let mut on_disk: Vec<String> = std::fs::read_dir(folder)
            .expect("the tables' folder")
            .map(|entry| {
                entry
                    .expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        on_disk.sort();
        assert_eq!(names, on_disk);
        for table in tables {
            assert!(
                !table.rows.is_empty() || !table.spans.is_empty(),
                "{} is empty",
                table.name
            );
            for (sure, source) in table
                .rows
                .values()
                .map(|row| (row.sure, &row.source))
                .chain(table.spans.values().map(|row| (row.sure, &row.source)))
            {
                assert!(!source.trim().is_empty(), "{}", table.name);
                assert!(
                    sure != Sure::Practice || source.contains("common practice, no source"),
                    "{source}"
                );
                assert!(
                    sure != Sure::Memory || source.contains("from memory"),
                    "{source}"
                );
            }
        }
    }
}
