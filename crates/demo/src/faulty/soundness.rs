//! Surfaces that do not close one body, or close it oddly.

use super::shapes::{Facet, block, corners, cuboid, hexahedron, swept, turned};
use super::{Faulty, Twins};

pub(crate) const TWINS: &[Twins] = &[
    ("mesh.ambiguous", ambiguous),
    ("mesh.prints-as-drawn", prints_as_drawn),
    ("mesh.open-edge", open_edge),
    ("mesh.crack", crack),
    ("mesh.crowded-edge", crowded_edge),
    ("mesh.pinched-vertex", pinched_vertex),
    ("mesh.turned-facet", turned_facet),
    ("mesh.inside-out", inside_out),
    ("mesh.nested-shell", nested_shell),
    ("mesh.body-count", body_count),
    ("mesh.degenerate", degenerate),
    ("mesh.sliver", sliver),
    ("mesh.duplicate-facet", duplicate_facet),
    ("mesh.debris", debris),
    ("mesh.sealed-cavity", sealed_cavity),
    ("mesh.self-crossing", self_crossing),
    ("mesh.self-overlap", self_overlap),
    ("mesh.shells-crossing", shells_crossing),
    ("mesh.shells-touching", shells_touching),
];

fn both(a: &[Facet], b: &[Facet]) -> Vec<Facet> {
    [a, b].concat()
}

/// A second block of 10 x 10 x 10 mm with its least corner at a point.
fn second(at: [f32; 3]) -> Vec<Facet> {
    cuboid(at, at.map(|x| x + 10.0))
}

fn open_edge(raises: bool) -> Faulty {
    let mut facets = block();
    if raises {
        facets.pop();
        Faulty::new()
            .part("block", &facets)
            .blocks("mesh.open-edge", &["block"])
    } else {
        Faulty::new().part("block", &facets)
    }
}

/// One corner of the lid stands 20 nm above the walls: ten steps of a 32-bit float at 20 mm.
fn crack(raises: bool) -> Faulty {
    let mut facets = block();
    if raises {
        for facet in &mut facets[2..4] {
            for corner in facet {
                if *corner == [20.0, 20.0, 10.0] {
                    corner[2] += 2e-5;
                }
            }
        }
        Faulty::new()
            .part("block", &facets)
            .notes("mesh.crack", &["block"])
    } else {
        Faulty::new().part("block", &facets)
    }
}

fn crowded_edge(raises: bool) -> Faulty {
    let apart = if raises { 0.0 } else { 2.0 };
    let facets = both(
        &block(),
        &cuboid([20.0 + apart, 20.0 + apart, 0.0], [30.0, 30.0, 10.0]),
    );
    let kit = Faulty::new().part_with("blocks", "bodies = 2", &facets);
    if raises {
        kit.notes("mesh.crowded-edge", &["blocks"])
    } else {
        kit
    }
}

fn pinched_vertex(raises: bool) -> Faulty {
    let apart = if raises { 0.0 } else { 2.0 };
    let facets = both(
        &block(),
        &second([20.0 + apart, 20.0 + apart, 10.0 + apart]),
    );
    let kit = Faulty::new()
        .supported()
        .part_with("blocks", "bodies = 2", &facets);
    if raises {
        kit.notes("mesh.pinched-vertex", &["blocks"])
    } else {
        kit
    }
}

fn turned_facet(raises: bool) -> Faulty {
    let mut facets = block();
    if raises {
        facets[3].swap(1, 2);
        Faulty::new()
            .part("block", &facets)
            .blocks("mesh.turned-facet", &["block"])
    } else {
        Faulty::new().part("block", &facets)
    }
}

fn inside_out(raises: bool) -> Faulty {
    if raises {
        Faulty::new()
            .part("block", &turned(&block()))
            .blocks("mesh.inside-out", &["block"])
            .warns("wall.unmeasured", &["block"])
    } else {
        Faulty::new().part("block", &block())
    }
}

