//! The layers of one height from the plate up: what hangs on each, and from what.

use layers::raster::{Fill, Filler, Joined, components, touched_by, unsupported};
use layers::{Grid, Layer, Raster, Stack};

use super::island::Islands;
use super::region::{Regions, Stretch, Under};
use super::steep::{Added, Lines, Steep};
use super::trapped::Voxels;
use super::{Asks, Overhangs, fold};
use crate::print::{Height, Unmeasured};

/// Pixels by which a layer may reach further than its facets say: middles against outlines, both ways.
const ROUNDING_PIXELS: f64 = 1.5;
/// Nearer than this share of a pixel's side are the eight around it.
const AROUND_PIXELS: f64 = 1.5;

/// What is remembered of a column of pixels.
#[derive(Clone, Copy, Default)]
struct Column {
    /// Layers up to the last material that ended; 0 where none did.
    top: u32,
    /// The layer at which it last hung; 0 for never, since nothing hangs at the plate.
    hung: u32,
    /// The region it then belonged to.
    region: u32,
}

struct Pass<'s> {
    stack: &'s Stack<'s>,
    asks: &'s Asks,
    grid: Grid,
    steep: Steep,
    columns: Vec<Column>,
    regions: Regions,
    islands: Islands,
    voxels: Voxels,
    /// How far a layer may reach beyond the one below, mm.
    allowed_mm: f64,
    /// Further than this lines lie loosely, mm.
    loose_mm: f64,
    /// Further than this they lie in the air, mm.
    air_mm: f64,
    /// What hangs by fewer layers comes down on what is under it.
    sag_layers: u32,
    /// Lines in the air fall far from so many layers on.
    drop_layers: u32,
    /// A region goes on while it grew within so many layers.
    memory: usize,
    found: fold::Found,
}

/// Measures what hangs at one layer height, one layer held at a time.
///
/// # Errors
/// [`Unmeasured::NoGrid`] where no grid of pixels covers the part.
pub fn measure(stack: &Stack, height: &Height, asks: &Asks) -> Result<Overhangs, Unmeasured> {
    let tangent = libm::tan((asks.allowed_deg + asks.slack_deg).min(89.0).to_radians());
    let step_mm = height.layer_mm * tangent;
    let held_mm = asks.held_lines * height.bead_mm;
    let grid = grid(stack, step_mm.max(held_mm).max(asks.way_out_mm), asks)?;
    let rounding_mm = ROUNDING_PIXELS * grid.pixel_mm;
    // At least the layer above the plate: a part stands on its first.
    let layers = |lines: f64| ((lines * height.bead_mm / height.layer_mm).ceil() as u32).max(2);
    let mut pass = Pass {
        stack,
        asks,
        grid,
        steep: Steep::of(stack, height, asks),
        columns: vec![Column::default(); grid.width * grid.height],
        regions: Regions::default(),
        islands: Islands::new(asks.island_layers),
        voxels: Voxels::new(&grid, stack.posed().height_mm, asks.way_out_mm),
        allowed_mm: step_mm + rounding_mm,
        loose_mm: step_mm.max(asks.loose_lines * height.bead_mm) + rounding_mm,
        air_mm: step_mm.max(held_mm) + rounding_mm,
        sag_layers: layers(asks.sag_lines),
        drop_layers: layers(asks.drop_lines),
        memory: (grid.pixel_mm / step_mm).ceil().min(1e3) as usize + 1,
        found: fold::Found::default(),
    };
    let mut filler = Filler::default();
    let mut below = grid.blank();
    for layer in stack.run(0..stack.count()) {
        let here = filled(&mut filler, &grid, &layer);
        if layer.index > 0 {
            pass.step(layer.index, &below, &here);
        }
        pass.voxels.add(layer.z_mm, &here);
        below = here;
    }
    Ok(pass.finish())
}

fn filled(filler: &mut Filler, grid: &Grid, layer: &Layer) -> Raster {
    filler.gather(grid, &layer.contours);
    filler.fill(Fill::Positive)
}

