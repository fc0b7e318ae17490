//! Parts of plain boxes, measured on their layers, for the rules' own tests.

use measure::Beside;
use measure::print;
use measure::walls::Walls;
use mesh::shapes::{cuboid, welded};

use crate::{Departure, sample};

/// Least and greatest corner.
pub(crate) type Corners = ([f32; 3], [f32; 3]);

/// A T: a stem 10 x 10 x 30 under a bar 30 x 10 x 10, so two arms of 10 mm.
pub(crate) const T: &[Corners] = &[
    ([10.0, 0.0, 0.0], [20.0, 10.0, 30.0]),
    ([0.0, 0.0, 30.0], [30.0, 10.0, 40.0]),
];

/// A second promise; `supports` as in a manifest.
pub(crate) fn promise(supports: &str) -> String {
    format!(
        "[[promise]]\nid = \"other\"\nplate = [220, 220, 240]\nmaterials = [\"pla\"]\nsupports = \"{supports}\"\n"
    )
}

/// What a rule finds on a part of boxes; `more` is added to the sample kit's manifest.
pub(crate) fn found(rule: &str, boxes: &[Corners], more: &str) -> Vec<Departure> {
    let kit = sample::kit(more);
    sample::found(rule, &kit, &facts(&kit, boxes), &Beside::default())
}

/// Facts of the sample kit, its first part made of boxes.
pub(crate) fn facts(kit: &kit::Kit, boxes: &[Corners]) -> Vec<measure::PartFacts> {
    let soup: Vec<_> = boxes.iter().flat_map(|&(a, b)| cuboid(a, b)).collect();
    let mesh = welded(&soup);
    let edges = mesh::Edges::build(&mesh);
    let part = &kit.parts[0];
    let asks = crate::print::asks(kit, part, &Walls::default()).expect("it is printed in layers");
    let mut facts = sample::facts(0.0);
    facts[0].print = Some(print::measure(&mesh, &edges, &part.orientation.turn, &asks));
    facts
}
