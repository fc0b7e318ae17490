//! Regions that hang, followed from layer to layer: union-find over the pieces of the layers, each region handed
//! out once it no longer grows.

use super::steep::Lines;

/// Pixels of one row and one layer that hang, from `start` up to, not with, `end`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    pub row: u32,
    pub start: u32,
    pub end: u32,
    pub layer: u32,
    pub lines: Lines,
}

/// A column of support that stands on the part, in layers.
#[derive(Debug, Clone, Copy)]
pub(super) struct Under {
    /// Column and row of the pixel.
    pub at: [u32; 2],
    /// The layers of material under it end here.
    pub from: u32,
    /// The layer that hangs over it.
    pub to: u32,
}

/// A region that hangs.
#[derive(Debug, Default)]
pub(super) struct Region {
    /// Pixels, projected.
    pub pixels: u64,
    /// Layers under them down to the part or to the plate, summed.
    pub column_layers: u64,
    /// Pixels whose column ends on the part.
    pub landing: u64,
    /// Its pixels.
    pub stretches: Vec<Stretch>,
    /// Pixels beside it that hold it.
    pub held: Vec<[u32; 2]>,
    /// Samples of the columns that stand on the part, one of `Voxels::stride` squared.
    pub under: Vec<Under>,
    last: usize,
}

/// All regions; those that still grow are held.
#[derive(Debug, Default)]
pub(super) struct Regions {
    parent: Vec<u32>,
    regions: Vec<Option<Box<Region>>>,
    growing: Vec<u32>,
}

impl Regions {
    /// Begins regions at a layer; returns the id of the first.
    pub(super) fn begin(&mut self, count: usize, layer: usize) -> u32 {
        let first = self.parent.len() as u32;
        for id in first..first + count as u32 {
            self.parent.push(id);
            self.regions.push(Some(Box::new(Region {
                last: layer,
                ..Region::default()
            })));
            self.growing.push(id);
        }
        first
    }

    fn root(&mut self, mut id: u32) -> u32 {
        while self.parent[id as usize] != id {
            let up = self.parent[self.parent[id as usize] as usize];
            self.parent[id as usize] = up;
            id = up;
        }
        id
    }

    /// The region of an id that still grows.
    pub(super) fn get(&mut self, id: u32) -> &mut Region {
        let root = self.root(id) as usize;
        self.regions[root]
            .as_mut()
            .expect("a region that is asked for still grows")
    }

    /// Joins a region that grows with an earlier one; nothing happens where that has ended.
    pub(super) fn unite(&mut self, now: u32, before: u32) {
        let (a, b) = (self.root(now), self.root(before));
        if a == b || self.regions[b as usize].is_none() {
            return;
        }
        let (keep, drop) = (a.min(b), a.max(b));
        let other = self.regions[drop as usize].take();
        self.parent[drop as usize] = keep;
        let (Some(other), Some(own)) = (other, self.regions[keep as usize].as_mut()) else {
            return;
        };
        own.pixels += other.pixels;
        own.column_layers += other.column_layers;
        own.landing += other.landing;
        own.last = own.last.max(other.last);
        append(&mut own.stretches, other.stretches);
        append(&mut own.held, other.held);
        append(&mut own.under, other.under);
    }

    /// The regions that did not grow within the last `memory` layers up to layer `k`, by id.
    pub(super) fn ended(&mut self, k: usize, memory: usize) -> Vec<Region> {
        let mut out = Vec::new();
        let regions = &mut self.regions;
        self.growing.retain(|&id| {
            let place = &mut regions[id as usize];
            match place {
                None => false,
                Some(r) if r.last.saturating_add(memory) >= k => true,
                Some(_) => {
                    out.extend(place.take().map(|r| *r));
                    false
                }
            }
        });
        out
    }
}

/// Appends the shorter to the longer: the order of what a region holds means nothing.
fn append<T>(own: &mut Vec<T>, mut other: Vec<T>) {
    if other.len() > own.len() {
        std::mem::swap(own, &mut other);
    }
    own.append(&mut other);
}
