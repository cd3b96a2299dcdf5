//! The list of what was made, as JSON beside the files.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::error::DeliverError;
use super::folder::stays_inside;
use crate::arrange::BarKind;
use crate::regular_file;

/// The only format of manifest there is.
const FORMAT: u32 = 1;

/// The largest manifest that is read, in bytes. A bar takes some 150 of them, so that this is enough for
/// 7,000 takes of 256 bars.
const MOST_BYTES: u64 = 256 << 20;

/// How a BLAKE3 hash is written.
const HASH: &str = "^[0-9a-f]{64}$";

/// What a set holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Manifest {
    /// The version of this format; 1. A later program may add keys to it.
    #[schemars(range(min = FORMAT, max = FORMAT))]
    pub format: u32,
    /// The program and its version.
    pub made_by: String,
    /// The lesson's title.
    pub title: String,
    /// Every take, by a name that is unique in the set.
    pub takes: BTreeMap<String, TakeEntry>,
    /// Every file, by its path from the set's folder, with `/` between folders.
    pub files: BTreeMap<String, FileEntry>,
    /// Files that a run was about to make, and that are not there as it would have made them.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub pending: BTreeSet<String>,
}

/// One performance: what all its files have in common.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct TakeEntry {
    /// The track's number in the lesson, from 1.
    pub track: u32,
    /// The track's name.
    pub name: String,
    /// The key, where there is only one.
    pub key: Option<String>,
    /// Frames per second.
    pub rate: u32,
    /// Every tempo with the frame where it begins.
    pub tempo_map: Vec<TempoEntry>,
    /// Every bar with its first frame and its chords.
    pub bars: Vec<BarEntry>,
}

/// A tempo from a frame on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct TempoEntry {
    /// The first frame at this tempo.
    pub frame: u64,
    /// Microseconds a quarter note, as the MIDI file has it.
    pub micros_per_quarter: u32,
    /// Beats per minute.
    pub bpm: f64,
}

/// One bar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct BarEntry {
    /// Its first frame.
    pub frame: u64,
    /// What it is: "chorus" for most bars; "lead-in", "count-in", "answer", "announce" or "ending".
    #[schemars(extend("enum" = BarKind::ALL.map(BarKind::name)))]
    pub kind: String,
    /// Which chorus, from 1.
    pub chorus: u32,
    /// The section that begins here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub section: Option<String>,
    /// The key that sounds.
    #[serde(default)]
    pub key: String,
    /// Its chords in order, as written; "%"-repeats written out.
    pub chords: Vec<String>,
}

/// One file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct FileEntry {
    /// What it is for: "mix", "stem", "midi", "bar-times", "notes", "page" or "zip".
    pub purpose: String,
    /// The take it belongs to, where it does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub take: Option<String>,
    /// The parts that are heard.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<String>,
    /// Bytes.
    pub size: u64,
    /// When it was last written, in nanoseconds since 1970: with the size as it was, a file
    /// counts as unchanged without being read. Kept in [`super::Times`], so that a set's manifest is the same
    /// whenever it is made.
    #[serde(skip)]
    pub modified: u64,
    /// BLAKE3 of the content, in hexadecimal digits.
    #[schemars(regex(pattern = HASH))]
    pub hash: String,
    /// BLAKE3 of everything that the file depends on.
    #[schemars(regex(pattern = HASH))]
    pub depends: String,
    /// What was measured, in a sound file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sound: Option<SoundEntry>,
}

/// A sound file as measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct SoundEntry {
    /// Frames.
    pub frames: u64,
    /// How many frames of its take lie before its first: by so much less than in the take is the
    /// frame of every bar in it. Not 0 in a file without the count-in that others of its take have.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub begins: u64,
    /// BLAKE3 of everything that the samples depend on: where only tags have changed it stays.
    #[serde(default)]
    pub audio: String,
    /// Integrated loudness of the players, without click and count-in, in LUFS; none in a silent
    /// file.
    pub programme_lufs: Option<f64>,
    /// Integrated loudness of the whole file, in LUFS; none in a silent file.
    pub lufs: Option<f64>,
    /// True peak in dBTP; none in a silent file.
    pub true_peak: Option<f64>,
    /// The gain of the players, in dB, to a billionth, which no sample shows. All other levels here
    /// are to a hundredth.
    pub gain: f64,
    /// The share of the file, 0 to 1, in which the limiter was at work, to a ten-thousandth.
    #[schemars(range(min = 0, max = 1))]
    pub limiter_share: f64,
    /// The limiter's deepest reduction, in dB.
    pub limiter_deepest: f64,
    /// By how many LU the file is quieter than asked for, where its peaks are why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short_of_target: Option<f64>,
    /// How loud it is over time, for a picture: see [`super::LevelPicture::letters`].
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub picture: String,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the form that serde asks for")]
fn is_zero(frames: &u64) -> bool {
    *frames == 0
}

impl Manifest {
    /// A manifest with nothing in it yet.
    #[must_use]
    pub fn new(title: &str) -> Manifest {
        Manifest {
            format: FORMAT,
            made_by: concat!("countoff ", env!("CARGO_PKG_VERSION")).to_owned(),
            title: title.to_owned(),
            takes: BTreeMap::new(),
            files: BTreeMap::new(),
            pending: BTreeSet::new(),
        }
    }

