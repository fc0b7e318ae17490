//! From regions that ended to what is known of the part: what counts, how far it reaches, what carries it.

use layers::{Grid, Stack};
use mesh::vector::Vec3;

use super::bridge;
use super::island::Begun;
use super::patch::{NEVER, Patch};
use super::region::{Region, Under};
use super::trapped::Voxels;
use super::{Asks, Bridge, Island, Overhang, Overhangs, Trapped};
use crate::hull2::convex_hull;

/// Places of a kind that are kept.
const MOST: usize = 100;
/// Corners of an outline that are kept.
const MOST_CORNERS: usize = 48;

/// What the ended regions say together.
#[derive(Default)]
pub(super) struct Found {
    pixels: u64,
    column_layers: u64,
    landing: u64,
    overhangs: Vec<Overhang>,
    bridges: Vec<Bridge>,
    /// The samples of support that stands on the part, region by region.
    under: Vec<Standing>,
    /// The most pixels of one region that stands on the part, with a place there.
    landing_most: Option<(u64, Under)>,
}

/// Support of one region that stands on the part.
struct Standing {
    columns: Vec<Under>,
    air_mm: f64,
    span_mm: f64,
}

/// What of a piece in the air is held on one side only.
struct Loose {
    /// How far it reaches from what holds it, mm.
    reach_mm: f64,
    /// The cell that does.
    at: usize,
    cells: usize,
}

/// A place of a layer's lower side in the mesh's own frame.
fn place(stack: &Stack, at: [f64; 2], layer: usize) -> Vec3 {
    stack
        .posed()
        .to_mesh([at[0], at[1], layer as f64 * stack.layer_mm()])
}

impl Found {
    /// Takes a region that ended; what is too small to count leaves nothing.
    pub(super) fn take(&mut self, region: Region, stack: &Stack, grid: &Grid, asks: &Asks) {
        let area_mm2 = region.pixels as f64 * grid.pixel_mm2();
        if area_mm2 < asks.area_mm2 {
            return;
        }
        let patch = Patch::of(&region, grid);
        let island = region.held.is_empty();
        let (reach_mm, reach_at) = reach(&patch, &region, island);
        if reach_mm < asks.reach_mm {
            return;
        }
        let (mut air_mm, mut air_mm2, mut at) = (0.0, 0.0, reach_at);
        let bridges = self.bridges.len();
        for piece in patch.air_pieces() {
            let Some(loose) = self.hang(&patch, &piece, stack, asks) else {
                continue;
            };
            if loose.reach_mm > asks.reach_mm {
                air_mm2 += loose.cells as f64 * patch.cell_mm * patch.cell_mm;
            }
            if loose.reach_mm > air_mm {
                (air_mm, at) = (loose.reach_mm, loose.at);
            }
        }
        let spans = self.bridges[bridges..].iter().map(|b| b.span_mm);
        let span_mm = spans.fold(0.0, f64::max);
        let steep_mm = (0..patch.width * patch.height)
            .filter(|&c| patch.hangs(c) && !patch.in_the_air(c))
            .filter_map(|c| patch.far_mm(c))
            .fold(0.0, f64::max);
        let layer = patch.layer(at) as usize;
        self.overhangs.push(Overhang {
            at: place(stack, patch.middle(at), layer),
            height_mm: layer as f64 * stack.layer_mm(),
            reach_mm,
            air_mm,
            air_mm2,
            steep_mm,
            loose_mm2: patch.loose_mm2(),
            span_mm,
            area_mm2,
            landing_mm2: region.landing as f64 * grid.pixel_mm2(),
            island,
            outline: outline(&patch, &region, stack, grid, layer),
        });
        self.pixels += region.pixels;
        self.column_layers += region.column_layers;
        self.landing += region.landing;
        if let Some(&under) = region.under.get(region.under.len() / 2)
            && self
                .landing_most
                .as_ref()
                .is_none_or(|(most, _)| region.landing > *most)
        {
            self.landing_most = Some((region.landing, under));
        }
        if !region.under.is_empty() {
            self.under.push(Standing {
                columns: region.under,
                air_mm,
                span_mm,
            });
        }
    }

