//! Tests of `driver` from outside.
