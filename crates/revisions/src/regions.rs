//! Places that moved, gathered into regions: samples in the same or in neighbouring cells of a grid belong together.

use mesh::vector::Vec3;
use serde::{Deserialize, Serialize};

use crate::change::{Asks, Body};
use crate::deviation::Moved;
use crate::rigid::Rigid;
use crate::sign::inside;

/// Samples kept a region, at most.
const KEPT: usize = 4000;

/// A region of change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Region {
    /// Its deepest point, in the present part's frame, mm.
    pub at: [f64; 3],
    /// The box of all its points, mm.
    pub size_mm: [f64; 3],
    /// Distance of the surfaces at the deepest point, mm: positive where plastic was added.
    pub depth_mm: f64,
    /// Area of the surface that moved, mm2: of the present, or of the base where that is more.
    pub area_mm2: f64,
}

/// A place of either surface that moved.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MovedAt {
    /// Where, in the present part's frame, mm.
    pub at: [f32; 3],
    /// How far, mm: positive where plastic was added.
    pub depth_mm: f32,
}

/// What moved.
pub(crate) struct AllMoved {
    /// Regions, deepest first; at most as many as asked for.
    pub found: Vec<Found>,
    /// How many there are in all.
    pub total: usize,
    /// The deepest place of every cell of all regions, the deepest first: whoever asks what moved near something
    /// misses nothing that is wider than a cell.
    pub places: Vec<MovedAt>,
}

/// A region, and the moved places that show it best, the deepest first.
pub(crate) struct Found {
    pub region: Region,
    pub places: Vec<Moved>,
}

type Cell = [i32; 3];

/// Regions, deepest first, and every place that moved.
pub(crate) fn regions(
    moved: Vec<Moved>,
    base: Body<'_>,
    present: Body<'_>,
    onto: &Rigid,
    gap: f64,
    asks: &Asks,
) -> AllMoved {
    if moved.is_empty() {
        return AllMoved {
            found: Vec::new(),
            total: 0,
            places: Vec::new(),
        };
    }
    let cell = |p: Vec3| -> Cell { p.map(|x| (x / gap).floor() as i32) };
    let mut keyed: Vec<(Cell, u32)> = moved
        .iter()
        .enumerate()
        .map(|(i, m)| (cell(m.at), i as u32))
        .collect();
    parallel::sort_by_key(&mut keyed, |&k| k);
    let mut cells: Vec<(Cell, usize)> = Vec::new();
    for (at, (key, _)) in keyed.iter().enumerate() {
        if cells.last().is_none_or(|(last, _)| last != key) {
            cells.push((*key, at));
        }
    }
    let back = onto.inverse();
    let places = deepest_of_cells(&cells, &keyed, &moved, base, present, &back);
    let (of_cell, count) = joined(&cells);
    let mut groups: Vec<Vec<u32>> = vec![Vec::new(); count];
    for (c, &(_, start)) in cells.iter().enumerate() {
        let end = cells.get(c + 1).map_or(keyed.len(), |next| next.1);
        groups[of_cell[c]].extend(keyed[start..end].iter().map(|&(_, i)| i));
    }
    let deepest = |group: &[u32]| {
        group.iter().copied().fold(group[0], |best, i| {
            if moved[i as usize].distance > moved[best as usize].distance {
                i
            } else {
                best
            }
        })
    };
    let mut order: Vec<(u32, Vec<u32>)> = groups.into_iter().map(|g| (deepest(&g), g)).collect();
    // Stable: equal depths stay in the order of their cells.
    order.sort_by(|a, b| {
        moved[b.0 as usize]
            .distance
            .total_cmp(&moved[a.0 as usize].distance)
    });
    let total = order.len();
    order.truncate(asks.regions_at_most);
    let found = parallel::map(&order, |_, (first, group)| {
        whole(*first, group, &moved, base, present, &back)
    });
    AllMoved {
        found,
        total,
        places,
    }
}

