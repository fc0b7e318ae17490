//! Cautions for the builder: what to look up before using a material or a tool.
//!
//! They are pointers to the product's own safety data sheet, local rules and qualified people, never a
//! substitute and never a statement that something is safe or complies with anything. One stands in the
//! read-me only where the kit declares what triggers it.

/// What a kit can declare that calls for a caution.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trigger {
    /// Printing with molten filament.
    FilamentPrinting,
    /// Printing with liquid resin.
    Resin,
    /// Cyanoacrylate glue.
    CyanoacrylateGlue,
    /// Two-part epoxy.
    Epoxy,
    /// Coatings that hold isocyanates.
    Isocyanate,
    /// Paint, primer or varnish from a spray can, or thinned with solvent.
    SolventPaint,
    /// Isopropyl alcohol, acetone or another solvent on its own.
    Solvent,
    /// Sanding, filing or drilling printed parts.
    Sanding,
    /// Inserts set with a hot iron.
    HeatSetInsert,
    /// An open flame.
    Torch,
    /// Sharp tools: knives, cutters, scrapers.
    Blade,
    /// Loose magnets.
    Magnet,
    /// Button or coin cells.
    ButtonCell,
    /// Parts that a small child could swallow.
    SmallParts,
}

impl Trigger {
    /// All, in the order in which a builder meets them.
    pub const ALL: [Trigger; 14] = [
        Trigger::FilamentPrinting,
        Trigger::Resin,
        Trigger::Blade,
        Trigger::Sanding,
        Trigger::HeatSetInsert,
        Trigger::Torch,
        Trigger::CyanoacrylateGlue,
        Trigger::Epoxy,
        Trigger::SolventPaint,
        Trigger::Solvent,
        Trigger::Isocyanate,
        Trigger::Magnet,
        Trigger::ButtonCell,
        Trigger::SmallParts,
    ];

