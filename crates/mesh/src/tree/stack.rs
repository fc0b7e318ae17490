//! The list of subtrees still to be visited: in place for every sound tree, on the heap beyond.

/// What is on the stack: a lower bound and a child.
pub(super) type Entry = (f32, u32);

const IN_PLACE: usize = 64;

/// A stack whose first entries need no allocation.
pub(super) struct Stack {
    place: [Entry; IN_PLACE],
    len: usize,
    beyond: Vec<Entry>,
}

impl Stack {
    #[inline]
    pub fn new() -> Stack {
        Stack {
            place: [(0.0, 0); IN_PLACE],
            len: 0,
            beyond: Vec::new(),
        }
    }

    #[inline]
    pub fn push(&mut self, entry: Entry) {
        if self.len < IN_PLACE {
            self.place[self.len] = entry;
            self.len += 1;
        } else {
            self.beyond.push(entry);
        }
    }

    #[inline]
    pub fn pop(&mut self) -> Option<Entry> {
        if let Some(entry) = self.beyond.pop() {
            return Some(entry);
        }
        self.len = self.len.checked_sub(1)?;
        Some(self.place[self.len])
    }

    /// Pushes the children of `mask`, the one with the least bound on top.
    #[inline]
    pub fn push_nearest_last(&mut self, mask: u32, bound: &[f32; 8], child: &[u32; 8]) {
        if mask.is_power_of_two() {
            let lane = mask.trailing_zeros() as usize & 7;
            self.push((bound[lane], child[lane]));
            return;
        }
        let mut found: [Entry; 8] = [(0.0, 0); 8];
        let mut count = 0;
        let mut left = mask;
        while left != 0 {
            let lane = left.trailing_zeros() as usize & 7;
            left &= left - 1;
            let entry = (bound[lane], child[lane]);
            let mut at = count;
            while at > 0 && found[at - 1].0 < entry.0 {
                found[at] = found[at - 1];
                at -= 1;
            }
            found[at] = entry;
            count += 1;
        }
        for entry in &found[..count] {
            self.push(*entry);
        }
    }
}

/// One bit a lane.
#[inline(always)]
pub(super) fn mask_of(lanes: &[bool; 8]) -> u32 {
    let mut mask = 0;
    for (lane, &set) in lanes.iter().enumerate() {
        mask |= u32::from(set) << lane;
    }
    mask
}
