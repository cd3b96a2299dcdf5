//! Countoff: one lesson file in, a whole set of practice audio for jazz piano out.
//!
//! ```text
//! lesson ──> plan ──> takes        a take = one performance: chart x practice shape x key x tempo x players
//!                       │
//!    chart ──> arrange ──> part ──> feel ──> performance ──┬──> MIDI
//!    bars of   timeline    notes    swing,   notes with    │
//!    chords    and tempo   on the   accents  exact times   └──> sound ──> mix ──> deliver
//!              map         grid                                 stems     mixes   files
//! ```
//!
//! Each arrow is one function from values to values. Nothing left of the files reads a disk, a
//! clock, an environment variable or a terminal:
//!
//! - [`lesson::Lesson::read`] reads and checks a lesson; its charts come from
//!   [`chart::ChartSource::parse`], its styles from a [`style::Library`];
//! - [`plan::Plan::of`] decides everything that comes before sound. For each take it goes through
//!   [`arrange::arrange`], the players ([`part::comp`], [`part::bass`], [`part::drums`]), and
//!   [`feel::perform`];
//! - [`page::lesson_page`] tells the students what there is and shows them the notes;
//! - [`render::render`] makes the files: [`sound::Sounds`] gives stems,
//!   [`mix::render`] sums and levels them, [`deliver`] writes them whole or not at all;
//! - [`cli`] is the shell around it, and the only place that touches the outside world.
//!
//! ```
//! use countoff::lesson::{Lesson, NoNeighbours};
//! use countoff::plan::Plan;
//! use countoff::style::Library;
//!
//! let text = r#"
//!     format = 1
//!     title = "The minor cadence"
//!     tempos = [60, 80]
//!     [[chart]]
//!     name = "minor cadence"
//!     key = "Gm"
//!     A = "| Am7b5 | D7b9 | Gm6 | % |"
//!     [[track]]
//!     name = "left hand"
//!     chart = "minor cadence"
//!     comp = "shells"
//! "#;
//! let library = Library::built_in();
//! let lesson = Lesson::read("lesson.toml", text, &NoNeighbours, &library)?;
//! let plan = Plan::of(&lesson, &library, |_| true)?;
//!
//! // Two tempos, one mix each. Slow and fast versions have the same notes.
//! assert_eq!(plan.takes.len(), 2);
//! assert_eq!(plan.takes[0].sounds[0].path, "01-left-hand/01-left-hand_g-minor_060.wav");
//! let notes = |take: usize| plan.takes[take].notes.performance.parts[0].notes.len();
//! assert_eq!(notes(0), notes(1));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! The left hand of such a take, played into memory, without room and levels:
//!
//! ```
//! use countoff::lesson::{Lesson, NoNeighbours};
//! use countoff::performance::Part;
//! use countoff::plan::Plan;
//! use countoff::soundfont;
//! use countoff::sound::{Sounds, StoreBudget};
//! use countoff::style::Library;
//! use countoff::units::Frames;
//!
//! # let text = r#"
//! #     format = 1
//! #     title = "The minor cadence"
//! #     tempos = [240]
//! #     [[chart]]
//! #     name = "minor cadence"
//! #     key = "Gm"
//! #     A = "| D7b9 | Gm6 |"
//! #     [[track]]
//! #     name = "left hand"
//! #     chart = "minor cadence"
//! #     comp = "shells"
//! # "#;
//! let library = Library::built_in();
//! let lesson = Lesson::read("lesson.toml", text, &NoNeighbours, &library)?;
//! let plan = Plan::of(&lesson, &library, |_| true)?;
//! let (font, budget) = (soundfont::embedded()?, StoreBudget::default());
//! let sounds = Sounds::new(font, &plan.instruments(), lesson.rate, budget)?;
//!
//! let take = &plan.takes[0];
//! let frames = usize::try_from(take.frames(lesson.rate).0)?;
//! let (mut left, mut right) = (vec![0.0; frames], vec![0.0; frames]);
//! let performance = &take.notes.performance;
//! for part in performance.parts.iter().filter(|part| part.part == Part::Comp) {
//!     let mut stem = sounds.stem(part, &performance.tempo, Frames::ZERO)?;
//!     stem.add_block(&mut left, &mut right)?;
//! }
//! assert!(left.iter().any(|sample: &f32| sample.abs() > 0.01));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! What plays and mixes is a crate of its own, `countoff-engine`, whose modules are these, too. The others,
//! in the order in which they may use each other:

pub use countoff_engine::{mix, performance, random, sound, units};

pub(crate) use countoff_engine::{content_hash, simd};

pub mod soundfont;

mod regular_file;

pub mod problem;

pub mod schema;

pub mod theory;

pub mod codec;

pub mod chart;

pub mod arrange;

pub mod melody;

pub mod compose;

pub mod explain;

pub mod style;

pub mod part;

pub mod notation;

pub mod engrave;

pub mod feel;

pub mod deliver;

pub mod lesson;

pub mod plan;

pub mod page;

pub mod render;

#[cfg(feature = "cli")]
pub mod cli;
