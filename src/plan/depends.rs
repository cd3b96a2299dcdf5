//! What a file depends on, as a hash: the same hash, the same content.

use std::hash::{Hash, Hasher};

use crate::content_hash::ContentHasher;
use crate::deliver::{FileFormat, Tags};
use crate::lesson::{Lesson, Track};
use crate::mix::MixSpec;
use crate::units::Frames;

use super::files::SoundPlan;
use super::take::TakeNotes;

/// The code that makes sound files, as hashes of its sources; `build.rs` says of which. A version of
/// the program in which it is the same makes nothing again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Code {
    /// Of what plays, mixes and encodes.
    pub samples: &'static str,
    /// Of what writes tags, markers and the heads of files.
    pub tags: &'static str,
}

impl Code {
    /// The code of this program.
    pub const THIS: Code =
        Code { samples: env!("COUNTOFF_SAMPLES_CODE"), tags: env!("COUNTOFF_TAGS_CODE") };
}

/// What a sound file depends on, as the manifest has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SoundHashes {
    /// A hash of everything that its samples depend on.
    pub audio: String,
    /// A hash of everything that its content depends on.
    pub depends: String,
}

impl SoundHashes {
    /// Of a planned file, with what its instruments sound like
    /// ([`crate::sound::SoundFont::hash_of`]) and the code that makes it.
    #[must_use]
    pub fn of(sound: &SoundPlan, instruments: &[[u8; 32]], code: Code) -> SoundHashes {
        let audio = sound.audio.with(instruments, &[code.samples]);
        let depends = sound.depends.with(instruments, &[code.samples, code.tags]);
        SoundHashes { audio: audio.to_string(), depends: depends.to_string() }
    }
}

/// A hash of everything that a file's content depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Depends([u8; 32]);

impl Depends {
    /// Of the samples of a take: the notes that are heard and how they are mixed and levelled. The
    /// notes stand for chart, styles and seed: a change there that moves no note makes no file again.
    pub(super) fn of_take(lesson: &Lesson, track: &Track, notes: &TakeNotes) -> Depends {
        let mut hasher = ContentHasher::new();
        notes.performance.hash(&mut hasher);
        hasher.text(&format!("{:?} {}", track.mixes, notes.timeline.loops));
        hasher.text(&format!("{:?} {} {:?}", lesson.rate, lesson.loudness_target, lesson.level));
        Depends(hasher.content())
    }

    /// Of the samples of one of its mixes.
    pub(super) fn in_mix(self, mix: &MixSpec, begins: Frames) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        hasher.text(&format!("{mix:?} {begins:?}"));
        Depends(hasher.content())
    }

    /// The same with what a file says of itself: its tags and markers.
    pub(super) fn and_tags(self, tags: &Tags, notes: &TakeNotes) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        hasher.text(&format!("{tags:?} {:?}", notes.timeline.markers()));
        Depends(hasher.content())
    }

    /// The same for a file in a format. The name of a file seeds its dither.
    pub(super) fn in_file(self, path: &str, format: FileFormat) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        hasher.text(path);
        hasher.text(&format!("{format:?}"));
        Depends(hasher.content())
    }

    /// The same with what the instruments sound like, and the code that makes the file.
    fn with(self, instruments: &[[u8; 32]], code: &[&str]) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        instruments.iter().for_each(|instrument| hasher.write(instrument));
        code.iter().for_each(|code| hasher.text(code));
        Depends(hasher.content())
    }
}

impl std::fmt::Display for Depends {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}
