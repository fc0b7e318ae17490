//! Regions followed from layer to layer: what lies on what, within a run of layers and from run to run.

use layers::narrow::{Ask, CELL_MM, Cell, Region, around, root, unite};
use layers::width::Stretch;
use layers::{Layer, Stack};
use mesh::vector::{sub, unit};

use super::{MOST_PLACES, Place, Places};

/// A place that grows.
#[derive(Debug, Clone)]
struct Growing {
    worst: Stretch,
    worst_z: f64,
    area_mm2: f64,
    length_mm: f64,
    box_mm: [[f64; 2]; 2],
    first: usize,
    last: usize,
}

impl Growing {
    fn add(&mut self, other: &Growing) {
        // The lower of two equals stays: the result hangs on no order.
        let less = |a: &Growing, b: &Growing| {
            let by = a.worst.least_mm.total_cmp(&b.worst.least_mm);
            by.then(a.worst_z.total_cmp(&b.worst_z)).is_lt()
        };
        if less(other, self) {
            (self.worst, self.worst_z) = (other.worst, other.worst_z);
        }
        self.area_mm2 += other.area_mm2;
        self.length_mm = self.length_mm.max(other.length_mm);
        for k in 0..2 {
            self.box_mm[0][k] = self.box_mm[0][k].min(other.box_mm[0][k]);
            self.box_mm[1][k] = self.box_mm[1][k].max(other.box_mm[1][k]);
        }
        self.first = self.first.min(other.first);
        self.last = self.last.max(other.last);
    }
}

/// The places of a run of layers.
#[derive(Debug, Clone, Default)]
pub(super) struct Followed {
    list: Vec<Growing>,
    parent: Vec<u32>,
    /// The cells of the first layer of the run, with their places; in order.
    bottom: Vec<(Cell, u32)>,
    /// The cells of the last layer.
    top: Vec<(Cell, u32)>,
    begun: bool,
}

/// Adds the regions of the next layer of a run.
pub(super) fn follow(followed: &mut Followed, layer: &Layer, regions: &[Region]) {
    let mut cells: Vec<(Cell, u32)> = Vec::new();
    for region in regions {
        let growing = Growing {
            worst: region.worst,
            worst_z: layer.z_mm,
            area_mm2: region.area_mm2,
            length_mm: region.length_mm,
            box_mm: region.box_mm,
            first: layer.index,
            last: layer.index,
        };
        let mut under: Option<u32> = None;
        for &cell in &region.cells {
            for place in on(&followed.top, cell) {
                let lead = root(&mut followed.parent, place);
                match under {
                    None => under = Some(lead),
                    Some(other) => {
                        unite(&mut followed.parent, other, lead);
                        under = Some(root(&mut followed.parent, lead));
                    }
                }
            }
        }
        let number = match under {
            Some(number) => {
                followed.list[number as usize].add(&growing);
                number
            }
            None => {
                let number = followed.list.len() as u32;
                followed.parent.push(number);
                followed.list.push(growing);
                number
            }
        };
        cells.extend(region.cells.iter().map(|&c| (c, number)));
    }
    cells.sort_unstable();
    if !followed.begun {
        followed.begun = true;
        followed.bottom.clone_from(&cells);
    }
    followed.top = cells;
}

/// The places in a cell or beside it.
fn on(cells: &[(Cell, u32)], cell: Cell) -> impl Iterator<Item = u32> {
    around(cell).flat_map(move |c| {
        let from = cells.partition_point(|e| e.0 < c);
        cells[from..]
            .iter()
            .take_while(move |e| e.0 == c)
            .map(|e| e.1)
    })
}

/// Joins the runs of all layers, from the plate up.
pub(super) fn join(stack: &Stack, ask: &Ask, runs: Vec<Followed>) -> Places {
    let mut list: Vec<Growing> = Vec::new();
    let mut parent: Vec<u32> = Vec::new();
    let mut top: Vec<(Cell, u32)> = Vec::new();
    for run in runs {
        let shift = list.len() as u32;
        list.extend(run.list);
        parent.extend(run.parent.iter().map(|p| p + shift));
        for &(cell, place) in &run.bottom {
            for under in on(&top, cell) {
                unite(&mut parent, under, place + shift);
            }
        }
        top = run.top.iter().map(|&(c, p)| (c, p + shift)).collect();
    }
    let mut whole: Vec<Option<Growing>> = vec![None; list.len()];
    for (k, growing) in list.iter().enumerate() {
        let lead = root(&mut parent, k as u32) as usize;
        match &mut whole[lead] {
            Some(all) => all.add(growing),
            none => *none = Some(growing.clone()),
        }
    }
    let mut places: Vec<Place> = whole.iter().flatten().map(|g| place(stack, g)).collect();
    let total = places.len();
    places.sort_by(|a, b| a.width_mm.total_cmp(&b.width_mm));
    places.truncate(MOST_PLACES);
    Places {
        ask: *ask,
        area_mm2: whole.iter().flatten().map(|g| g.area_mm2).sum(),
        list: places,
        total,
    }
}

fn place(stack: &Stack, g: &Growing) -> Place {
    let posed = stack.posed();
    let [x, y] = g.worst.middle_mm;
    let [sx, sy] = g.worst.at_mm;
    let at_mm = posed.to_mesh([x, y, g.worst_z]);
    let side = posed.to_mesh([sx, sy, g.worst_z]);
    let [w, h] = [0, 1].map(|k| g.box_mm[1][k] - g.box_mm[0][k] + CELL_MM);
    Place {
        at_mm,
        across: unit(sub(side, at_mm)).unwrap_or([0.0; 3]),
        width_mm: g.worst.least_mm,
        area_mm2: g.area_mm2,
        length_mm: g.length_mm,
        extent_mm: (w * w + h * h).sqrt(),
        first: g.first,
        last: g.last,
        height_mm: (g.last - g.first + 1) as f64 * stack.layer_mm(),
    }
}
