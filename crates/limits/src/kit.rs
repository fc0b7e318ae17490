//! Limits of the rules on the kit as a whole.

use crate::typed::typed;

typed!(
    /// Waivers, and parts that are said to be alike.
    Kit, kit, "kit.toml", {
    /// Two surfaces closer than this everywhere are one shape, mm.
    same_surface: "same-surface",
    /// A waiver that ends within so many days ends soon.
    ends_soon: "ends-soon",
});
