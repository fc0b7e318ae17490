//! The triangles of a binary STL. Own code, since stl_io's reader alone took more than a third of the whole
//! read stage; stl_io is its witness in the tests.

use std::sync::atomic::{AtomicBool, Ordering};

use super::{RECORD, unshared};

/// Records per piece of parallel work.
const CHUNK: usize = 16_384;

fn float(bytes: &[u8], at: usize) -> f32 {
    let mut four = [0; 4];
    four.copy_from_slice(&bytes[at..at + 4]);
    f32::from_le_bytes(four)
}

/// Reads whole records of 50 bytes: a normal (not used: it follows from the corners), three corners, and an
/// attribute of two bytes (not used). Three vertices per triangle, in the order of the file, with -0 made +0;
/// and whether all of them are finite. One pass, since memory is what this costs.
pub(super) fn decode(records: &[u8]) -> (Vec<[f32; 3]>, Vec<[u32; 3]>, bool) {
    let count = records.len() / RECORD;
    let mut vertices = vec![[0.0f32; 3]; 3 * count];
    // Set by any chunk, read after all of them: the order does not matter.
    let broken = AtomicBool::new(false);
    parallel::fill(&mut vertices, 3 * CHUNK, |first, slice| {
        let from = first / 3 * RECORD;
        let source = records[from..].chunks_exact(RECORD);
        // Zero times a finite number is zero; times any other it is not a number, and stays so in the sum.
        let mut witness = 0.0f32;
        for (corners, record) in slice.chunks_exact_mut(3).zip(source) {
            let record: &[u8] = &record[..RECORD];
            for (k, corner) in corners.iter_mut().enumerate() {
                let at = 12 + 12 * k;
                let p = [at, at + 4, at + 8].map(|at| float(record, at) + 0.0);
                witness += p[0] * 0.0 + p[1] * 0.0 + p[2] * 0.0;
                *corner = p;
            }
        }
        if witness.is_nan() {
            broken.store(true, Ordering::Relaxed);
        }
    });
    (vertices, unshared(count), !broken.into_inner())
}