/// The deepest place of each cell, the deepest first; among equals the first in the order of cells.
fn deepest_of_cells(
    cells: &[(Cell, usize)],
    keyed: &[(Cell, u32)],
    moved: &[Moved],
    base: Body<'_>,
    present: Body<'_>,
    back: &Rigid,
) -> Vec<MovedAt> {
    let mut places = parallel::map(cells, |c, &(_, start)| {
        let end = cells.get(c + 1).map_or(keyed.len(), |next| next.1);
        let first = keyed[start].1 as usize;
        let deepest = keyed[start..end].iter().fold(first, |best, &(_, i)| {
            if moved[i as usize].distance > moved[best].distance {
                i as usize
            } else {
                best
            }
        });
        let m = &moved[deepest];
        MovedAt {
            at: m.at.map(|x| x as f32),
            depth_mm: signed(m, base, present, back) as f32,
        }
    });
    places.sort_by(|a, b| b.depth_mm.abs().total_cmp(&a.depth_mm.abs()));
    places
}

fn whole(
    first: u32,
    group: &[u32],
    moved: &[Moved],
    base: Body<'_>,
    present: Body<'_>,
    back: &Rigid,
) -> Found {
    let (mut min, mut max) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    let mut area = [0.0; 2];
    for &i in group {
        let m = &moved[i as usize];
        for k in 0..3 {
            min[k] = min[k].min(m.at[k]);
            max[k] = max[k].max(m.at[k]);
        }
        area[usize::from(m.on_base)] += m.area;
    }
    let stride = group.len().div_ceil(KEPT - 1).max(1);
    let mut places = vec![moved[first as usize]];
    places.extend(
        group
            .iter()
            .step_by(stride)
            .filter(|&&i| i != first)
            .map(|&i| moved[i as usize]),
    );
    let region = Region {
        at: places[0].at,
        size_mm: [0, 1, 2].map(|k| max[k] - min[k]),
        depth_mm: signed(&places[0], base, present, back),
        area_mm2: area[0].max(area[1]),
    };
    Found { region, places }
}

/// Plastic was added where the present lies outside the base, or the base inside the present.
fn signed(m: &Moved, base: Body<'_>, present: Body<'_>, back: &Rigid) -> f64 {
    let (other, point) = if m.on_base {
        (present, m.at)
    } else {
        (base, back.at(m.at))
    };
    // Found again rather than kept: few samples are asked for their side.
    let Some(found) = other.tree.closest(point, f64::INFINITY, |_| true) else {
        return m.distance;
    };
    if inside(other, point, &found) == m.on_base {
        m.distance
    } else {
        -m.distance
    }
}

/// The region of every cell, numbered by first cell, and how many there are.
fn joined(cells: &[(Cell, usize)]) -> (Vec<usize>, usize) {
    let mut leader: Vec<usize> = (0..cells.len()).collect();
    fn find(leader: &mut [usize], mut x: usize) -> usize {
        while leader[x] != x {
            leader[x] = leader[leader[x]];
            x = leader[x];
        }
        x
    }
    for (c, &(key, _)) in cells.iter().enumerate() {
        for step in 0..27 {
            let other =
                [0, 1, 2].map(|k| key[k].saturating_add([step / 9, step / 3 % 3, step % 3][k] - 1));
            if other >= key {
                continue;
            }
            if let Ok(o) = cells[..c].binary_search_by(|(k, _)| k.cmp(&other)) {
                let (x, y) = (find(&mut leader, c), find(&mut leader, o));
                leader[x.max(y)] = x.min(y);
            }
        }
    }
    let mut number = vec![usize::MAX; cells.len()];
    let mut count = 0;
    for c in 0..cells.len() {
        let l = find(&mut leader, c);
        if l == c {
            number[c] = count;
            count += 1;
        } else {
            number[c] = number[l];
        }
    }
    (number, count)
}
