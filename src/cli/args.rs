//! What can be typed. The doc comments are the help.

mod making;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

pub(super) use making::{Bits, Choice, Format, Making};

use crate::deliver::Shard;

/// One small lesson file in, a whole set of practice audio for jazz piano out.
#[derive(Debug, Parser)]
#[command(
    version,
    max_term_width = 96,
    after_help = "Begin with `countoff start my-lesson`, then `countoff render my-lesson/lesson.toml`.\n\
                  Start low on headphones."
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Make the set that a lesson file describes, or the sets of a whole course
    Render(Render),
    /// Gather what runs with --shard have made: one manifest and page for every set
    Collect(Collect),
    /// Make tracks from a chord progression, with no lesson file
    Quick(Quick),
    /// Show a lesson's charts, voicings and problems; makes no audio
    Check(Check),
    /// Tell what each note of a lesson's lines is to its chord
    Explain(Explain),
    /// List the styles, or show what one says
    Styles(Styles),
    /// List the techniques that lines can be composed to show, by grade
    Techniques(Techniques),
    /// Tell which sounds are used, or what a SoundFont holds
    Soundfonts(Soundfonts),
    /// Measure the files of a finished set again
    Verify(Verify),
    /// Print the JSON schema of a kind of file, for editors and other programs
    Schema(Schema),
    /// Write a lesson to begin from
    Start(Start),
    /// Print completions for a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
}

/// `countoff render`
#[derive(Debug, Args)]
pub struct Render {
    /// Which files of which lessons
    #[command(flatten)]
    pub choice: Choice,
    /// Remove files that an earlier run made and the lesson no longer asks for
    #[arg(long, conflicts_with_all = ["only", "keys", "tempos", "plan"])]
    pub prune: bool,
    /// Make only a share of the work, such as the third of sixteen; other machines make the others
    /// at the same time, and `countoff collect` gathers them
    #[arg(long, value_name = "N/OF", conflicts_with = "prune")]
    pub shard: Option<Shard>,
    /// Stay, and make what changed whenever the lesson, or a style, chart, line or SoundFont that
    /// it uses, is saved; Ctrl-C ends it
    #[arg(long, conflicts_with_all = ["plan", "shard"])]
    pub watch: bool,
    /// How the files are made and where they go
    #[command(flatten)]
    pub making: Making,
}

/// `countoff collect`
#[derive(Debug, Args)]
pub struct Collect {
    /// Which files of which lessons
    #[command(flatten)]
    pub choice: Choice,
    /// How the files were made, as it was said to `render`
    #[command(flatten)]
    pub making: Making,
}

/// `countoff quick`
#[derive(Debug, Args)]
pub struct Quick {
    /// The chords, a bar between bar lines: "Am7b5 | D7b9 | Gm6 | %"
    pub chords: String,
    /// The key; by default taken from the last chord
    #[arg(long)]
    pub key: Option<String>,
    /// The meter
    #[arg(long, default_value = "4/4")]
    pub meter: String,
    /// How eighth notes go: `swing`, `straight`, or a ratio such as 1.8
    #[arg(long, default_value = "swing")]
    pub feel: String,
    /// The comp style; see `countoff styles`
    #[arg(long)]
    pub comp: Option<String>,
    /// The bass style
    #[arg(long)]
    pub bass: Option<String>,
    /// The drum style
    #[arg(long)]
    pub drums: Option<String>,
    /// Tempos in beats per minute
    #[arg(long, value_name = "BPM", value_delimiter = ',', default_values_t = [60.0, 80.0, 108.0, 144.0])]
    pub tempos: Vec<f64>,
    /// Keys to make it in: `Gm,Cm`, `fourths` or `semitones`; by default as written
    #[arg(long, value_name = "KEYS")]
    pub keys: Option<String>,
    /// How often the progression is played
    #[arg(long, default_value_t = 4, value_parser = clap::value_parser!(u16).range(1..=999))]
    pub choruses: u16,
    /// Add a click
    #[arg(long)]
    pub click: bool,
    /// Seed of every random choice
    #[arg(long, default_value_t = 1)]
    pub seed: u32,
    /// How the files are made and where they go
    #[command(flatten)]
    pub making: Making,
}

/// `countoff check`
#[derive(Debug, Args)]
pub struct Check {
    /// The lesson file, or a course: a folder with lesson files in it or in its folders
    #[arg(value_name = "LESSON|COURSE")]
    pub lesson: PathBuf,
    /// Only this track, by name or number
    #[arg(long, value_name = "TRACK")]
    pub only: Option<String>,
    /// In this key in place of the lesson's
    #[arg(long, value_name = "KEY")]
    pub key: Option<String>,
    /// One JSON object on standard output, for other programs
    #[arg(long)]
    pub json: bool,
}

/// `countoff explain`
#[derive(Debug, Args)]
pub struct Explain {
    /// The lesson file
    pub lesson: PathBuf,
    /// Only this line, by name; all where it is left out
    pub line: Option<String>,
    /// One JSON array on standard output, for other programs
    #[arg(long)]
    pub json: bool,
}

/// `countoff techniques`
#[derive(Debug, Args)]
pub struct Techniques {
    /// Only this technique
    pub name: Option<String>,
    /// One JSON array on standard output, for other programs
    #[arg(long)]
    pub json: bool,
}

/// `countoff styles`
#[derive(Debug, Args)]
pub struct Styles {
    /// Show the file of this style
    pub name: Option<String>,
    /// A folder with styles of your own
    #[arg(long, value_name = "FOLDER")]
    pub styles: Option<PathBuf>,
    /// One JSON object on standard output, for other programs
    #[arg(long)]
    pub json: bool,
}

/// `countoff soundfonts`
#[derive(Debug, Args)]
pub struct Soundfonts {
    /// The SoundFont to look into; by default the one that the environment variable
    /// COUNTOFF_SOUNDFONT names, or the embedded one
    pub file: Option<PathBuf>,
    /// One JSON object on standard output, for other programs
    #[arg(long)]
    pub json: bool,
}

/// `countoff verify`
#[derive(Debug, Args)]
pub struct Verify {
    /// The folder of the set
    pub folder: PathBuf,
    /// One JSON object a line on standard output, for other programs
    #[arg(long)]
    pub json: bool,
}

/// `countoff schema`
#[derive(Debug, Args)]
pub struct Schema {
    /// What kind of file
    #[arg(value_enum)]
    pub of: SchemaOf,
}

/// Files that have a schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// A lesson
    Lesson,
    /// A comp style
    Comp,
    /// A bass style
    Bass,
    /// A drum style
    Drums,
    /// The manifest of a finished set
    Manifest,
}

/// `countoff start`
#[derive(Debug, Args)]
pub struct Start {
    /// The folder to write `lesson.toml` into; it is made if it is not there
    pub folder: PathBuf,
    /// Every key that a lesson can have, with its default and what it does
    #[arg(long)]
    pub all: bool,
}
