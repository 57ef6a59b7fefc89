//! Integration tests of the budgets: one binary, one file a subject.

mod explain;