    /// Takes one piece in the air: files its bridge, and returns what of it no bridge carries.
    fn hang(
        &mut self,
        patch: &Patch,
        piece: &[usize],
        stack: &Stack,
        asks: &Asks,
    ) -> Option<Loose> {
        let farthest = |far: &[u32]| {
            let cells = piece.iter().copied().filter(|&c| far[c] != NEVER);
            cells.max_by_key(|&c| (far[c], std::cmp::Reverse(c)))
        };
        let plain = patch.in_air(piece, |_| false);
        let Some(tip) = farthest(&plain) else {
            // Nothing holds it at all.
            let (reach_mm, at) = across(patch, piece);
            return (!piece.is_empty()).then_some(Loose {
                reach_mm,
                at,
                cells: piece.len(),
            });
        };
        let whole = Loose {
            reach_mm: patch.mm(plain[tip]),
            at: tip,
            cells: piece.len(),
        };
        if whole.reach_mm < asks.reach_mm {
            return Some(whole);
        }
        let spans = bridge::spans(patch, piece);
        let cell_mm2 = patch.cell_mm * patch.cell_mm;
        let Some(b) = spans
            .bridge()
            .filter(|b| b.cells as f64 * cell_mm2 >= asks.area_mm2)
        else {
            return Some(whole);
        };
        let cell = piece[b.at];
        let span_mm = b.span * patch.cell_mm;
        let (c, s) = (libm::cos(b.direction), libm::sin(b.direction));
        let layer = patch.layer(cell) as usize;
        let ends = ends(patch, piece, cell, [c, s]);
        let [from, to] = ends.map(|p| place(stack, p, layer));
        let middle = [0, 1].map(|k| 0.5 * (ends[0][k] + ends[1][k]));
        self.bridges.push(Bridge {
            at: place(stack, middle, layer),
            height_mm: layer as f64 * stack.layer_mm(),
            span_mm,
            ends: [from, to],
            along: {
                let turn = stack.posed().turn();
                [0, 1, 2].map(|k| turn[0][k] * c + turn[1][k] * s)
            },
            area_mm2: b.cells as f64 * cell_mm2,
        });
        let mut carried = vec![false; patch.width * patch.height];
        for (k, &cell) in piece.iter().enumerate() {
            carried[cell] = spans.carried(k);
        }
        let left = patch.in_air(piece, |c| carried[c]);
        farthest(&left).map(|tip| Loose {
            reach_mm: patch.mm(left[tip]),
            at: tip,
            cells: piece.len() - b.cells,
        })
    }

    /// Everything together, the worst first.
    pub(super) fn finish(
        mut self,
        stack: &Stack,
        grid: &Grid,
        asks: &Asks,
        islands: &[Begun],
        voxels: Voxels,
    ) -> Overhangs {
        let layer_mm = stack.layer_mm();
        let mut out = Overhangs {
            area_mm2: self.pixels as f64 * grid.pixel_mm2(),
            total: self.overhangs.len(),
            ..Overhangs::default()
        };
        self.overhangs.sort_by(|a, b| {
            let key = |o: &Overhang| (o.air_mm, o.reach_mm, o.area_mm2);
            let ((a1, a2, a3), (b1, b2, b3)) = (key(a), key(b));
            b1.total_cmp(&a1)
                .then(b2.total_cmp(&a2))
                .then(b3.total_cmp(&a3))
        });
        self.overhangs.truncate(MOST);
        out.places = self.overhangs;
        self.bridges.sort_by(|a, b| b.span_mm.total_cmp(&a.span_mm));
        self.bridges.truncate(MOST);
        out.bridges = self.bridges;
        out.islands = islands
            .iter()
            .filter(|i| i.area_mm2 >= asks.island_mm2)
            .take(MOST)
            .map(|i| Island {
                at: place(stack, i.at, i.layer),
                height_mm: i.layer as f64 * layer_mm,
                area_mm2: i.area_mm2,
                joined_mm: i.joined.map(|k| k as f64 * layer_mm),
            })
            .collect();
        let support = &mut out.support;
        support.contact_mm2 = out.area_mm2;
        support.landing_mm2 = self.landing as f64 * grid.pixel_mm2();
        support.volume_mm3 = self.column_layers as f64 * layer_mm * grid.pixel_mm2();
        let pixel = |at: [u32; 2]| grid.centre_mm(at[0] as usize, at[1] as usize);
        support.landing_at = self
            .landing_most
            .map(|(_, u)| place(stack, pixel(u.at), u.from as usize));
        if !self.under.is_empty() {
            let share = voxels.stride() * voxels.stride();
            let sample_mm2 = share as f64 * grid.pixel_mm2();
            let shut = voxels.shut();
            for region in &self.under {
                let (mut whole, mut known, mut volume) = (0.0, 0.0, 0.0);
                let mut deepest: Option<(f64, [f64; 2], f64)> = None;
                for u in &region.columns {
                    let [from, to] = [u.from, u.to].map(|l| f64::from(l) * layer_mm);
                    let long = (to - from) * sample_mm2;
                    whole += long;
                    let Some(share) = shut.share(u.at, from, to) else {
                        continue;
                    };
                    known += long;
                    let own = share * long;
                    volume += own;
                    if own > 0.0 && deepest.as_ref().is_none_or(|d| own > d.0) {
                        deepest = Some((own, pixel(u.at), 0.5 * (from + to)));
                    }
                }
                if let Some((_, at, z)) = deepest {
                    // Along walls a cell holds both: there it is as in the rest of the region.
                    let volume_mm3 = volume / known * whole;
                    support.trapped.push(Trapped {
                        at: stack.posed().to_mesh([at[0], at[1], z]),
                        height_mm: z,
                        volume_mm3,
                        air_mm: region.air_mm,
                        span_mm: region.span_mm,
                    });
                    support.trapped_mm3 += volume_mm3;
                }
            }
            support
                .trapped
                .sort_by(|a, b| b.volume_mm3.total_cmp(&a.volume_mm3));
            support.trapped.truncate(MOST);
        }
        out
    }
}

