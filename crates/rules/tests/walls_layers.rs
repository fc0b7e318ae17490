//! The law between the two measures of walls: the surface and the layers give one finding.

mod judged;

use findings::Level;
use kit::Kit;
use measure::walls::{self, Walls};
use measure::{PartFacts, print};
use mesh::Topology;
use mesh::shapes::{Soup, cuboid, welded};
use mesh::tree::Tree;
use rules::Departure;

use judged::{COMMON, judged};

fn kit(part: &str) -> Kit {
    judged::kit(COMMON, "", part)
}

fn surface(kit: &Kit, soup: &Soup) -> Walls {
    let (mesh, tree) = Tree::build(welded(soup));
    walls::measure(&mesh, &tree, &rules::wall::asks(kit, &kit.parts[0]))
}

/// What the rules of walls and gaps say where balls measured one shape and layers another.
fn said(kit: &Kit, by_balls: &Soup, by_layers: Option<&Soup>) -> Vec<(&'static str, Departure)> {
    let part = &kit.parts[0];
    let walls = surface(kit, by_balls);
    let print = by_layers.map(|soup| {
        let mesh = welded(soup);
        let edges = Topology::build(&mesh).edges;
        let asks = rules::print::asks(kit, part, &walls).expect("filament");
        print::measure(&mesh, &edges, &part.orientation.turn, &asks)
    });
    let facts = PartFacts {
        walls: Some(walls),
        print,
        ..PartFacts::of("p")
    };
    judged(kit, facts, &["wall.", "gap."])
        .into_iter()
        .map(|(rule, _, d)| (rule, d))
        .collect()
}

fn sheet(thick: f32) -> Soup {
    cuboid([0.0; 3], [thick, 30.0, 20.0])
}

fn slit(wide: f32) -> Soup {
    let mut soup = cuboid([0.0; 3], [4.0, 30.0, 20.0]);
    soup.extend(cuboid([4.0 + wide, 0.0, 0.0], [8.0, 30.0, 20.0]));
    soup
}

#[track_caller]
fn only(said: Vec<(&'static str, Departure)>) -> (&'static str, Departure) {
    assert_eq!(said.len(), 1, "{said:#?}");
    said.into_iter().next().expect("one")
}

#[test]
fn what_both_show_is_one_finding_in_the_words_of_the_surface() {
    for thick in [0.31, 0.6] {
        let alone = only(said(&kit(""), &sheet(thick), None));
        let both = only(said(&kit(""), &sheet(thick), Some(&sheet(thick))));
        assert_eq!((alone.0, &alone.1.reading), (both.0, &both.1.reading));
        assert_eq!(both.1.places.len(), 1);
    }
    let both = only(said(&kit(""), &slit(0.15), Some(&slit(0.15))));
    assert_eq!(both.0, "gap.fused");
}

#[test]
fn what_no_layer_shows_is_cleared() {
    assert!(said(&kit(""), &sheet(0.31), Some(&sheet(2.0))).is_empty());
    assert!(said(&kit(""), &sheet(0.6), Some(&sheet(2.0))).is_empty());
    assert!(said(&kit(""), &slit(0.15), Some(&slit(0.5))).is_empty());
    assert!(said(&kit("min-wall = 1.2"), &sheet(1.0), Some(&sheet(2.0))).is_empty());
}

#[test]
fn what_the_layers_show_wider_is_lowered() {
    let (rule, d) = only(said(&kit(""), &sheet(0.31), Some(&sheet(0.6))));
    assert_eq!(rule, "wall.thin");
    assert!((d.measured.expect("measured") - 0.31).abs() < 1e-3);
}

#[test]
fn layers_that_do_not_close_clear_nothing() {
    let mut open = sheet(2.0);
    open.pop();
    let (rule, _) = only(said(&kit(""), &sheet(0.31), Some(&open)));
    assert_eq!(rule, "wall.lost");
}

#[test]
fn films_are_the_surfaces_alone() {
    let film = cuboid([0.0; 3], [20.0, 20.0, 0.25]);
    let (rule, _) = only(said(&kit(""), &film, Some(&sheet(2.0))));
    assert_eq!(rule, "wall.lost");
}

#[test]
fn what_only_the_layers_show_is_added_to_the_same_finding() {
    let thick = sheet(5.0);
    let (rule, d) = only(said(&kit(""), &thick, Some(&sheet(0.3))));
    assert_eq!(rule, "wall.lost");
    assert_eq!(
        d.reading,
        "0.30 mm, needs 0.40 mm (one width of a 0.4 mm nozzle)"
    );
    assert!(d.places[0].along.expect("across")[0].abs() > 0.999);
    let (rule, d) = only(said(&kit(""), &thick, Some(&sheet(0.6))));
    assert_eq!((rule, d.level), ("wall.thin", None));
    let (rule, d) = only(said(&kit("min-wall = 1.2"), &thick, Some(&sheet(1.0))));
    assert_eq!((rule, d.level), ("wall.thin", Some(Level::Block)));
    assert_eq!(
        only(said(&kit(""), &thick, Some(&slit(0.15)))).0,
        "gap.fused"
    );
    // A fin lower or shorter than two lines is a detail, no wall.
    let low = cuboid([0.0; 3], [0.3, 30.0, 0.6]);
    assert!(said(&kit(""), &thick, Some(&low)).is_empty());
    let short = cuboid([0.0; 3], [0.3, 0.7, 20.0]);
    assert!(said(&kit(""), &thick, Some(&short)).is_empty());
}
