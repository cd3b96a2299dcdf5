//! The program as a teacher meets it: typed commands, what they print, what they leave on disk.

mod harness;
mod input;
mod killed;
mod set;
mod small_commands;
