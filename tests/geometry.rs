//! Tests of `geometry` from outside.
