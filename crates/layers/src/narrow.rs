//! The narrow regions of one layer: stretches of outline with something opposite nearer than asked, gathered where
//! they lie together.
//!
//! What is too narrow, and whether a narrow region matters, is not said here.

use crate::opening::Taken;
use crate::width::Stretch;
use serde::{Deserialize, Serialize};

/// Cells in which stretches are gathered are this wide, mm: regions nearer than that are one.
pub const CELL_MM: f64 = 0.5;

/// What counts as narrow.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// Narrower than this, mm.
    pub below_mm: f64,
    /// Narrower than this is none, mm: cuts drawn on purpose. 0 counts all.
    pub from_mm: f64,
    /// Stretches whose width changes by this much or more along the outline do not count, mm per mm.
    pub steepest: f64,
}

impl Ask {
    /// Whether a stretch counts.
    pub fn counts(&self, s: &Stretch) -> bool {
        s.opposed
            && s.least_mm < self.below_mm
            && s.least_mm >= self.from_mm
            && s.taper < self.steepest
    }
}

/// A cell of the plane, by column and row.
pub type Cell = [i32; 2];

/// The cell that holds a point.
pub fn cell_of(p: [f64; 2]) -> Cell {
    // Beyond two billion cells from the origin places are nowhere; they saturate there.
    p.map(|v| (v / CELL_MM).floor() as i32)
}

/// The cells around one, itself among them.
pub fn around([x, y]: Cell) -> impl Iterator<Item = Cell> {
    (-1..=1)
        .flat_map(move |dy| (-1..=1).map(move |dx| [x.saturating_add(dx), y.saturating_add(dy)]))
}

/// One narrow region of one layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// Its narrowest stretch.
    pub worst: Stretch,
    /// What lies nearest to its sides, mm2; [`assign`] makes it what opening takes.
    pub area_mm2: f64,
    /// How long it is, mm: half its sides.
    pub length_mm: f64,
    /// The least and greatest corner of the box around its middles, mm.
    pub box_mm: [[f64; 2]; 2],
    /// The cells its middles lie in, in order.
    pub cells: Vec<Cell>,
}

/// Gathers the stretches that count; regions in the order of their least cells.
pub fn regions(stretches: &[Stretch], ask: &Ask) -> Vec<Region> {
    let mut by_cell: Vec<(Cell, u32)> = stretches
        .iter()
        .enumerate()
        .filter(|(_, s)| ask.counts(s))
        .map(|(k, s)| (cell_of(s.middle_mm), k as u32))
        .collect();
    by_cell.sort_unstable();
    let mut cells: Vec<Cell> = by_cell.iter().map(|c| c.0).collect();
    cells.dedup();
    let mut parent: Vec<u32> = (0..cells.len() as u32).collect();
    for (k, &cell) in cells.iter().enumerate() {
        for beside in around(cell) {
            if let Ok(j) = cells.binary_search(&beside) {
                unite(&mut parent, k as u32, j as u32);
            }
        }
    }
    let mut number = vec![u32::MAX; cells.len()];
    let mut out: Vec<Region> = Vec::new();
    for (k, of_cell) in by_cell.chunk_by(|a, b| a.0 == b.0).enumerate() {
        let lead = root(&mut parent, k as u32) as usize;
        if number[lead] == u32::MAX {
            number[lead] = out.len() as u32;
            let first = stretches[of_cell[0].1 as usize];
            out.push(Region {
                worst: first,
                area_mm2: 0.0,
                length_mm: 0.0,
                box_mm: [first.middle_mm; 2],
                cells: Vec::new(),
            });
        }
        let region = &mut out[number[lead] as usize];
        region.cells.push(of_cell[0].0);
        for &(_, s) in of_cell {
            region.add(&stretches[s as usize]);
        }
    }
    out
}