/// A box of 6 mm within the block, outward like the block, or turned and so a cavity.
fn nested_shell(raises: bool) -> Faulty {
    let inner = cuboid([7.0, 7.0, 2.0], [13.0, 13.0, 8.0]);
    if raises {
        Faulty::new()
            .part("block", &both(&block(), &inner))
            .warns("mesh.nested-shell", &["block"])
    } else {
        Faulty::new()
            .part("block", &both(&block(), &turned(&inner)))
            .notes("mesh.sealed-cavity", &["block"])
    }
}

fn body_count(raises: bool) -> Faulty {
    let facets = both(&block(), &second([30.0, 0.0, 0.0]));
    if raises {
        Faulty::new()
            .part("blocks", &facets)
            .warns("mesh.body-count", &["blocks"])
    } else {
        Faulty::new().part_with("blocks", "bodies = 2", &facets)
    }
}

/// The block whose front lower edge is split at its middle on the front face; `sunk` is how far the point
/// lies above the edge. Below, a facet of that height joins the point to the bottom.
fn split_edge(sunk: Option<f32>) -> Vec<Facet> {
    let [a, b] = [[0.0, 0.0, 0.0], [20.0, 0.0, 0.0]];
    let m = [10.0, 0.0, sunk.unwrap_or(0.0)];
    let opposite = [20.0, 0.0, 10.0];
    let mut facets: Vec<Facet> = block()
        .into_iter()
        .filter(|f| *f != [a, b, opposite])
        .collect();
    facets.push([a, m, opposite]);
    facets.push([m, b, opposite]);
    match sunk {
        // The facet between the edge and the point.
        Some(_) => facets.push([a, b, m]),
        // The bottom is split at the same point, and nothing lies between.
        None => {
            let below = [20.0, 20.0, 0.0];
            facets.retain(|f| *f != [a, below, b]);
            facets.push([a, below, m]);
            facets.push([m, below, b]);
        }
    }
    facets
}

fn degenerate(raises: bool) -> Faulty {
    if raises {
        Faulty::new()
            .part("block", &split_edge(Some(0.0)))
            .notes("mesh.degenerate", &["block"])
    } else {
        Faulty::new().part("block", &split_edge(None))
    }
}

fn sliver(raises: bool) -> Faulty {
    if raises {
        Faulty::new()
            .part("block", &split_edge(Some(1e-4)))
            .notes("mesh.sliver", &["block"])
    } else {
        Faulty::new().part("block", &split_edge(Some(2.0)))
    }
}

fn duplicate_facet(raises: bool) -> Faulty {
    let mut facets = block();
    if raises {
        facets.push(facets[2]);
        Faulty::new()
            .part("block", &facets)
            .notes("mesh.duplicate-facet", &["block"])
    } else {
        Faulty::new().part("block", &facets)
    }
}

fn debris(raises: bool) -> Faulty {
    let side = if raises { 0.2 } else { 8.0 };
    let kit = Faulty::new().part_with(
        "block",
        "bodies = 2",
        &both(
            &block(),
            &cuboid([25.0, 5.0, 0.0], [25.0 + side, 5.0 + side, side]),
        ),
    );
    if raises {
        kit.warns("mesh.debris", &["block"])
    } else {
        kit
    }
}

fn sealed_cavity(raises: bool) -> Faulty {
    // The hollow ends 2 mm below the lid, or reaches through it as a pit.
    if raises {
        let hollow = turned(&cuboid([7.0, 7.0, 2.0], [13.0, 13.0, 8.0]));
        return Faulty::new()
            .part("block", &both(&block(), &hollow))
            .notes("mesh.sealed-cavity", &["block"]);
    }
    let inner = corners([7.0, 7.0, 2.0], [13.0, 13.0, 10.0]);
    let outer = corners([0.0; 3], [20.0, 20.0, 10.0]);
    // Both without their lids, and a frame of eight facets between the rims.
    let lidless = |facets: Vec<Facet>| [&facets[..2], &facets[4..]].concat();
    let mut facets = lidless(hexahedron(outer));
    facets.extend(turned(&lidless(hexahedron(inner))));
    for [i, j] in [[4, 5], [5, 7], [7, 6], [6, 4]] {
        facets.push([outer[i], outer[j], inner[j]]);
        facets.push([outer[i], inner[j], inner[i]]);
    }
    Faulty::new().part("block", &facets)
}

