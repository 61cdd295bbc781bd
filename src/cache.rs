//! What was worked out before, by what it was made from.
//!
//! In: a key, made from everything that a result depends on. Out: the result, worked out or remembered.
//!
//! Invariant: nothing that a build gives depends on what a cache holds, only the time it takes.

use crate::diagnostics::{Diagnostic, Sink};
use crate::source::{SourceId, Span};
use kurbo::{BezPath, PathEl, Point};
use sha2::{Digest, Sha256};
use std::any::Any;
use std::collections::BTreeMap;
use std::fmt::Debug;
use std::sync::{Arc, Mutex};

/// Entries that were not asked for during this many builds are dropped.
const ROUNDS_KEPT: u64 = 8;

/// Tells things apart that results are made from (SHA-256).
pub type Key = [u8; 32];

/// A [`Key`] in the making: everything that a result depends on is told to it, always in the same order.
#[derive(Clone)]
pub struct MadeFrom(Sha256);

impl MadeFrom {
    /// The start of a key for results of a kind.
    pub fn kind(kind: &str) -> Self {
        Self(Sha256::new()).text(kind)
    }

    /// Adds a text.
    pub fn text(self, text: &str) -> Self {
        self.bytes(text.as_bytes())
    }

    /// Adds bytes.
    pub fn bytes(mut self, bytes: &[u8]) -> Self {
        self.0.update((bytes.len() as u64).to_le_bytes());
        self.0.update(bytes);
        self
    }

    /// Adds a number.
    pub fn number(mut self, number: f64) -> Self {
        self.0.update(number.to_le_bytes());
        self
    }

    /// Adds what a value says of itself.
    pub fn shown(self, value: &dyn Debug) -> Self {
        self.text(&format!("{value:?}"))
    }

    /// Adds a path.
    pub fn path(self, path: &BezPath) -> Self {
        let mut bytes = Vec::with_capacity(path.elements().len() * 24);
        for element in path.elements() {
            let (letter, points): (u8, &[Point]) = match element {
                PathEl::MoveTo(p) => (b'M', &[*p]),
                PathEl::LineTo(p) => (b'L', &[*p]),
                PathEl::QuadTo(a, p) => (b'Q', &[*a, *p]),
                PathEl::CurveTo(a, b, p) => (b'C', &[*a, *b, *p]),
                PathEl::ClosePath => (b'Z', &[]),
            };
            bytes.push(letter);
            for p in points {
                bytes.extend(p.x.to_le_bytes());
                bytes.extend(p.y.to_le_bytes());
            }
        }
        self.bytes(&bytes)
    }

    /// Adds several paths.
    pub fn paths(self, paths: &[BezPath]) -> Self {
        paths.iter().fold(self.number(paths.len() as f64), Self::path)
    }

    /// The key.
    pub fn key(self) -> Key {
        self.0.finalize().into()
    }
}

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

    /// The result of `make`, or what it was when it was last made under the same key.
    pub fn keep<T: Any + Send + Sync>(&self, made_from: MadeFrom, make: impl FnOnce() -> T) -> Arc<T> {
        let (key, at) = (made_from.text(std::any::type_name::<T>()).key(), Span::new(SourceId(0), 0, 0));
        if let Some(found) = self.find::<T>(&key, at, &mut Sink::new()) {
            return found;
        }
        let value = Arc::new(make());
        self.insert(key, Arc::clone(&value) as _, Vec::new(), at);
        value
    }

    /// The result of `make`, or what it was when it was last made under the same key, and its findings: as
    /// [`keep`](Self::keep), for what has something to say. Findings point into the recipe, so a result with findings is
    /// only taken again for a node at the same place.
    pub fn keep_with<T: Any + Send + Sync>(
        &self,
        made_from: MadeFrom,
        at: Span,
        sink: &mut Sink,
        make: impl FnOnce(&mut Sink) -> T,
    ) -> Arc<T> {
        let key = made_from.text(std::any::type_name::<T>()).key();
        if let Some(found) = self.find::<T>(&key, at, sink) {
            return found;
        }
        let mut own = Sink::new();
        let value = Arc::new(make(&mut own));
        self.insert(key, Arc::clone(&value) as _, own.iter().cloned().collect(), at);
        sink.append(own);
        value
    }

    fn insert(&self, key: Key, value: Arc<dyn Any + Send + Sync>, findings: Vec<Diagnostic>, at: Span) {
        if let Ok(mut state) = self.state.lock() {
            let round = state.round;
            state.entries.insert(key, Entry { value, findings, at, round });
        }
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

    #[test]
    fn a_result_is_made_once_and_dropped_when_it_grows_old() {
        let cache = Cache::default();
        let at = Span::new(SourceId(0), 0, 0);
        let made = std::cell::Cell::new(0);
        let ask = || {
            *cache.keep_with(MadeFrom::kind("seven"), at, &mut Sink::new(), |_| {
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
