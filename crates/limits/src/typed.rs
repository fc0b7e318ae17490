//! Turns a table into a struct with a field a row, so that a missing row is found by the tests and a
//! mistyped one by the compiler.

/// Declares a struct of limits over one table: `typed!(Doc, Name, name(), "file.toml", { field: "row", ... })`.
/// A test is made with it: every row of the table is a field.
macro_rules! typed {
    ($(#[$doc:meta])* $type:ident, $get:ident, $file:literal, { $($(#[$fdoc:meta])* $field:ident : $row:literal),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $type {
            $($(#[$fdoc])* pub $field: $crate::Limit,)*
        }

        static TABLE: std::sync::LazyLock<$crate::Table> = std::sync::LazyLock::new(|| {
            $crate::Table::embedded($file, include_str!(concat!("../tables/", $file)))
        });

        static VALUES: std::sync::LazyLock<$type> = std::sync::LazyLock::new(|| $type {
            $($field: TABLE.row($row),)*
        });

        /// The values of the table, parsed once.
        pub fn $get() -> &'static $type {
            &VALUES
        }

        /// The table with all its rows.
        pub fn table() -> &'static $crate::Table {
            &TABLE
        }

        #[cfg(test)]
        mod every_row {
            #[test]
            fn is_a_field() {
                let fields = std::collections::BTreeSet::from([$($row.to_string()),*]);
                let rows: std::collections::BTreeSet<String> = super::table().rows.keys().cloned().collect();
                assert_eq!(rows, fields);
                let _ = super::$get();
            }
        }
    };
}

pub(crate) use typed;