impl Region {
    fn add(&mut self, s: &Stretch) {
        if s.least_mm < self.worst.least_mm {
            self.worst = *s;
        }
        self.area_mm2 += s.area_mm2;
        self.length_mm += 0.5 * s.length_mm;
        for k in 0..2 {
            self.box_mm[0][k] = self.box_mm[0][k].min(s.middle_mm[k]);
            self.box_mm[1][k] = self.box_mm[1][k].max(s.middle_mm[k]);
        }
    }
}

/// Gives every region the area that opening takes there, in place of what lies nearest to its sides: with its ends and
/// corners, and without what a disc reaches from beside. What is taken from corners away from all regions is no one's.
pub fn assign(regions: &mut [Region], taken: &[Taken]) {
    let mut of_cell: Vec<(Cell, u32)> = Vec::new();
    for (k, region) in regions.iter_mut().enumerate() {
        region.area_mm2 = 0.0;
        of_cell.extend(region.cells.iter().map(|&c| (c, k as u32)));
    }
    of_cell.sort_unstable();
    let region_of = |cell: Cell| {
        let at = of_cell.binary_search_by(|e| e.0.cmp(&cell)).ok()?;
        Some(of_cell[at].1)
    };
    for t in taken {
        let own = cell_of(t.middle_mm);
        let region = region_of(own).or_else(|| around(own).find_map(region_of));
        if let Some(k) = region {
            regions[k as usize].area_mm2 += t.area_mm2;
        }
    }
}

/// The leader of a set; paths are halved on the way.
pub fn root(parent: &mut [u32], mut at: u32) -> u32 {
    while parent[at as usize] != at {
        let up = parent[parent[at as usize] as usize];
        parent[at as usize] = up;
        at = up;
    }
    at
}

/// Makes two sets one; the earlier member leads.
pub fn unite(parent: &mut [u32], a: u32, b: u32) {
    let (a, b) = (root(parent, a), root(parent, b));
    parent[a.max(b) as usize] = a.min(b);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Contour;
    use crate::outline::{Outline, Side};
    use crate::width::Widths;

    // Analytic: a plate of 20 x 10 with two fins, 0.3 x 6 and 0.5 x 4 mm.
    #[test]
    fn two_fins_of_a_plate() {
        let points = vec![
            [0.0, 0.0],
            [20.0, 0.0],
            [20.0, 10.0],
            [15.5, 10.0],
            [15.5, 14.0],
            [15.0, 14.0],
            [15.0, 10.0],
            [5.3, 10.0],
            [5.3, 16.0],
            [5.0, 16.0],
            [5.0, 10.0],
            [0.0, 10.0],
        ];
        let plate = Contour {
            points,
            closed: true,
        };
        let outline = Outline::new(&[plate], Side::Material, 0.8);
        let mut found = Vec::new();
        Widths::default().narrower(&outline, 0.8, 0.25, |_, s| found.push(*s));
        let ask = |below_mm| Ask {
            below_mm,
            from_mm: 0.0,
            steepest: 0.5,
        };
        let lost = regions(&found, &ask(0.4));
        assert_eq!(lost.len(), 1);
        assert!((lost[0].worst.least_mm - 0.3).abs() < 1e-9);
        assert!(
            (lost[0].length_mm - 6.0).abs() < 0.3,
            "{}",
            lost[0].length_mm
        );
        assert!((lost[0].area_mm2 - 1.8).abs() < 0.1);
        let mut opened = lost.clone();
        assign(&mut opened, &crate::opening::taken(&outline, 0.4, 0.01));
        // All of the fin but what the last disc reaches into its root, a cap of 0.3 mm chord.
        let (r, half) = (0.2f64, 0.15f64);
        let deep = (r * r - half * half).sqrt();
        let cap = r * r * libm::asin(half / r) - half * deep;
        assert!(
            (opened[0].area_mm2 - (1.8 - cap)).abs() < 2e-3,
            "{}",
            opened[0].area_mm2
        );
        let thin = regions(&found, &ask(0.78));
        assert_eq!(thin.len(), 2);
        assert!((thin[1].length_mm - 4.0).abs() < 0.4);
        assert!(thin[1].box_mm[0][0] > 15.0 && thin[1].box_mm[1][0] < 15.5);
    }
}