    /// The paths of all files: those that are there, and those that were to be made.
    #[must_use]
    pub fn paths(&self) -> BTreeSet<&String> {
        self.files.keys().chain(&self.pending).collect()
    }

    /// The JSON schema of a manifest.
    #[must_use]
    pub fn schema() -> schemars::Schema {
        crate::schema::of_json::<Manifest>("The manifest of a Countoff set")
    }

    /// Reads the manifest in a file; none where there is no file.
    ///
    /// # Errors
    /// The file cannot be read, is no regular one, is too large, or holds something else.
    pub fn read(path: &Path) -> Result<Option<Manifest>, DeliverError> {
        match regular_file::read_text(path, MOST_BYTES) {
            Ok(text) => Manifest::parse(&text, path).map(Some),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
            Err(error) => {
                Err(DeliverError::Manifest { path: path.to_owned(), message: error.to_string() })
            }
        }
    }

    /// Parses a manifest; `path` is for messages.
    ///
    /// # Errors
    /// Where the text is not JSON, not a manifest, one of a later format, or lists a file outside
    /// its folder.
    pub fn parse(text: &str, path: &Path) -> Result<Manifest, DeliverError> {
        let failed = |message: String| DeliverError::Manifest { path: path.to_owned(), message };
        let manifest: Manifest =
            serde_json::from_str(text).map_err(|error| failed(error.to_string()))?;
        if manifest.format != FORMAT {
            return Err(failed(format!("it has format {}, not {FORMAT}", manifest.format)));
        }
        let mut paths = manifest.files.keys().chain(&manifest.pending);
        match paths.find(|path| !stays_inside(Path::new(path))) {
            Some(path) => Err(failed(format!("it lists {path:?}, which is no path in its folder"))),
            None => Ok(manifest),
        }
    }

    /// As JSON, indented, ending in a line feed; the same manifest gives the same bytes.
    ///
    /// # Errors
    /// Never for what is in a manifest; the form of the library asks for it.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        let mut text = serde_json::to_string_pretty(self)?;
        text.push('\n');
        Ok(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> Manifest {
        let mut manifest = Manifest::new("The minor cadence");
        let sound = SoundEntry {
            begins: 0,
            frames: 441_000,
            audio: "22".repeat(32),
            programme_lufs: Some(-16.02),
            lufs: Some(-15.9),
            true_peak: Some(-1.595_049_592_818_666_5),
            gain: 19.645_044_710_726_978,
            limiter_share: 0.01,
            limiter_deepest: 1.5,
            short_of_target: None,
            picture: "AZ_".to_owned(),
        };
        let file = FileEntry {
            purpose: "mix".to_owned(),
            take: Some("02-band_g-minor_080".to_owned()),
            parts: vec!["comp".to_owned(), "bass".to_owned()],
            size: 1_764_044,
            modified: 0,
            hash: "00".repeat(32),
            depends: "11".repeat(32),
            sound: Some(sound),
        };
        manifest.files.insert("02-band/02-band_g-minor_080.wav".to_owned(), file);
        let bar = BarEntry {
            frame: 0,
            kind: "chorus".to_owned(),
            chorus: 1,
            section: Some("A".to_owned()),
            key: "Gm".to_owned(),
            chords: vec!["Am7b5".to_owned(), "D7b9".to_owned()],
        };
        let take = TakeEntry {
            track: 2,
            name: "band".to_owned(),
            key: Some("Gm".to_owned()),
            rate: 44_100,
            tempo_map: vec![TempoEntry { frame: 0, micros_per_quarter: 750_000, bpm: 80.0 }],
            bars: vec![bar],
        };
        manifest.takes.insert("02-band_g-minor_080".to_owned(), take);
        manifest
    }

    /// Whole numbers and fractions come back to the last bit: a second run leaves the file alone.
    #[test]
    fn what_is_written_is_read() {
        let text = example().to_json().unwrap();
        assert!(text.starts_with("{\n  \"format\": 1,") && text.ends_with("}\n"));
        assert_eq!(Manifest::parse(&text, Path::new("manifest.json")).unwrap(), example());
    }

    #[test]
    fn a_path_that_leads_out_of_the_folder_is_an_error_that_names_it() {
        for wrong in ["../x.wav", "a/../../x.wav", "/etc/passwd", "", "a//b", "./a", "a\\b", "c:x"]
        {
            let mut of_files = example();
            let entry = of_files.files.values().next().unwrap().clone();
            of_files.files.insert(wrong.to_owned(), entry);
            let mut of_pending = example();
            of_pending.pending.insert(wrong.to_owned());
            for manifest in [of_files, of_pending] {
                let text = manifest.to_json().unwrap();
                let error = Manifest::parse(&text, Path::new("manifest.json")).unwrap_err();
                let said = error.to_string();
                assert!(said.contains(&format!("{wrong:?}")), "{wrong}: {said}");
            }
        }
    }

    #[test]
    fn another_format_and_another_text_are_errors_that_name_the_file() {
        let later = example().to_json().unwrap().replacen("\"format\": 1", "\"format\": 2", 1);
        for text in [later.as_str(), "{}", "not JSON", ""] {
            let error = Manifest::parse(text, Path::new("set/manifest.json")).unwrap_err();
            assert!(error.to_string().contains("set/manifest.json"), "{error}");
        }
    }
}
