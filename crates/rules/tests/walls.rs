//! The rules of walls, edges, details and gaps on plain shapes, promise by promise.

mod judged;

use findings::Level;
use kit::Kit;
use measure::{PartFacts, walls};
use mesh::shapes::{Soup, cuboid, welded};
use mesh::tree::Tree;
use rules::Departure;

use judged::{COMMON, judged, kit};

const WIDE: &str = "[[promise]]\nid = \"wide\"\nkind = \"filament\"\nplate = [220, 220, 240]\n\
                    nozzle = 0.6\nlayers = [0.12, 0.4]\n";
const FINE: &str = "[[promise]]\nid = \"fine\"\nkind = \"filament\"\nplate = [220, 220, 240]\n\
                    nozzle = 0.25\nlayers = [0.08, 0.12]\n";

/// What our rules say of a shape, by rule.
fn said(kit: &Kit, soup: &Soup) -> Vec<(&'static str, Level, Departure)> {
    let (mesh, tree) = Tree::build(welded(soup));
    let part = &kit.parts[0];
    let facts = PartFacts {
        walls: Some(walls::measure(&mesh, &tree, &rules::wall::asks(kit, part))),
        ..PartFacts::of("p")
    };
    judged(kit, facts, &["wall.", "edge.", "detail.", "gap."])
}

fn sheet(thick: f32) -> Soup {
    cuboid([0.0; 3], [thick, 30.0, 20.0])
}

