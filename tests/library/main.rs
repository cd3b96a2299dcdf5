//! The library as other programs use it, against tables, standards and independent readers.
//!
//! One program with a module for each subject, since linking a program costs more than running it:
//! `cargo test --test library soundfont` runs one of them.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod changes;
mod chord_symbols;
mod common_bus;
mod comp_styles;
mod drum_intensity;
mod endings;
mod explained;
mod golden_midi;
mod harmony;
mod hits;
mod input_limits;
mod kept_blocks;
mod lead_sheet_roadmaps;
mod lead_sheets;
mod meter;
mod midi_files;
mod mix;
mod module_order;
mod musicxml_lines;
mod musicxml_reading;
mod notation;
mod output_folder;
mod rendered;
mod roadmap;
mod scales;
mod sound_files;
mod soundfont;
mod support;
mod swing;
