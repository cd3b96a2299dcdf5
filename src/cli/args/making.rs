//! What several commands share: which files of which lessons, and how they are made.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

/// Which files of which lessons.
#[derive(Debug, Args)]
pub(in crate::cli) struct Choice {
    /// The lesson file, or a course: a folder with lesson files in it or in its folders
    #[arg(value_name = "LESSON|COURSE")]
    pub(in crate::cli) lesson: PathBuf,
    /// Only these tracks, by name, number or range of numbers, with commas between them: `1,3-5`
    #[arg(long, value_name = "TRACKS")]
    pub(in crate::cli) only: Vec<String>,
    /// In these keys in place of the lesson's: `Gm,Cm`, `fourths` or `semitones`
    #[arg(long, value_name = "KEYS")]
    pub(in crate::cli) keys: Option<String>,
    /// At these tempos in place of the lesson's, in beats per minute: `60,80`
    #[arg(long, value_name = "BPM", value_delimiter = ',', value_parser = tempo)]
    pub(in crate::cli) tempos: Vec<f64>,
}

/// A tempo as it is typed in a list, which may have spaces after its commas.
fn tempo(text: &str) -> Result<f64, std::num::ParseFloatError> {
    text.trim().parse()
}

/// Options of every command that makes files.
#[derive(Debug, Args)]
pub(in crate::cli) struct Making {
    /// The folder for the set; by default one named after the lesson file, beside it. The sets of
    /// a course go into folders below it
    #[arg(long, value_name = "FOLDER")]
    pub(in crate::cli) out: Option<PathBuf>,
    /// A SoundFont (.sf2) to play with; by default the lesson's, then the one that the environment
    /// variable COUNTOFF_SOUNDFONT names, then the embedded one
    #[arg(long, value_name = "FILE")]
    pub(in crate::cli) soundfont: Option<PathBuf>,
    /// The formats in which every mix is made, in place of the lesson's: `wav,flac`
    #[arg(long, value_name = "FORMATS", value_delimiter = ',')]
    pub(in crate::cli) format: Vec<Format>,
    /// Bits of a sample; 32 is floating point (FLAC has 24 then)
    #[arg(long, value_enum)]
    pub(in crate::cli) bits: Option<Bits>,
    /// Also write when every bar begins, as CSV, for video editors
    #[arg(long)]
    pub(in crate::cli) bar_times: bool,
    /// Also put the whole set into one .zip; after --prune, it holds nothing else
    #[arg(long)]
    pub(in crate::cli) zip: bool,
    /// How many threads work at once, each with about 30 MB of memory; by default one for each
    /// processor
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(in crate::cli) jobs: Option<u16>,
    /// Megabytes of memory in which notes are kept to be used again; as a rule 192, and 48 for a single take
    #[arg(long, value_name = "MB")]
    #[arg(value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub(in crate::cli) store: Option<u32>,
    /// Only print what would be made, with durations and sizes
    #[arg(long)]
    pub(in crate::cli) plan: bool,
    /// Print nothing but errors
    #[arg(long, short)]
    pub(in crate::cli) quiet: bool,
    /// One JSON object a line on standard output, for other programs, and errors as JSON on
    /// standard error
    #[arg(long)]
    pub(in crate::cli) json: bool,
}

/// Formats of sound files.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum Format {
    /// Every sample as it is, read by everything
    Wav,
    /// The same samples in about six tenths of the space
    Flac,
    /// A tenth of the space, for phones; only where the program was built with MP3
    Mp3,
}

/// Sample formats.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum Bits {
    /// 16 bits, dithered
    #[value(name = "16")]
    Sixteen,
    /// 24 bits
    #[value(name = "24")]
    TwentyFour,
    /// 32 bits, floating point
    #[value(name = "32")]
    Float,
}
