//! What the machine offers: how many triangles fit its memory.

use crate::disk;

/// Memory a triangle takes at the peak of a check, bytes; measured, with room to spare.
const BYTES_A_TRIANGLE: u64 = 400;
/// Where the machine does not say what it has.
const UNKNOWN_MEMORY: u64 = 4 << 30;
/// No part needs more: 3MF itself ends at 2^31 (core specification 1.4, clause 4.1.4).
const MOST_TRIANGLES: u64 = 1 << 28;

/// The most triangles a mesh may have here; larger ones are refused by count, before anything is allocated.
pub fn most_triangles() -> usize {
    let memory = available_bytes().unwrap_or(UNKNOWN_MEMORY);
    ((memory / BYTES_A_TRIANGLE).clamp(1 << 20, MOST_TRIANGLES)) as usize
}

/// Bytes this process may still take: the machine's free memory, or the limit of its control group where
/// that is less. Linux only; `None` elsewhere.
fn available_bytes() -> Option<u64> {
    let text = disk::read_system("/proc/meminfo")?;
    let free = text
        .lines()
        .find_map(|l| l.strip_prefix("MemAvailable:"))
        .and_then(|rest| rest.trim().strip_suffix("kB"))
        .and_then(|n| n.trim().parse::<u64>().ok())?
        * 1024;
    let group = disk::read_system("/sys/fs/cgroup/memory.max")
        .and_then(|t| t.trim().parse::<u64>().ok())
        .unwrap_or(u64::MAX);
    Some(free.min(group))
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_machine_takes_at_least_a_million() {
        assert!(super::most_triangles() >= 1 << 20);
    }
}
