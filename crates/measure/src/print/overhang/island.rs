//! Pieces of a layer that begin in the air, followed until they are joined to what stands on the plate.

use layers::Raster;
use layers::raster::{Components, Joined, Run, components};

/// The eight around a pixel lie nearer than this many of its sides.
const AROUND_PIXELS: f64 = 1.5;

/// An island, in the print pose.
#[derive(Debug, Clone)]
pub(super) struct Begun {
    /// The layer it begins in.
    pub layer: usize,
    /// A place in it.
    pub at: [f64; 2],
    /// Its largest area before it is joined, mm2.
    pub area_mm2: f64,
    /// The layer in which it is joined.
    pub joined: Option<usize>,
    /// Its pixels in the last layer, in order.
    runs: Vec<Run>,
    /// It ended, joined to nothing.
    ended: bool,
}

/// The islands of a part.
#[derive(Debug, Default)]
pub(super) struct Islands {
    /// One joined within so many layers is none.
    least: usize,
    open: Vec<Begun>,
    done: Vec<Begun>,
}

impl Islands {
    pub(super) fn new(least: usize) -> Islands {
        Islands {
            least,
            ..Islands::default()
        }
    }

    /// Takes layer `k` over the layer below: `hang` is what hangs of it and `new` what it adds.
    pub(super) fn step(
        &mut self,
        k: usize,
        hang: Option<&Raster>,
        new: &Raster,
        below: &Raster,
        here: &Raster,
    ) {
        if !self.open.is_empty() {
            self.follow(k, below, here);
        }
        let Some(hang) = hang else { return };
        let pieces = components(new, Joined::Eight);
        let hanging = pieces.shared_with(hang);
        let beside = below.dilated(AROUND_PIXELS * below.grid().pixel_mm);
        let touching = pieces.shared_with(&beside);
        for (i, piece) in pieces.list.iter().enumerate() {
            if hanging[i] == 0 || touching[i] > 0 {
                continue;
            }
            self.open.push(Begun {
                layer: k,
                at: piece.inside_mm,
                area_mm2: piece.area_mm2,
                joined: None,
                runs: own_runs(&pieces, |c| c == i),
                ended: false,
            });
        }
    }

    fn follow(&mut self, k: usize, below: &Raster, here: &Raster) {
        let mut ground = below.clone();
        let mut air = below.grid().blank();
        for run in self.open.iter().flat_map(|i| &i.runs) {
            air.set_run(run.row as usize, run.start as usize, run.end as usize);
        }
        ground.subtract(&air);
        let pieces = components(here, Joined::Eight);
        let grounded = pieces.shared_with(&ground);
        for island in &mut self.open {
            let over = overlapped(&pieces, &island.runs);
            if over.is_empty() {
                island.ended = true;
            } else if over.iter().any(|&c| grounded[c] > 0) {
                island.joined = Some(k);
            } else {
                let area_mm2: f64 = over.iter().map(|&c| pieces.list[c].area_mm2).sum();
                island.area_mm2 = island.area_mm2.max(area_mm2);
                island.runs = own_runs(&pieces, |c| over.binary_search(&c).is_ok());
            }
        }
        let least = self.least;
        for mut island in std::mem::take(&mut self.open) {
            let lived = k - island.layer;
            if !island.ended && island.joined.is_none() {
                self.open.push(island);
            } else if island.ended || lived > least {
                island.runs = Vec::new();
                self.done.push(island);
            }
        }
    }

    /// All islands, from the plate up.
    pub(super) fn finish(mut self) -> Vec<Begun> {
        self.done.append(&mut self.open);
        self.done.sort_by(|a, b| {
            let key = |i: &Begun| i.layer;
            key(a)
                .cmp(&key(b))
                .then(a.at[1].total_cmp(&b.at[1]))
                .then(a.at[0].total_cmp(&b.at[0]))
        });
        self.done
    }
}

fn own_runs(pieces: &Components, own: impl Fn(usize) -> bool) -> Vec<Run> {
    let runs = pieces.runs.iter().copied();
    runs.filter(|r| own(r.component as usize)).collect()
}

/// The pieces that lie over any of the runs, by number, ascending.
fn overlapped(pieces: &Components, runs: &[Run]) -> Vec<usize> {
    let mut out = Vec::new();
    for run in runs {
        let first = pieces
            .runs
            .partition_point(|r| (r.row, r.end) <= (run.row, run.start));
        for r in &pieces.runs[first..] {
            if r.row != run.row || r.start >= run.end {
                break;
            }
            out.push(r.component as usize);
        }
    }
    out.sort_unstable();
    out.dedup();
    out
}
