//! What a part is once every default is filled in, and what mirror images take from their source.

use kit::{Axis, Kit, Machine, Show, Supports, Unit, read, turn};

const HEAD: &str = "format = 1
rule-set = \"2026.1\"
[kit]
id = \"k\"
title = \"K\"
revision = \"1.0.0\"
license = \"MIT\"
[[promise]]
id = \"wide\"
plate = [300, 300, 300]
nozzle = 0.6
layers = [0.2, 0.4]
materials = [\"petg\", \"pla\"]
supports = \"from-part\"
[[promise]]
id = \"vat\"
kind = \"vat\"
plate = [120, 70, 150]
pixel = 0.05
least-wall = 0.4
[settings.body]
[defaults]
units = \"cm\"
";

fn kit(parts: &str) -> Kit {
    let text = format!("{HEAD}{parts}");
    read(&text, "kit.toml", &["wall.thin", "wall.lost"])
        .unwrap_or_else(|faults| panic!("{}", kit::render(&faults, &text, false)))
}

#[test]
fn defaults_are_filled_in_and_their_origin_kept() {
    let kit = kit(
        "[[part]]\nid = \"a\"\nmesh = \"a.stl\"\n[[part]]\nid = \"b\"\nmesh = \"b.3mf\"\nmaterial = \"resin\"\n",
    );
    let [a, b] = &kit.parts[..] else {
        panic!("two parts")
    };
    assert_eq!((a.unit, b.unit), (Some(Unit::Cm), None));
    // The first material of the first promise.
    assert_eq!(
        (a.material.as_str(), a.settings.as_str(), a.count, a.rev),
        ("petg", "body", 1, 1)
    );
    assert_eq!(a.orientation.turn, turn::IDENTITY);
    let origin = |key: &str| {
        a.origins
            .iter()
            .find(|o| o.key == key)
            .map(|o| o.from.to_string())
    };
    assert_eq!(origin("units").as_deref(), Some("defaults, line 23"));
    assert_eq!(origin("count").as_deref(), Some("built in"));
    let ids = |part: &kit::Part| -> Vec<String> {
        kit.promises_for(part)
            .iter()
            .map(|p| p.id.clone())
            .collect()
    };
    assert_eq!(
        (ids(a), ids(b)),
        (vec!["wide".to_string()], vec!["vat".to_string()])
    );
}

#[test]
fn settings_follow_the_nozzle_of_a_promise() {
    let kit = kit("[[part]]\nid = \"a\"\nmesh = \"a.stl\"\n");
    let settings = kit.settings_of(&kit.parts[0]);
    assert_eq!(
        (settings.nozzle_mm, settings.layer_mm, settings.bead_mm),
        (0.4, 0.2, 0.42)
    );
    let wide = settings.on(&kit.promises[0]);
    assert!(
        (wide.bead_mm - 0.63).abs() < 1e-12 && wide.nozzle_mm == 0.6,
        "{wide:?}"
    );
    assert_eq!(settings.on(&kit.promises[1]), *settings);
    let Machine::Filament { layers_mm, .. } = kit.promises[0].machine else {
        panic!("filament")
    };
    assert_eq!(layers_mm, [0.2, 0.4]);
}

#[test]
fn a_promise_that_says_only_its_plate_has_a_usual_nozzle_and_layers() {
    let kit = kit(
        "[[part]]\nid = \"a\"\nmesh = \"a.stl\"\n[[promise]]\nid = \"plain\"\nplate = [200, 200, 200]\n",
    );
    assert_eq!(
        kit.promises[2].machine,
        Machine::Filament {
            nozzle_mm: 0.4,
            layers_mm: [0.12, 0.28]
        }
    );
}

#[test]
fn a_part_tightens_supports_and_never_loosens_them() {
    let kit = kit("[[part]]\nid = \"a\"\nmesh = \"a.stl\"\nsupports = \"from-plate\"\n");
    let (a, wide, vat) = (&kit.parts[0], &kit.promises[0], &kit.promises[1]);
    assert_eq!(kit.supports_for(a, wide), Supports::FromPlate);
    assert_eq!(kit.supports_for(a, vat), Supports::None);
}

#[test]
fn a_mirror_image_lies_as_its_source_does() {
    let kit = kit("
[[part]]
id = \"left\"
mesh = \"left.stl\"
up = [3, 0, 4]
show = [{ toward = \"+x\", cone = 20 }]
color = \"white\"
rev = 3
count = 4
rules.\"wall.thin\" = \"off\"
[[part]]
id = \"right\"
mirror-of = \"left\"
mirror = \"x\"
rules.\"wall.lost\" = \"warn\"
[[part]]
id = \"turned\"
mesh = \"turned.stl\"
turn = [10, 20, 30]
[[part]]
id = \"image\"
mirror-of = \"turned\"
mirror = \"z\"
");
    let [left, right, turned, image] = &kit.parts[..] else {
        panic!("four parts")
    };
    assert_eq!(right.orientation.up, [-0.6, 0.0, 0.8]);
    assert_eq!(right.color.as_deref(), Some("white"));
    assert_eq!((right.rev, right.count, left.count), (3, 1, 4));
    let Show::Directions(cones) = &right.show else {
        panic!("directions")
    };
    assert_eq!(cones[0].toward, [-1.0, 0.0, 0.0]);
    let rules: Vec<&str> = right.levels.iter().map(|l| l.rule.as_str()).collect();
    assert_eq!(rules, ["wall.lost", "wall.thin"]);
    // In print pose an image point is the source's with x turned: N R p = R' M p.
    for (source, image, axis) in [(left, right, Axis::X), (turned, image, Axis::Z)] {
        let point = [1.0, 2.0, 3.0];
        let of_source = turn::apply(&source.orientation.turn, point);
        let of_image = turn::apply(&image.orientation.turn, turn::apply(&axis.mirror(), point));
        assert!(
            (of_source[2] - of_image[2]).abs() < 1e-12,
            "heights differ: {of_source:?} {of_image:?}"
        );
        let flat = |p: [f64; 3]| p[0] * p[0] + p[1] * p[1];
        assert!(
            (flat(of_source) - flat(of_image)).abs() < 1e-12,
            "the outline is another"
        );
        let up = turn::apply(&image.orientation.turn, image.orientation.up);
        assert!((up[2] - 1.0).abs() < 1e-12);
    }
}

#[test]
fn a_chain_of_mirrors_ends_at_the_next_mesh() {
    let kit = kit("
[[part]]
id = \"d\"
mirror-of = \"c\"
mirror = \"y\"
[[part]]
id = \"c\"
mirror-of = \"b\"
mirror = \"x\"
[[part]]
id = \"b\"
mesh = \"b.stl\"
mirror-of = \"a\"
mirror = \"z\"
[[part]]
id = \"a\"
mesh = \"a.stl\"
");
    let source = |id: &str| {
        let (part, axes) = kit.source_of(kit.part(id).expect(id));
        (part.id.as_str(), axes)
    };
    assert_eq!(source("d"), ("b", vec![Axis::X, Axis::Y]));
    assert_eq!(source("c"), ("b", vec![Axis::X]));
    assert_eq!(source("b"), ("a", vec![Axis::Z]));
    assert_eq!(source("a"), ("a", vec![]));
    assert_eq!(
        kit.parts.iter().map(|p| p.id.as_str()).collect::<Vec<_>>(),
        ["d", "c", "b", "a"]
    );
}

#[test]
fn what_is_for_later_is_kept_and_named() {
    let kit = kit("
[[part]]
id = \"a\"
mesh = \"a.stl\"
coat = 2
[[part.body]]
role = \"inlay\"
[[motion]]
id = \"f\"
[dimensions]
height = 10
[extra]
anything = [1, { a = 2027-01-31 }]
");
    assert_eq!(
        kit.declared_unmeasured,
        ["[[motion]]", "[dimensions]", "part.body", "part.coat"]
    );
    assert_eq!(kit.later["dimensions"]["height"].as_integer(), Some(10));
    assert_eq!(kit.later["part.coat"]["a"].as_integer(), Some(2));
    assert!(kit.extra.is_some());
}

#[test]
fn how_parts_meet_is_read() {
    let kit = kit("
[[part]]
id = \"a\"
mesh = \"a.stl\"
was = \"lid\"
[[part]]
id = \"b\"
mesh = \"b.stl\"
was = [\"box\", \"case\"]
[[fit]]
id = \"a-on-b\"
parts = [\"a\", \"b\"]
kind = \"press\"
gap = [-0.1, 0]
insert = \"-z\"
[[hole]]
part = \"a\"
at = [1, 2, 3]
axis = [0, 0, 4]
takes = \"M3\"
use = \"insert\"
[[change]]
part = \"a\"
text = \"Wider\"
class = \"required\"
");
    assert_eq!(kit.parts[0].was, ["lid"]);
    assert_eq!(kit.parts[1].was, ["box", "case"]);
    let fit = &kit.fits[0];
    assert_eq!(
        (fit.kind, fit.gap_mm),
        (kit::FitKind::Press, Some([-0.1, 0.0]))
    );
    assert_eq!(fit.insert, Some([0.0, 0.0, -1.0]));
    let hole = &kit.holes[0];
    assert_eq!((hole.at, hole.axis), ([1.0, 2.0, 3.0], [0.0, 0.0, 1.0]));
    assert_eq!(hole.purpose, Some(kit::HoleUse::Insert));
    assert_eq!(kit.changes[0].class, Some(kit::ClassWord::Required));
    assert_eq!(kit.declared_unmeasured, ["[[fit]]", "[[hole]]"]);
}
