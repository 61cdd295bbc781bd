//! Tests of `geometry` from outside: closed forms, a reference library, and input that means harm.

mod against_geos;
mod closed_forms;
mod hostile;
mod measuring;
mod oracle;
