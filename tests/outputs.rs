//! Tests of `outputs` from outside.
