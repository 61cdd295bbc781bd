//! Tests of `puzzle` from outside.
