//! What a file depends on, as a hash: the same hash, the same content.

use std::hash::{Hash, Hasher};

use crate::deliver::{FileFormat, Tags};
use crate::lesson::{Lesson, Track};
use crate::mix::MixSpec;
use crate::units::Frames;

use super::take::TakeNotes;

/// A hash of everything that a file's content depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Depends([u8; 32]);

impl Depends {
    /// Of the samples of a mix: the notes that are heard and how they are mixed and levelled, by
    /// this version of the program. The notes stand for chart, styles and seed: a change there that
    /// moves no note makes no file again.
    pub(super) fn of_samples(
        lesson: &Lesson,
        track: &Track,
        notes: &TakeNotes,
        mix: &MixSpec,
        begins: Frames,
    ) -> Depends {
        let mut hasher = ContentHasher::new();
        notes.performance.hash(&mut hasher);
        hasher.text(env!("CARGO_PKG_VERSION"));
        hasher.text(&format!("{mix:?} {:?} {} {begins:?}", track.mixes, notes.timeline.loops));
        hasher.text(&format!("{:?} {} {:?}", lesson.rate, lesson.loudness_target, lesson.level));
        hasher.depends()
    }

    /// The same with what a file says of itself: its tags and markers.
    pub(super) fn and_tags(self, tags: &Tags, notes: &TakeNotes) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        hasher.text(&format!("{tags:?} {:?}", notes.timeline.markers()));
        hasher.depends()
    }

    /// The same for a file in a format. The name of a file seeds its dither.
    pub(super) fn in_file(self, path: &str, format: FileFormat) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        hasher.text(path);
        hasher.text(&format!("{format:?}"));
        hasher.depends()
    }

    /// The same with a SoundFont's hash added.
    #[must_use]
    pub fn with(self, soundfont: &[u8]) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        hasher.write(soundfont);
        hasher.depends()
    }
}

impl std::fmt::Display for Depends {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// BLAKE3 behind the interface of the standard library's hashers: unlike theirs, its result is
/// the same in every version.
struct ContentHasher(blake3::Hasher);

impl ContentHasher {
    fn new() -> ContentHasher {
        ContentHasher(blake3::Hasher::new())
    }

    fn text(&mut self, text: &str) {
        self.write_usize(text.len());
        self.write(text.as_bytes());
    }

    fn depends(&self) -> Depends {
        Depends(*self.0.finalize().as_bytes())
    }
}

impl Hasher for ContentHasher {
    fn write(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    /// Not used: [`ContentHasher::depends`] gives the whole hash.
    fn finish(&self) -> u64 {
        0
    }
}
