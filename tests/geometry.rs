//! Tests of `geometry` from outside: closed forms, a reference library, and input that means harm.

mod closed_forms;