#[track_caller]
fn only(said: Vec<(&'static str, Level, Departure)>) -> (&'static str, Level, Departure) {
    assert_eq!(said.len(), 1, "{said:#?}");
    said.into_iter().next().expect("one")
}

#[test]
fn a_lost_wall_blocks_and_folds_across_promises() {
    let kit = kit(&format!("{COMMON}{WIDE}{FINE}"), "", "");
    let (rule, level, d) = only(said(&kit, &sheet(0.31)));
    assert_eq!((rule, level), ("wall.lost", Level::Block));
    assert_eq!(d.promises, ["common", "wide"]);
    assert_eq!(
        d.reading,
        "0.31 mm, needs 0.60 mm (one width of a 0.6 mm nozzle), on 2 of 3 promises, worst: wide"
    );
    assert_eq!(d.fix, "thicken it by 0.29 mm to print, by 0.89 mm to last");
    assert_eq!(d.limit, Some(0.6));
    assert!((d.measured.expect("measured") - 0.31).abs() < 1e-3);
    assert_eq!(d.places.len(), 1);
    let place = &d.places[0];
    let along = place.along.expect("the direction it is thin in");
    assert!(along[0].abs() > 0.999, "{along:?}");
}

#[test]
fn a_film_is_measured_in_layers_and_turned_it_is_a_wall() {
    let film = cuboid([0.0; 3], [20.0, 20.0, 0.25]);
    let (rule, _, d) = only(said(&kit(COMMON, "", ""), &film));
    assert_eq!(rule, "wall.lost");
    assert_eq!(d.reading, "0.25 mm, needs 0.28 mm (one layer of 0.28 mm)");
    // Stood on its edge, the same film is thin in the layers' plane.
    let (_, _, d) = only(said(&kit(COMMON, "", "up = \"+x\""), &film));
    assert_eq!(
        d.reading,
        "0.25 mm, needs 0.40 mm (one width of a 0.4 mm nozzle)"
    );
    // Three layers are a floor.
    let floor = cuboid([0.0; 3], [20.0, 20.0, 0.84]);
    assert!(said(&kit(COMMON, "", ""), &floor).is_empty());
}

#[test]
fn a_thin_wall_warns_and_blocks_under_the_parts_own_least() {
    let (rule, level, d) = only(said(&kit(COMMON, "", ""), &sheet(0.6)));
    assert_eq!((rule, level), ("wall.thin", Level::Warn));
    assert_eq!(
        d.reading,
        "0.60 mm, needs 0.80 mm (2 widths of a 0.4 mm nozzle)"
    );
    // 0.80 mm walls for a 0.4 mm nozzle are everywhere in the trade, some a rounding less.
    assert!(said(&kit(COMMON, "", ""), &sheet(0.8)).is_empty());
    assert!(said(&kit(COMMON, "", ""), &sheet(0.79)).is_empty());
    let own = kit(COMMON, "", "min-wall = 1.2");
    let (rule, level, d) = only(said(&own, &sheet(1.0)));
    assert_eq!((rule, level), ("wall.thin", Level::Block));
    assert_eq!(
        d.reading,
        "1.00 mm, needs 1.20 mm (the part's own min-wall)"
    );
    assert!(d.promises.is_empty(), "it hangs on no promise");
    assert!(said(&own, &sheet(1.3)).is_empty());
}

#[test]
fn a_single_line_part_is_held_to_its_one_bead() {
    let single = kit(COMMON, "mode = \"single-line\"", "");
    assert!(said(&single, &sheet(0.6)).is_empty(), "wall.thin is off");
    let (rule, _, d) = only(said(&single, &sheet(0.3)));
    assert_eq!(rule, "wall.lost");
    assert_eq!(d.limit, Some(0.42));
    assert_eq!(d.fix, "thicken it by 0.12 mm");
}

#[test]
fn a_vat_promise_has_its_own_thinnest_wall() {
    let vat = "[[promise]]\nid = \"vat\"\nkind = \"vat\"\nplate = [120, 60, 150]\npixel = 0.05\nleast-wall = 0.5\n";
    let vat = kit(vat, "", "material = \"resin\"");
    assert!(said(&vat, &sheet(0.6)).is_empty());
    let (rule, _, d) = only(said(&vat, &sheet(0.4)));
    assert_eq!(rule, "wall.lost");
    assert_eq!(d.limit, Some(0.5));
}

#[test]
fn sharp_edges_are_notes_and_warn_on_show_faces_when_they_recede_far() {
    let wedge = |height: f32| -> Soup {
        let p = |x: f32, y: f32, z: f32| [x, y, z];
        let (a, b, c) = (p(0.0, 0.0, 0.0), p(30.0, 0.0, 0.0), p(30.0, 0.0, height));
        let (d, e, f) = (p(0.0, 20.0, 0.0), p(30.0, 20.0, 0.0), p(30.0, 20.0, height));
        vec![
            [a, b, c],
            [d, f, e],
            [a, d, e],
            [a, e, b],
            [b, e, f],
            [b, f, c],
            [a, c, f],
            [a, f, d],
        ]
    };
    // 40 degrees: 0.42 / (2 sin 20) = 0.61.
    let (rule, level, d) = only(said(&kit(COMMON, "", ""), &wedge(25.173)));
    assert_eq!((rule, level), ("edge.feather", Level::Note));
    assert!((d.measured.expect("measured") - 0.614).abs() < 1e-3);
    let shown = kit(COMMON, "", "show = \"all\"");
    assert_eq!(only(said(&shown, &wedge(25.173))).1, Level::Note);
    // 18.4 degrees: 1.31.
    assert_eq!(only(said(&shown, &wedge(10.0))).1, Level::Warn);
    assert_eq!(
        only(said(&kit(COMMON, "", "show = \"none\""), &wedge(10.0))).1,
        Level::Note
    );
}

#[test]
fn walls_that_could_not_be_measured_say_so_and_pass_nothing() {
    let (rule, level, d) = only(said(
        &kit(COMMON, "", ""),
        &mesh::shapes::reversed(&sheet(5.0)),
    ));
    assert_eq!((rule, level), ("wall.unmeasured", Level::Warn));
    assert!(d.reading.starts_with("not measured: "));
    // Walls measured for another question than the rules ask.
    let (mesh, tree) = Tree::build(welded(&sheet(5.0)));
    let one = kit(COMMON, "", "");
    let other = kit(WIDE, "", "");
    let facts = PartFacts {
        walls: Some(walls::measure(
            &mesh,
            &tree,
            &rules::wall::asks(&other, &other.parts[0]),
        )),
        ..PartFacts::of("p")
    };
    assert_eq!(judged(&one, facts, &["wall.unmeasured"]).len(), 1);
}
