//! Finished files, measured again.

use std::fs::File;
use std::io::ErrorKind;
use std::path::Path;

use rayon::prelude::*;

use super::decode::decode;
use super::folder::Folder;
use super::format::Container;
use super::hashed::hash_of;
use super::manifest::{FileEntry, Manifest, SoundEntry};
use crate::mix::{CEILING, LoudnessMeter, TruePeakMeter};
use crate::units::Decibels;

/// How far a file's loudness may be from what the manifest says, in LU: what the rounding to 16
/// bits and a block on the edge of the meter's gate can make.
const TOLERANCE: f64 = 0.15;
/// The same for its true peak, in dB.
const PEAK_TOLERANCE: f64 = 0.1;

/// What is wrong with a file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Finding {
    /// It is not there.
    #[error("missing")]
    Missing,
    /// A run was to make it, and was broken off before.
    #[error("missing: the run that was to make it did not end")]
    Pending,
    /// It is shorter than it was.
    #[error("cut short: {found} bytes of {expected}")]
    CutShort {
        /// Bytes found.
        found: u64,
        /// Bytes that the manifest has.
        expected: u64,
    },
    /// Its content is not what was made.
    #[error("changed since it was made")]
    Changed,
    /// It cannot be read.
    #[error("cannot be read: {0}")]
    Unreadable(String),
    /// It is louder or softer than the manifest says.
    #[error("off its level: {found:.1} LUFS, the manifest says {expected:.1}")]
    OffLevel {
        /// Loudness measured, in LUFS.
        found: f64,
        /// Loudness that the manifest has, in LUFS.
        expected: f64,
    },
    /// Its peaks are over the ceiling.
    #[error("its peaks reach {found:.1} dBTP, over {:.1}", CEILING.0)]
    Peaks {
        /// True peak measured, in dBTP.
        found: f64,
    },
}

/// Measures every file of a set again; the findings, by path, in the manifest's order. A set in
/// which all is well has none.
#[must_use]
pub fn verify(root: &Path, manifest: &Manifest) -> Vec<(String, Finding)> {
    let folder = Folder::existing(root).ok();
    let findings = |path: &String| {
        let found = match (&folder, manifest.files.get(path)) {
            _ if manifest.pending.contains(path) => vec![Finding::Pending],
            (Some(folder), Some(entry)) => findings(folder, Path::new(path), entry),
            _ => vec![Finding::Missing],
        };
        found.into_iter().map(|finding| (path.clone(), finding)).collect::<Vec<_>>()
    };
    manifest.paths().into_par_iter().flat_map_iter(findings).collect()
}

fn findings(folder: &Folder, path: &Path, entry: &FileEntry) -> Vec<Finding> {
    let unreadable = |error: std::io::Error| vec![Finding::Unreadable(error.to_string())];
    let open = || -> std::io::Result<(File, u64)> {
        let file = folder.read(path)?;
        let size = file.metadata()?.len();
        Ok((file, size))
    };
    let (file, size) = match open() {
        Ok(opened) => opened,
        Err(error) if error.kind() == ErrorKind::NotFound => return vec![Finding::Missing],
        Err(error) => return unreadable(error),
    };
    if size < entry.size {
        return vec![Finding::CutShort { found: size, expected: entry.size }];
    }
    let mut found = Vec::new();
    match hash_of(file) {
        Ok(hash) if hash != entry.hash => found.push(Finding::Changed),
        Ok(_) => {}
        Err(error) => return unreadable(error),
    }
    if let Some(sound) = &entry.sound
        && let Some(container) = measured(path)
    {
        let measured = folder.read(path).map_err(|error| error.to_string());
        match measured.and_then(|file| measure(file, container)) {
            Ok((loudness, peak)) => found.extend(level(loudness, peak, sound)),
            Err(error) => found.push(Finding::Unreadable(error)),
        }
    }
    found
}

/// The format of a file whose samples are those that the manifest was written by. An MP3 file's are
/// not: of it, size and hash are held against the manifest.
fn measured(path: &Path) -> Option<Container> {
    let is = |container: &Container| path.extension().is_some_and(|end| end == container.name());
    [Container::Wav, Container::Flac].into_iter().find(is)
}

/// What the measured levels say against the promised ones. A stem may peak where it must: it is
/// not limited, so only what the manifest allowed is held against it.
fn level(loudness: Option<f64>, peak: f64, sound: &SoundEntry) -> Vec<Finding> {
    let mut found = Vec::new();
    let floor = f64::NEG_INFINITY;
    let (measured, expected) = (loudness.unwrap_or(floor), sound.lufs.unwrap_or(floor));
    let both_silent = loudness.is_none() && sound.lufs.is_none();
    if !both_silent && (measured - expected).abs() > TOLERANCE {
        found.push(Finding::OffLevel { found: measured, expected });
    }
    if peak > CEILING.0.max(sound.true_peak.unwrap_or(floor)) + PEAK_TOLERANCE {
        found.push(Finding::Peaks { found: peak });
    }
    found
}

/// Integrated loudness in LUFS (none for silence) and true peak in dBTP of a sound file.
fn measure(file: File, container: Container) -> Result<(Option<f64>, f64), String> {
    let mut loudness: Option<LoudnessMeter> = None;
    let mut true_peak = TruePeakMeter::new();
    decode(file, container, |rate, left, right| {
        loudness.get_or_insert_with(|| LoudnessMeter::new(rate)).add(left, right);
        true_peak.add(left, right);
    })?;
    let peak = Decibels::of(f64::from(true_peak.finish())).0;
    Ok((loudness.and_then(|meter| meter.integrated().finite()), peak))
}
