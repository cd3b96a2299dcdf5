//! What a file depends on, as a hash: the same hash, the same content.

use std::hash::{Hash, Hasher};

use crate::content_hash::ContentHasher;
use crate::deliver::{FileFormat, Tags};
use crate::lesson::{Lesson, Track};
use crate::mix::MixSpec;
use crate::units::Frames;

use super::take::TakeNotes;

/// A hash of everything that a file's content depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Depends([u8; 32]);

impl Depends {
    /// Of the samples of a take: the notes that are heard and how they are mixed and levelled, by
    /// this version of the program. The notes stand for chart, styles and seed: a change there that
    /// moves no note makes no file again.
    pub(super) fn of_take(lesson: &Lesson, track: &Track, notes: &TakeNotes) -> Depends {
        let mut hasher = ContentHasher::new();
        notes.performance.hash(&mut hasher);
        hasher.text(env!("CARGO_PKG_VERSION"));
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

    /// The same with what the instruments sound like.
    #[must_use]
    pub fn with(self, instruments: &[[u8; 32]]) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        instruments.iter().for_each(|instrument| hasher.write(instrument));
        Depends(hasher.content())
    }
}

impl std::fmt::Display for Depends {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}
