//! The table of the weld: points by their bits, open addressing, no iteration.

/// An empty slot.
pub(crate) const EMPTY: u32 = u32::MAX;

/// Open addressing over the bits of a point; a slot holds a number into the list of points.
pub(crate) struct Table {
    slots: Vec<u32>,
    shift: u32,
}

impl Table {
    /// Room for the vertices of a closed mesh (a sixth of its corners) at a load under one half; grows beyond.
    pub(crate) fn for_corners(corners: usize) -> Table {
        let slots = (corners / 3).next_power_of_two().max(16);
        Table {
            slots: vec![EMPTY; slots],
            shift: 64 - slots.trailing_zeros(),
        }
    }

    /// Where the search for a hash begins.
    #[inline]
    pub(crate) fn first_slot(&self, hash: u64) -> usize {
        (hash >> self.shift) as usize
    }

    /// What stands in a slot.
    #[inline]
    pub(crate) fn at(&self, slot: usize) -> u32 {
        self.slots[slot]
    }

    /// The number of the point `p`; a new one is pushed to `points`.
    #[inline]
    pub(crate) fn number(&mut self, points: &mut Vec<[f32; 3]>, p: [f32; 3]) -> u32 {
        let bits = p.map(f32::to_bits);
        self.number_from(self.first_slot(hash(bits)), points, p)
    }

    /// The same, with the slot where the search begins known.
    #[inline]
    pub(crate) fn number_from(
        &mut self,
        first_slot: usize,
        points: &mut Vec<[f32; 3]>,
        p: [f32; 3],
    ) -> u32 {
        let bits = p.map(f32::to_bits);
        let mask = self.slots.len() - 1;
        let mut slot = first_slot;
        loop {
            let id = self.slots[slot];
            if id == EMPTY {
                let new = points.len() as u32;
                self.slots[slot] = new;
                points.push(p);
                if points.len() * 5 > self.slots.len() * 3 {
                    self.grow(points);
                }
                return new;
            }
            if points[id as usize].map(f32::to_bits) == bits {
                return id;
            }
            slot = (slot + 1) & mask;
        }
    }

    #[cold]
    fn grow(&mut self, points: &[[f32; 3]]) {
        let slots = self.slots.len() * 2;
        self.slots = vec![EMPTY; slots];
        self.shift -= 1;
        for (id, p) in points.iter().enumerate() {
            let mut slot = self.first_slot(hash(p.map(f32::to_bits)));
            while self.slots[slot] != EMPTY {
                slot = (slot + 1) & (slots - 1);
            }
            self.slots[slot] = id as u32;
        }
    }
}

/// Multiply and fold twice (the finaliser pattern of 64-bit mixers): the high bits choose the slot, the lowest the
/// half of the table.
#[inline]
pub(crate) fn hash(bits: [u32; 3]) -> u64 {
    let low = u64::from(bits[0]) | (u64::from(bits[1]) << 32);
    let mut h = (low ^ 0x9e37_79b9_7f4a_7c15).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    h ^= h >> 29;
    h = (h ^ (u64::from(bits[2]) << 16)).wrapping_mul(0x94d0_49bb_1331_11eb);
    h ^ (h >> 32)
}