/// How far a region reaches from what holds it, and the cell that does; where nothing holds it, how long it is.
fn reach(patch: &Patch, region: &Region, island: bool) -> (f64, usize) {
    let cells: Vec<usize> = (0..patch.width * patch.height)
        .filter(|&c| patch.hangs(c))
        .collect();
    debug_assert!(!region.stretches.is_empty());
    if island {
        return across(patch, &cells);
    }
    let reached = cells.iter().filter_map(|&c| Some((patch.far_mm(c)?, c)));
    reached
        .reduce(|a, b| if b.0 > a.0 { b } else { a })
        .unwrap_or_else(|| across(patch, &cells))
}

/// The longer side of the box around cells, mm, and the middle one of them.
fn across(patch: &Patch, cells: &[usize]) -> (f64, usize) {
    let (mut low, mut high) = ([usize::MAX; 2], [0; 2]);
    for &c in cells {
        for (k, x) in [c % patch.width, c / patch.width].into_iter().enumerate() {
            low[k] = low[k].min(x);
            high[k] = high[k].max(x);
        }
    }
    let long = (0..2).map(|k| (high[k] + 1).saturating_sub(low[k])).max();
    (
        long.unwrap_or(0) as f64 * patch.cell_mm,
        cells.get(cells.len() / 2).copied().unwrap_or(0),
    )
}

/// The ends of the line through a cell, as far as the piece goes, mm.
fn ends(patch: &Patch, piece: &[usize], cell: usize, [c, s]: [f64; 2]) -> [[f64; 2]; 2] {
    let from = [(cell % patch.width) as f64, (cell / patch.width) as f64];
    let middle = patch.middle(cell);
    [-1.0, 1.0].map(|way: f64| {
        let mut long = 0.0;
        loop {
            let next = way * (long + 0.5);
            let at = patch.cell([from[0] + next * c, from[1] + next * s]);
            if at.is_none_or(|at| piece.binary_search(&at).is_err()) {
                break;
            }
            long += 0.5;
        }
        let far = way * long * patch.cell_mm;
        [middle[0] + far * c, middle[1] + far * s]
    })
}

/// The hull of a region's projection, at the height of its layer.
fn outline(patch: &Patch, region: &Region, stack: &Stack, grid: &Grid, layer: usize) -> Vec<Vec3> {
    // The first and the last pixel of each row are enough.
    let rows = patch.height;
    let mut ends: Vec<Option<[f64; 2]>> = vec![None; rows];
    let least = region.stretches.iter().map(|s| s.row).min().unwrap_or(0);
    let side = (patch.cell_mm / grid.pixel_mm).round().max(1.0) as u32;
    for s in &region.stretches {
        let row = ((s.row - least) / side) as usize;
        let [from, to] = [s.start, s.end].map(|x| grid.origin_mm[0] + grid.pixel_mm * f64::from(x));
        let end = ends[row].get_or_insert([from, to]);
        *end = [end[0].min(from), end[1].max(to)];
    }
    let mut points = Vec::new();
    for (row, end) in ends.iter().enumerate() {
        let Some([from, to]) = *end else { continue };
        let first = f64::from(least) + row as f64 * f64::from(side);
        for y in [first, first + f64::from(side)] {
            let y = grid.origin_mm[1] + grid.pixel_mm * y;
            points.extend([[from, y], [to, y]]);
        }
    }
    let hull = convex_hull(&points);
    let every = hull.len().div_ceil(MOST_CORNERS).max(1);
    hull.iter()
        .step_by(every)
        .map(|&p| place(stack, p, layer))
        .collect()
}
