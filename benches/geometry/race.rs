//! Paired timing: contenders run in turns, and their processor times are compared round by round.

use std::hint::black_box;

/// Rounds go on until this much time (ms) went into them.
const ENOUGH: f64 = 1_500.0;

/// At least and at most so many rounds.
const ROUNDS: std::ops::RangeInclusive<usize> = 3..=25;

/// What a race of two showed.
#[derive(Clone, Copy)]
pub struct Outcome {
    /// The median, over the rounds, of our time over theirs.
    pub ratio: f64,
    /// Our median time in ms.
    pub ours: f64,
}

/// Processor time of this process, all threads, in ms.
#[cfg(target_os = "linux")]
pub fn processor_time() -> f64 {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ProcessCPUTime);
    time.tv_sec as f64 * 1e3 + time.tv_nsec as f64 / 1e6
}

/// Where the processor time cannot be had, the time since the first call, in ms.
#[cfg(not(target_os = "linux"))]
pub fn processor_time() -> f64 {
    static START: std::sync::OnceLock<std::time::Instant> = std::sync::OnceLock::new();
    START.get_or_init(std::time::Instant::now).elapsed().as_secs_f64() * 1e3
}

fn timed<T>(work: impl FnOnce() -> T) -> f64 {
    let start = processor_time();
    black_box(work());
    processor_time() - start
}

/// Runs both sides in turns, who is first by turns too.
pub fn race<A, B>(ours: impl Fn() -> A, theirs: impl Fn() -> B) -> Outcome {
    let (mut times, mut ratios, mut spent) = (Vec::new(), Vec::new(), 0.0);
    while times.len() < *ROUNDS.start() || (times.len() < *ROUNDS.end() && spent < ENOUGH) {
        let (mine, other) = if times.len() % 2 == 0 {
            let mine = timed(&ours);
            (mine, timed(&theirs))
        } else {
            let other = timed(&theirs);
            (timed(&ours), other)
        };
        times.push(mine);
        ratios.push(mine / other.max(1e-6));
        spent += mine + other;
    }
    Outcome { ratio: median(ratios), ours: median(times) }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}
