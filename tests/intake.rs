//! Tests of `intake` from outside.
