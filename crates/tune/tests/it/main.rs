//! tune from outside: logs as people's programs print them, and what is to be read from them.

mod lines;
