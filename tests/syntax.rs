//! Tests of `syntax` from outside.
