//! The only crate that calls rayon: ordered maps, sums over fixed chunks, a panic caught per item.
//!
//! Guarantee: every result is the same with any number of threads. Work is split by index, never by
//! what happens to be free; results come back in the order of the input; sums add fixed chunks in order.
//! It must not know what the work is about.

use std::any::Any;
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};

use rayon::prelude::*;

/// What a piece of work died of, in the words of its panic.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Panicked(pub String);

impl std::fmt::Display for Panicked {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl std::error::Error for Panicked {}

fn words(payload: &(dyn Any + Send)) -> Panicked {
    let text = payload
        .downcast_ref::<&str>()
        .map(|s| (*s).to_string())
        .or_else(|| payload.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "a panic without words".to_string());
    Panicked(text)
}

/// Runs `work` and turns a panic into an error, so that one part cannot take the others down.
///
/// # Errors
/// [`Panicked`] with the words of the panic.
pub fn caught<R>(work: impl FnOnce() -> R) -> Result<R, Panicked> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|payload| words(payload.as_ref()))
}

/// Maps every item in parallel; the results stand in the order of the items.
pub fn map<T: Sync, R: Send>(items: &[T], work: impl Fn(usize, &T) -> R + Sync) -> Vec<R> {
    items
        .par_iter()
        .enumerate()
        .with_max_len(1)
        .map(|(i, item)| work(i, item))
        .collect()
}

/// Like [`map`], with a panic caught per item: the other items are still finished.
pub fn map_caught<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(usize, &T) -> R + Sync,
) -> Vec<Result<R, Panicked>> {
    map(items, |i, item| caught(|| work(i, item)))
}

/// Like [`map_caught`], taking the items: each is freed as soon as its work is done.
pub fn map_owned<T: Send, R: Send>(
    items: Vec<T>,
    work: impl Fn(usize, T) -> R + Sync,
) -> Vec<Result<R, Panicked>> {
    items
        .into_par_iter()
        .enumerate()
        .with_max_len(1)
        .map(|(i, item)| caught(|| work(i, item)))
        .collect()
}

/// Splits `0..len` into chunks of `chunk` (the last may be shorter) and maps each; results in order.
/// The split depends on `len` and `chunk` only.
pub fn chunks<R: Send>(
    len: usize,
    chunk: usize,
    work: impl Fn(Range<usize>) -> R + Sync,
) -> Vec<R> {
    let chunk = chunk.max(1);
    (0..len.div_ceil(chunk))
        .into_par_iter()
        .map(|k| work(k * chunk..((k + 1) * chunk).min(len)))
        .collect()
}

/// Sums `work` over fixed chunks of `0..len`, in order: the same bits with any number of threads.
pub fn sum(len: usize, chunk: usize, work: impl Fn(Range<usize>) -> f64 + Sync) -> f64 {
    chunks(len, chunk, work).into_iter().sum()
}

/// Fills `out` in parallel by fixed chunks: `work(first_index, slice)`.
pub fn fill<T: Send>(out: &mut [T], chunk: usize, work: impl Fn(usize, &mut [T]) + Sync) {
    let chunk = chunk.max(1);
    // One unit per chunk, so that no result passes between threads.
    let _: Vec<()> = out
        .par_chunks_mut(chunk)
        .enumerate()
        .map(|(k, slice)| work(k * chunk, slice))
        .collect();
}

/// Runs two pieces of work, in parallel where a thread is free.
pub fn join<A: Send, B: Send>(
    a: impl FnOnce() -> A + Send,
    b: impl FnOnce() -> B + Send,
) -> (A, B) {
    rayon::join(a, b)
}

/// Sorts by a key, stable and in parallel; the order is the same with any number of threads.
pub fn sort_by_key<T: Send, K: Ord>(items: &mut [T], key: impl Fn(&T) -> K + Sync) {
    items.par_sort_by_key(|item| key(item));
}

/// How many threads the work runs on here.
pub fn threads() -> usize {
    rayon::current_num_threads()
}

/// Runs `work` in a pool of exactly `count` threads (0: as many as the machine offers).
///
/// # Errors
/// The words of the operating system when the threads cannot be started.
pub fn with_threads<R: Send>(count: usize, work: impl FnOnce() -> R + Send) -> Result<R, String> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(count)
        .stack_size(16 << 20)
        .build()
        .map(|pool| pool.install(work))
        .map_err(|e| e.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_have_the_same_bits_with_any_number_of_threads() {
        let value = |i: usize| 1.0 / (i as f64 + 0.1);
        let once = |threads| {
            with_threads(threads, || {
                sum(100_003, 1000, |r| r.map(value).sum::<f64>())
            })
            .expect("threads start")
        };
        let one = once(1);
        assert_eq!(one.to_bits(), once(2).to_bits());
        assert_eq!(one.to_bits(), once(8).to_bits());
    }

    #[test]
    fn one_panic_leaves_the_others_done() {
        let got = map_caught(&[1, 2, 3], |_, &x| {
            assert!(x != 2, "two is bad");
            x * 10
        });
        assert_eq!(got[0], Ok(10));
        assert_eq!(got[1], Err(Panicked("two is bad".into())));
        assert_eq!(got[2], Ok(30));
    }

    #[test]
    fn chunks_cover_everything_once_and_in_order() {
        let got: Vec<usize> = chunks(10, 3, |r| r.collect::<Vec<_>>())
            .into_iter()
            .flatten()
            .collect();
        assert_eq!(got, (0..10).collect::<Vec<_>>());
        assert!(chunks(0, 3, |r| r.len()).is_empty());
    }
}