/// Pixels over the part's outline; larger ones where there would be too many.
fn grid(stack: &Stack, border_mm: f64, asks: &Asks) -> Result<Grid, Unmeasured> {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for p in &stack.posed().points {
        for k in 0..2 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    let across = |k: usize| high[k] - low[k] + 2.0 * border_mm;
    let pixel_mm = asks
        .pixel_mm
        .max((across(0) * across(1) / asks.most_pixels).sqrt());
    Grid::covering(low, high, pixel_mm, border_mm).map_err(|_| Unmeasured::NoGrid)
}

impl Pass<'_> {
    /// Takes layer `k`, not the first.
    fn step(&mut self, k: usize, below: &Raster, here: &Raster) {
        // Where material ended with the layer below.
        let width = self.grid.width;
        below.without(here).runs(|row, start, end| {
            for column in &mut self.columns[row * width + start..row * width + end] {
                column.top = k as u32;
            }
        });
        let new = here.without(below);
        let added = if new.is_empty() {
            None
        } else {
            self.hanging(k, &new, below)
        };
        if let Some(added) = &added {
            self.file(k, added, below, here);
        }
        let hang = added.as_ref().map(|a| &a.steep);
        self.islands.step(k, hang, &new, below, here);
        for region in self.regions.ended(k, self.memory) {
            self.found.take(region, self.stack, &self.grid, self.asks);
        }
    }

    /// What of a layer's new pixels hangs, and how; `None` where nothing does.
    fn hanging(&mut self, k: usize, new: &Raster, below: &Raster) -> Option<Added> {
        let blank = || self.grid.blank();
        let mut added = match self.steep.added(&self.grid, self.stack, k) {
            Some(mut added) => {
                for raster in [&mut added.steep, &mut added.loose, &mut added.air] {
                    raster.intersect(new);
                }
                added
            }
            None => Added {
                steep: blank(),
                loose: blank(),
                air: blank(),
            },
        };
        let rest = new.without(&added.steep);
        if !rest.is_empty() {
            let far = unsupported(&rest, below, self.allowed_mm);
            if !far.is_empty() {
                added.air.unite(&unsupported(&far, below, self.air_mm));
                added.loose.unite(&unsupported(&far, below, self.loose_mm));
                added.steep.unite(&far);
            }
        }
        if added.steep.is_empty() {
            return None;
        }
        // What hangs a little above the plate or the part comes down on it; a little higher, it does not fall far.
        let (mut low, mut lowish) = (self.grid.blank(), self.grid.blank());
        let width = self.grid.width;
        added.steep.runs(|row, start, end| {
            for (i, column) in (start..).zip(&self.columns[row * width + start..row * width + end])
            {
                let gap = k as u32 - column.top;
                if gap < self.drop_layers {
                    lowish.set_run(row, i, i + 1);
                    if gap < self.sag_layers {
                        low.set_run(row, i, i + 1);
                    }
                }
            }
        });
        for raster in [&mut added.steep, &mut added.loose, &mut added.air] {
            raster.subtract(&low);
        }
        added.air.subtract(&lowish);
        (!added.steep.is_empty()).then_some(added)
    }

    /// Adds what hangs to the regions, joined with those it goes on from.
    fn file(&mut self, k: usize, added: &Added, below: &Raster, here: &Raster) {
        let hang = &added.steep;
        let lines = |x: usize, row: usize| match () {
            () if added.air.get(x, row) => Lines::Air,
            () if added.loose.get(x, row) => Lines::Loose,
            () => Lines::Held,
        };
        let mut held = self.own_feet(k, hang, below, here);
        held.unite(below);
        let rim = held
            .dilated(AROUND_PIXELS * self.grid.pixel_mm)
            .shared(hang);
        let pieces = components(hang, Joined::Eight);
        let first = self.regions.begin(pieces.list.len(), k);
        let (width, stride) = (self.grid.width, self.voxels.stride());
        for run in &pieces.runs {
            let id = first + run.component;
            let (row, start, end) = (run.row as usize, run.start as usize, run.end as usize);
            let region = self.regions.get(id);
            let mut from = start;
            while from < end {
                let how = lines(from, row);
                let to = (from + 1..end).find(|&i| lines(i, row) != how);
                let to = to.unwrap_or(end);
                region.stretches.push(Stretch {
                    row: run.row,
                    start: from as u32,
                    end: to as u32,
                    layer: k as u32,
                    lines: how,
                });
                from = to;
            }
            for i in start..end {
                let column = &self.columns[row * width + i];
                region.pixels += 1;
                region.column_layers += k as u64 - u64::from(column.top);
                if column.top > 0 {
                    region.landing += 1;
                    if i % stride == stride / 2 && row % stride == stride / 2 {
                        region.under.push(Under {
                            at: [i as u32, run.row],
                            from: column.top,
                            to: k as u32,
                        });
                    }
                }
            }
            for i in (start..end).filter(|&i| rim.get(i, row)) {
                for (x, y) in around(i, row) {
                    if !held.get(x, y) {
                        continue;
                    }
                    let column = self.columns[y * width + x];
                    if self.goes_on(k, column) {
                        self.regions.unite(id, column.region);
                    } else {
                        self.regions.get(id).held.push([x as u32, y as u32]);
                    }
                }
            }
        }
        for run in &pieces.runs {
            let from = run.row as usize * width;
            for column in &mut self.columns[from + run.start as usize..from + run.end as usize] {
                column.hung = k as u32;
                column.region = first + run.component;
            }
        }
    }

    /// What a layer adds that does not hang and goes out from what does not hang either: the rim of a region that
    /// gets less steep goes out from the region, and does not hold it.
    fn own_feet(&self, k: usize, hang: &Raster, below: &Raster, here: &Raster) -> Raster {
        let mut rest = here.without(below);
        rest.subtract(hang);
        if rest.is_empty() {
            return rest;
        }
        let beside = rest
            .dilated(AROUND_PIXELS * self.grid.pixel_mm)
            .shared(below);
        let mut ground = beside.clone();
        let width = self.grid.width;
        beside.runs(|row, start, end| {
            for i in start..end {
                if self.goes_on(k, self.columns[row * width + i]) {
                    ground.set(i, row, false);
                }
            }
        });
        let near = ground.dilated(AROUND_PIXELS * self.grid.pixel_mm);
        touched_by(&rest, &near, Joined::Eight)
    }

    /// Whether a column belongs to a region that may go on in layer `k`.
    fn goes_on(&self, k: usize, column: Column) -> bool {
        column.hung > 0 && k - column.hung as usize <= self.memory
    }

    fn finish(mut self) -> Overhangs {
        for region in self.regions.ended(usize::MAX, self.memory) {
            self.found.take(region, self.stack, &self.grid, self.asks);
        }
        let islands = self.islands.finish();
        self.found
            .finish(self.stack, &self.grid, self.asks, &islands, self.voxels)
    }
}

/// The eight pixels around one; the grid's empty border keeps them within it.
fn around(x: usize, y: usize) -> impl Iterator<Item = (usize, usize)> {
    const STEPS: [(usize, usize); 8] = [
        (0, 0),
        (1, 0),
        (2, 0),
        (0, 1),
        (2, 1),
        (0, 2),
        (1, 2),
        (2, 2),
    ];
    STEPS.iter().map(move |&(i, j)| (x + i - 1, y + j - 1))
}
