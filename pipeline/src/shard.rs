//! Shards: a kit shared out over several machines, part by part.

use std::str::FromStr;

/// At most so many: more machines than this are a mistake.
pub const MOST: usize = 1000;

/// One of the shards of a kit, written `K/N`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shard {
    /// Which, from 1.
    pub number: usize,
    /// Of how many.
    pub of: usize,
}

impl Shard {
    /// Whether the stages of the whole kit run in it.
    pub fn is_first(self) -> bool {
        self.number == 1
    }
}

impl FromStr for Shard {
    type Err = String;

    fn from_str(text: &str) -> Result<Shard, String> {
        let expected = || {
            format!("expected K/N, as in 1/3: a number from 1 to N, and N from 1 to {MOST} shards")
        };
        let (number, of) = text.split_once('/').ok_or_else(expected)?;
        let read = |digits: &str| digits.parse::<usize>().ok();
        let (number, of) = read(number).zip(read(of)).ok_or_else(expected)?;
        if number == 0 || number > of || of > MOST {
            return Err(expected());
        }
        Ok(Shard { number, of })
    }
}

impl std::fmt::Display for Shard {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}

/// The number of the shard, from 1, that each part goes to: parts by their triangles, the most first, ids breaking
/// ties, each to the shard that has the fewest so far, the lowest number breaking ties.
pub fn share(parts: &[(&str, u64)], shards: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|&a, &b| {
        let ((a_id, a_weight), (b_id, b_weight)) = (parts[a], parts[b]);
        b_weight.cmp(&a_weight).then(a_id.cmp(b_id))
    });
    let mut loads = vec![0u64; shards];
    let mut of = vec![0; parts.len()];
    for part in order {
        let lightest = (0..shards).min_by_key(|&k| loads[k]).unwrap_or(0);
        // A part without a readable mesh weighs something too, or all of them would go to one shard.
        loads[lightest] += parts[part].1.max(1);
        of[part] = lightest + 1;
    }
    of
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: 9 to the first, 7 to the second, 6 to the third; 4 joins 6, 3 joins 7, 2 joins 9.
    #[test]
    fn each_part_goes_to_the_lightest_shard() {
        let parts = [("f", 2), ("a", 9), ("e", 3), ("b", 7), ("d", 4), ("c", 6)];
        assert_eq!(share(&parts, 3), [1, 1, 2, 2, 3, 3]);
    }

    #[test]
    fn ids_break_ties_whatever_the_order() {
        let one = share(&[("a", 5), ("b", 5), ("c", 5)], 2);
        let other = share(&[("c", 5), ("b", 5), ("a", 5)], 2);
        assert_eq!(one, [1, 2, 1]);
        assert_eq!(other, [1, 2, 1]);
    }

    #[test]
    fn more_shards_than_parts_leave_some_empty() {
        assert_eq!(share(&[("a", 0), ("b", 0)], 5), [1, 2]);
        assert_eq!(share(&[], 2), [0usize; 0]);
    }

    #[test]
    fn what_is_written_is_read() {
        let read = |text: &str| text.parse::<Shard>().ok().map(|s| s.to_string());
        assert_eq!(read("2/3").as_deref(), Some("2/3"));
        for wrong in [
            "", "1", "0/3", "4/3", "1/0", "1/2/3", "a/b", "1/1001", "-1/2",
        ] {
            assert_eq!(read(wrong), None, "{wrong}");
        }
    }
}
