//! How long work takes: medians of wall clock and of processor time. Shared by benchmarks, each of which uses a part.
#![allow(dead_code)]

use std::time::Instant;

/// Runs of each piece of work.
const RUNS: usize = 9;

/// Times of several runs, ms.
pub struct Times {
    pub median: f64,
    pub least: f64,
    /// Median of the processor time of all threads; 0 where the system does not tell.
    pub processor: f64,
}

impl Times {
    /// The times in words.
    pub fn words(&self) -> String {
        format!(
            "median {:7.1} ms  least {:7.1} ms  processor {:7.1} ms",
            self.median, self.least, self.processor
        )
    }

    /// Of work one after the other.
    pub fn plus(&self, other: &Times) -> Times {
        Times {
            median: self.median + other.median,
            least: self.least + other.least,
            processor: self.processor + other.processor,
        }
    }
}

/// Times of some work.
pub fn times(work: impl Fn()) -> Times {
    times_with(|| (), |()| work())
}

/// The set-up of a run is not counted.
pub fn times_with<T>(set_up: impl Fn() -> T, work: impl Fn(T)) -> Times {
    let (mut wall, mut processor) = (Vec::new(), Vec::new());
    for _ in 0..RUNS {
        let input = set_up();
        let (start, used) = (Instant::now(), processor_ms());
        work(input);
        wall.push(start.elapsed().as_secs_f64() * 1e3);
        processor.push(processor_ms() - used);
    }
    wall.sort_by(f64::total_cmp);
    processor.sort_by(f64::total_cmp);
    Times {
        median: wall[RUNS / 2],
        least: wall[0],
        processor: processor[RUNS / 2],
    }
}

/// Processor time of all threads so far, ms; 0 where the system does not tell.
fn processor_ms() -> f64 {
    let Ok(tasks) = std::fs::read_dir("/proc/self/task") else {
        return 0.0;
    };
    tasks
        .flatten()
        .filter_map(|task| std::fs::read_to_string(task.path().join("schedstat")).ok())
        .filter_map(|text| text.split(' ').next()?.parse::<f64>().ok())
        .sum::<f64>()
        / 1e6
}
