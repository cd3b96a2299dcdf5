//! What can be typed. The doc comments are the help.

mod making;
mod names;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

pub(super) use making::{Bits, Choice, Format, Making};
use names::Names;

use crate::deliver::Shard;

/// One small lesson file in, a whole set of practice audio for jazz piano out.
#[derive(Debug, Parser)]
#[command(
    name = "countoff",
    version,
    max_term_width = 96,
    after_help = "Begin with `countoff start my-lesson`, then `countoff render my-lesson/lesson.toml`.\n\
                  Start low on headphones."
)]
pub(super) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(super) command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
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
    /// Print completions for a shell, with the names of styles and techniques
    Completions(Completions),
    /// Print the manual page, or write those of all commands into a folder
    Man(Man),
}

impl Command {
    /// Whether it speaks to another program.
    pub(super) const fn is_json(&self) -> bool {
        match self {
            Command::Render(Render { making, .. })
            | Command::Collect(Collect { making, .. })
            | Command::Quick(Quick { making, .. }) => making.json,
            Command::Check(check) => check.json,
            Command::Explain(explain) => explain.json,
            Command::Styles(styles) => styles.json,
            Command::Techniques(techniques) => techniques.json,
            Command::Soundfonts(soundfonts) => soundfonts.json,
            Command::Verify(verify) => verify.json,
            Command::Schema(_) | Command::Start(_) | Command::Completions(_) | Command::Man(_) => {
                false
            }
        }
    }
}

/// `countoff render`
#[derive(Debug, Args)]
pub(super) struct Render {
    /// Which files of which lessons
    #[command(flatten)]
    pub(super) choice: Choice,
    /// Remove files that an earlier run made and the lesson no longer asks for
    #[arg(long, conflicts_with_all = ["only", "keys", "tempos", "plan"])]
    pub(super) prune: bool,
    /// Make only a share of the work, such as the third of sixteen; other machines make the others
    /// at the same time, and `countoff collect` gathers them
    #[arg(long, value_name = "N/OF", conflicts_with = "prune")]
    pub(super) shard: Option<Shard>,
    /// Stay, and make what changed whenever the lesson, or a style, chart, line or SoundFont that
    /// it uses, is saved; Ctrl-C ends it
    #[arg(long, conflicts_with_all = ["plan", "shard"])]
    pub(super) watch: bool,
    /// How the files are made and where they go
    #[command(flatten)]
    pub(super) making: Making,
}

/// `countoff collect`
#[derive(Debug, Args)]
pub(super) struct Collect {
    /// Which files of which lessons
    #[command(flatten)]
    pub(super) choice: Choice,
    /// How the files were made, as it was said to `render`
    #[command(flatten)]
    pub(super) making: Making,
}

/// `countoff quick`
#[derive(Debug, Args)]
pub(super) struct Quick {
    /// The chords, a bar between bar lines: "Am7b5 | D7b9 | Gm6 | %"
    pub(super) chords: String,
    /// The key; by default taken from the last chord
    #[arg(long)]
    pub(super) key: Option<String>,
    /// The meter
    #[arg(long, default_value = "4/4")]
    pub(super) meter: String,
    /// How eighth notes go: `swing`, `straight`, or a ratio such as 1.8
    #[arg(long, default_value = "swing")]
    pub(super) feel: String,
    /// The comp style; see `countoff styles`
    #[arg(long, value_name = "STYLE", value_parser = Names::COMP, hide_possible_values = true)]
    pub(super) comp: Option<String>,
    /// The bass style
    #[arg(long, value_name = "STYLE", value_parser = Names::BASS, hide_possible_values = true)]
    pub(super) bass: Option<String>,
    /// The drum style
    #[arg(long, value_name = "STYLE", value_parser = Names::DRUMS, hide_possible_values = true)]
    pub(super) drums: Option<String>,
    /// Tempos in beats per minute
    #[arg(long, value_name = "BPM", value_delimiter = ',', default_values_t = [60.0, 80.0, 108.0, 144.0])]
    pub(super) tempos: Vec<f64>,
    /// Keys to make it in: `Gm,Cm`, `fourths` or `semitones`; by default as written
    #[arg(long, value_name = "KEYS")]
    pub(super) keys: Option<String>,
    /// How often the progression is played
    #[arg(long, default_value_t = 4, value_parser = clap::value_parser!(u16).range(1..=999))]
    pub(super) choruses: u16,
    /// Add a click
    #[arg(long)]
    pub(super) click: bool,
    /// Seed of every random choice
    #[arg(long, default_value_t = 1)]
    pub(super) seed: u32,
    /// How the files are made and where they go
    #[command(flatten)]
    pub(super) making: Making,
}

