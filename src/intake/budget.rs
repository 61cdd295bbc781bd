//! Work on unknown files: bounded time, and no panic that reaches the caller.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{RecvTimeoutError, sync_channel};
use std::thread::Builder;
use std::time::Duration;

/// Time for one file. The slowest real drawing met took a tenth of it on an idle machine; a busy one gets no other
/// result, only a later one.
pub(super) const BUDGET: Duration = Duration::from_secs(30);

/// Stack for the work: nesting is bounded, and a test goes to its bound in a debug build.
const STACK_BYTES: usize = 64 * 1024 * 1024;

/// Why work came to nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Failure {
    /// It took longer than the budget. Its thread is left behind and ends when the work does.
    TooSlow,
    /// It panicked.
    Panicked,
    /// The system gave no thread.
    NoThread,
}

/// Runs `work` in a thread of its own for at most `budget`.
pub(super) fn run<T: Send + 'static>(
    budget: Duration,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, Failure> {
    let (send, receive) = sync_channel(1);
    let job = move || {
        let outcome = catch_unwind(AssertUnwindSafe(work));
        // Nobody listens any more when the budget is used up.
        let _ = send.send(outcome.map_err(|_| Failure::Panicked));
    };
    Builder::new().name("intake".into()).stack_size(STACK_BYTES).spawn(job).map_err(|_| Failure::NoThread)?;
    match receive.recv_timeout(budget) {
        Ok(outcome) => outcome,
        Err(RecvTimeoutError::Timeout) => Err(Failure::TooSlow),
        Err(RecvTimeoutError::Disconnected) => Err(Failure::Panicked),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_comes_back_or_is_given_up() {
        assert_eq!(run(BUDGET, || 7), Ok(7));
        let slow = || std::thread::sleep(Duration::from_secs(5));
        assert_eq!(run(Duration::from_millis(20), slow), Err(Failure::TooSlow));
        assert_eq!(run(BUDGET, || -> u8 { panic!("on purpose") }), Err(Failure::Panicked));
    }
}
