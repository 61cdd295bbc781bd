//! What was worked out before, by what it was made from.

use crate::diagnostics::{Diagnostic, Sink};
use crate::source::Span;
use sha2::{Digest, Sha256};
use std::any::Any;
use std::collections::BTreeMap;
use std::fmt::Debug;
use std::sync::{Arc, Mutex};

/// Entries that were not asked for during this many builds are dropped.
const ROUNDS_KEPT: u64 = 8;

type Key = [u8; 32];

/// Results of slow steps, kept from one build to the next.
#[derive(Debug, Default)]
pub struct Cache {
    state: Mutex<State>,
}

#[derive(Debug, Default)]
struct State {
    round: u64,
    entries: BTreeMap<Key, Entry>,
}

#[derive(Debug)]
struct Entry {
    value: Arc<dyn Any + Send + Sync>,
    findings: Vec<Diagnostic>,
    at: Span,
    round: u64,
}

impl Cache {
    /// Starts a build: entries that no build has asked for lately are dropped.
    pub fn start_round(&self) {
        if let Ok(mut state) = self.state.lock() {
            state.round += 1;
            let oldest = state.round.saturating_sub(ROUNDS_KEPT);
            state.entries.retain(|_, e| e.round >= oldest);
        }
    }

    /// The result of `make`, or what it was when it was last made from the same things.
    ///
    /// `made_from` has to hold everything that the result depends on. Findings are kept with the result. They
    /// point into the recipe, so a result with findings is only taken again for a node at the same place.
    pub(super) fn get<T: Any + Send + Sync>(
        &self,
        made_from: &dyn Debug,
        at: Span,
        sink: &mut Sink,
        make: impl FnOnce(&mut Sink) -> T,
    ) -> Arc<T> {
        let key: Key = Sha256::digest(format!("{}\n{made_from:?}", std::any::type_name::<T>()).as_bytes()).into();
        if let Some(found) = self.find::<T>(&key, at, sink) {
            return found;
        }
        let mut own = Sink::new();
        let value = Arc::new(make(&mut own));
        if let Ok(mut state) = self.state.lock() {
            let round = state.round;
            let findings = own.iter().cloned().collect();
            let kept: Arc<dyn Any + Send + Sync> = Arc::clone(&value) as _;
            state.entries.insert(key, Entry { value: kept, findings, at, round });
        }
        sink.append(own);
        value
    }

    fn find<T: Any + Send + Sync>(&self, key: &Key, at: Span, sink: &mut Sink) -> Option<Arc<T>> {
        let mut state = self.state.lock().ok()?;
        let round = state.round;
        let entry = state.entries.get_mut(key).filter(|e| e.findings.is_empty() || e.at == at)?;
        entry.round = round;
        entry.findings.iter().cloned().for_each(|d| sink.push(d));
        Arc::clone(&entry.value).downcast::<T>().ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceId;

    #[test]
    fn a_result_is_made_once_and_dropped_when_it_grows_old() {
        let cache = Cache::default();
        let at = Span::new(SourceId(0), 0, 0);
        let made = std::cell::Cell::new(0);
        let ask = || {
            *cache.get(&"seven", at, &mut Sink::new(), |_| {
                made.set(made.get() + 1);
                7
            })
        };
        cache.start_round();
        assert_eq!((ask(), ask(), made.get()), (7, 7, 1));
        for _ in 0..=ROUNDS_KEPT {
            cache.start_round();
        }
        assert_eq!((ask(), made.get()), (7, 2));
    }
}