/// `countoff check`
#[derive(Debug, Args)]
pub(super) struct Check {
    /// The lesson file, or a course: a folder with lesson files in it or in its folders
    #[arg(value_name = "LESSON|COURSE")]
    pub(super) lesson: PathBuf,
    /// Only this track, by name or number
    #[arg(long, value_name = "TRACK")]
    pub(super) only: Option<String>,
    /// In this key in place of the lesson's
    #[arg(long, value_name = "KEY")]
    pub(super) key: Option<String>,
    /// One JSON object on standard output, for other programs
    #[arg(long)]
    pub(super) json: bool,
}

/// `countoff explain`
#[derive(Debug, Args)]
pub(super) struct Explain {
    /// The lesson file
    pub(super) lesson: PathBuf,
    /// Only this line, by name; all where it is left out
    pub(super) line: Option<String>,
    /// Also what else each note can be called
    #[arg(long)]
    pub(super) all: bool,
    /// One JSON array on standard output, for other programs
    #[arg(long)]
    pub(super) json: bool,
}

/// `countoff techniques`
#[derive(Debug, Args)]
pub(super) struct Techniques {
    /// Only this technique
    #[arg(value_parser = Names::TECHNIQUES, hide_possible_values = true)]
    pub(super) name: Option<String>,
    /// One JSON array on standard output, for other programs
    #[arg(long)]
    pub(super) json: bool,
}

/// `countoff styles`
#[derive(Debug, Args)]
pub(super) struct Styles {
    /// Show the file of this style
    #[arg(value_parser = Names::STYLES, hide_possible_values = true)]
    pub(super) name: Option<String>,
    /// A folder with styles of your own
    #[arg(long, value_name = "FOLDER")]
    pub(super) styles: Option<PathBuf>,
    /// One JSON object on standard output, for other programs
    #[arg(long)]
    pub(super) json: bool,
}

/// `countoff soundfonts`
#[derive(Debug, Args)]
pub(super) struct Soundfonts {
    /// The SoundFont to look into; by default the one that the environment variable
    /// COUNTOFF_SOUNDFONT names, or the embedded one
    pub(super) file: Option<PathBuf>,
    /// One JSON object on standard output, for other programs
    #[arg(long)]
    pub(super) json: bool,
}

/// `countoff verify`
#[derive(Debug, Args)]
pub(super) struct Verify {
    /// The folder of the set
    pub(super) folder: PathBuf,
    /// One JSON object a line on standard output, for other programs
    #[arg(long)]
    pub(super) json: bool,
}

/// `countoff schema`
#[derive(Debug, Args)]
pub(super) struct Schema {
    /// What kind of file
    #[arg(value_enum)]
    pub(super) of: SchemaOf,
}

/// Files that have a schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum SchemaOf {
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
pub(super) struct Start {
    /// The folder to write `lesson.toml` into; it is made if it is not there
    pub(super) folder: PathBuf,
    /// Every key that a lesson can have, with its default and what it does
    #[arg(long)]
    pub(super) all: bool,
}

/// `countoff completions`
#[derive(Debug, Args)]
pub(super) struct Completions {
    /// The shell
    pub(super) shell: clap_complete::Shell,
}

/// `countoff man`
#[derive(Debug, Args)]
pub(super) struct Man {
    /// The folder for `countoff.1`, `countoff-render.1` and so on; it is made if it is not there
    pub(super) folder: Option<PathBuf>,
}