    /// The word that a manifest uses for it.
    pub fn word(self) -> &'static str {
        match self {
            Trigger::FilamentPrinting => "filament",
            Trigger::Resin => "resin",
            Trigger::CyanoacrylateGlue => "ca-glue",
            Trigger::Epoxy => "epoxy",
            Trigger::Isocyanate => "isocyanate",
            Trigger::SolventPaint => "solvent-paint",
            Trigger::Solvent => "solvent",
            Trigger::Sanding => "sanding",
            Trigger::HeatSetInsert => "heat-set-insert",
            Trigger::Torch => "torch",
            Trigger::Blade => "blade",
            Trigger::Magnet => "magnet",
            Trigger::ButtonCell => "button-cell",
            Trigger::SmallParts => "small-parts",
        }
    }

    /// The trigger of a word; `None` for a word that is none.
    pub fn from_word(word: &str) -> Option<Trigger> {
        Trigger::ALL.into_iter().find(|t| t.word() == word)
    }

    /// The caution: a heading and a sentence or two.
    ///
    /// Sources by arm, as far as any was seen; the rest is common practice, no source.
    pub fn caution(self) -> (&'static str, &'static str) {
        match self {
            // NIOSH 2024-103 (2023), doi 10.26616/NIOSHPUB2024103: ventilate, enclose, exhaust, keep away.
            Trigger::FilamentPrinting => (
                "Printing",
                "Molten plastic gives off fumes and fine particles: air the room or enclose the machine with an exhaust, and do not stay beside it. Nozzle and plate burn the skin.",
            ),
            // Classification from memory: H315, H317, H319, H411.
            Trigger::Resin => (
                "Liquid resin",
                "Uncured resin irritates and can make allergic: gloves, eye protection, fresh air, nothing down the drain. Wash and cure as its maker says.",
            ),
            // H315, H319, H335, EUH202 as in section 2 of a published data sheet; first aid: ECHA dossier.
            Trigger::CyanoacrylateGlue => (
                "Instant glue",
                "It bonds skin and eyelids within seconds and its vapour irritates. Keep it away from children. Soak bonded skin, never pull it apart; for eyes and lips see a doctor.",
            ),
            // From memory: H315, H317, H319.
            Trigger::Epoxy => (
                "Epoxy",
                "Uncured epoxy irritates and can make allergic for good: gloves, no skin contact, fresh air; do not sand it before it has cured.",
            ),
            // HSE (UK) pages on isocyanate paints in bodyshops: filter masks do not do, air-fed only, in a booth.
            Trigger::Isocyanate => (
                "Coatings with isocyanates",
                "Do not spray these at home: a filter mask does not protect against them. Choose a coating without isocyanates, or leave the work to a shop equipped for it.",
            ),
            // H222, H229, H225, H226, H319, H336, EUH066 exist; their assignment to paints is from memory.
            Trigger::SolventPaint => (
                "Spray cans and solvent paint",
                "Flammable, and the vapour makes dizzy: work outdoors or with strong ventilation, without flames or sparks, with a respirator that its label asks for.",
            ),
            // From memory: H225, H319, H336.
            Trigger::Solvent => (
                "Solvents",
                "Highly flammable, irritating to eyes, vapour makes drowsy: small amounts, closed containers, ventilation, no flames; try it on a scrap first, since some attack plastics.",
            ),
            // From memory: P2 or FFP2 (EN 149), N95 (42 CFR 84).
            Trigger::Sanding => (
                "Sanding, filing, drilling",
                "Sand wet where you can. Against dust wear a mask made for fine particles and eye protection; keep dust off food and floors.",
            ),
            Trigger::HeatSetInsert => (
                "Inserts set with heat",
                "Iron and brass stay hot for minutes and the plastic smokes: clamp the part, air the room, do not touch the insert until it has cooled.",
            ),
            Trigger::Torch => (
                "Open flame",
                "Never near solvents, spray cans or fresh paint; keep an extinguisher at hand. Plastic drips while it burns.",
            ),
            Trigger::Blade => (
                "Blades",
                "Cut away from yourself, on a board, with a sharp blade and the part held down; wear eye protection when you clip.",
            ),
            // 16 CFR 1262 and EN 71-1 exist for magnets; from memory.
            Trigger::Magnet => (
                "Magnets",
                "Swallowed magnets cause grave injuries: keep loose ones from children, glue them in for good, see a doctor at once if one is swallowed.",
            ),
            // Reese's Law (US) and EN 71-1 exist for button cells; from memory.
            Trigger::ButtonCell => (
                "Button cells",
                "A swallowed cell burns within hours: keep cells from children, close the battery compartment with a screw, see a doctor at once if one is swallowed.",
            ),
            // 16 CFR 1501.4 and 1500.19: a warning does not make an article fit for children under 3.
            Trigger::SmallParts => (
                "Small parts",
                "Some pieces are small enough to choke on. This model is no toy; a warning does not make it fit for small children.",
            ),
        }
    }
}

/// Said once above the cautions.
pub const BEFORE: &str = "These lines name things to look up; they are not complete and no expert has checked them for your workshop. \
What counts is the safety data sheet and the label of the very product you use, the rules where you live, and the word \
of people qualified in the matter.";

/// The cautions of some triggers as Markdown, each once, in a fixed order; empty for none.
pub fn markdown(triggers: &[Trigger]) -> String {
    let lines: String = Trigger::ALL
        .iter()
        .filter(|t| triggers.contains(t))
        .map(|t| {
            let (heading, words) = t.caution();
            format!("- **{heading}.** {words}\n")
        })
        .collect();
    if lines.is_empty() {
        lines
    } else {
        format!("## Take care\n\n{BEFORE}\n\n{lines}\n")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_declared_is_said() {
        assert_eq!(markdown(&[]), "");
        let got = markdown(&[
            Trigger::Sanding,
            Trigger::CyanoacrylateGlue,
            Trigger::Sanding,
        ]);
        assert!(got.contains("safety data sheet") && got.contains("rules where you live"));
        assert!(got.contains("qualified"));
        assert_eq!(got.matches("- **").count(), 2);
        assert!(got.contains("Instant glue") && !got.contains("resin"));
    }

    #[test]
    fn words_and_triggers_go_together() {
        for t in Trigger::ALL {
            assert_eq!(Trigger::from_word(t.word()), Some(t));
            let (heading, words) = t.caution();
            assert!(!heading.is_empty() && words.ends_with('.'));
            // Never a claim: nothing is called safe or compliant.
            for claim in ["complies", "compliant", "is safe", "certified", "approved"] {
                assert!(!words.contains(claim), "{claim} in {words}");
            }
        }
        assert_eq!(Trigger::from_word("water"), None);
    }
}