/// A square pit that ends beyond the block, or within it; the block lies on its side.
fn ambiguous(raises: bool) -> Faulty {
    let floor = if raises { -3.0 } else { 4.0 };
    let kit = Faulty::new().part_with("pit", "up = \"+y\"", &pit(floor));
    if raises {
        kit.blocks("mesh.ambiguous", &["pit"])
    } else {
        kit
    }
}

/// A sliver and a facet that is there twice, or the sliver alone.
fn prints_as_drawn(raises: bool) -> Faulty {
    let mut facets = split_edge(Some(1e-4));
    if raises {
        let lid = facets.iter().find(|f| f.iter().all(|p| p[2] == 10.0));
        facets.extend(lid.copied());
        Faulty::new()
            .part("block", &facets)
            .notes("mesh.prints-as-drawn", &["block"])
    } else {
        Faulty::new()
            .part("block", &facets)
            .notes("mesh.sliver", &["block"])
    }
}

/// The block with a square pit from above, whose floor lies at a height.
fn pit(floor: f32) -> Vec<Facet> {
    let lid = |facet: &Facet| facet.iter().all(|p| p[2] == 10.0);
    let mut facets = block();
    facets.retain(|f| !lid(f));
    let mut pit = turned(&cuboid([6.0, 6.0, floor], [14.0, 14.0, 10.0]));
    pit.retain(|f| !lid(f));
    facets.extend(pit);
    let around = |a: f32, b: f32| [[a, a, 10.0], [b, a, 10.0], [b, b, 10.0], [a, b, 10.0]];
    let (outer, inner) = (around(0.0, 20.0), around(6.0, 14.0));
    for k in 0..4 {
        let n = (k + 1) % 4;
        facets.push([outer[k], outer[n], inner[n]]);
        facets.push([outer[k], inner[n], inner[k]]);
    }
    facets
}

/// A pit whose floor lies below the block's own floor, by less than a layer, or above it.
fn self_crossing(raises: bool) -> Faulty {
    let floor = if raises { -0.08 } else { 4.0 };
    let kit = Faulty::new().part("pit", &pit(floor));
    if raises {
        kit.warns("mesh.self-crossing", &["pit"])
    } else {
        kit
    }
}

/// A bar bent to a loop whose end passes through its own beginning, or stops short of it.
fn self_overlap(raises: bool) -> Faulty {
    let end = if raises { -12.0 } else { 8.0 };
    let path = [
        [0.0, 0.0],
        [40.0, 0.0],
        [40.0, 25.0],
        [20.0, 25.0],
        [20.0, end],
    ];
    let kit = Faulty::new().part("loop", &swept(&path, 4.0));
    if raises {
        kit.notes("mesh.self-overlap", &["loop"])
    } else {
        kit
    }
}

fn shells_crossing(raises: bool) -> Faulty {
    let x = if raises { 15.0 } else { 25.0 };
    let facets = both(&block(), &cuboid([x, 5.0, 2.0], [x + 10.0, 15.0, 8.0]));
    if raises {
        Faulty::new()
            .supported()
            .part("blocks", &facets)
            .notes("mesh.shells-crossing", &["blocks"])
    } else {
        Faulty::new()
            .supported()
            .part_with("blocks", "bodies = 2", &facets)
    }
}

fn shells_touching(raises: bool) -> Faulty {
    let x = if raises { 20.0 } else { 25.0 };
    let facets = both(&block(), &cuboid([x, 5.0, 2.0], [x + 10.0, 15.0, 8.0]));
    if raises {
        Faulty::new()
            .supported()
            .part("blocks", &facets)
            .notes("mesh.shells-touching", &["blocks"])
    } else {
        Faulty::new()
            .supported()
            .part_with("blocks", "bodies = 2", &facets)
    }
}
