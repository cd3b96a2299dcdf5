//! Who reads the notes: instruments that sound in another key than they read, and other clefs.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::codec::musicxml::score::{Clef, Transpose};
use crate::theory::{Interval, Key};

/// Whom a lead sheet is for.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Reader {
    /// Sounding pitch in the treble clef: piano, guitar, voice, flute.
    Concert,
    /// Instruments in B flat: trumpet, clarinet, soprano and tenor saxophone.
    BFlat,
    /// Instruments in E flat: alto and baritone saxophone.
    EFlat,
    /// Sounding pitch in the bass clef: trombone, bass.
    BassClef,
}

impl Reader {
    /// All of them, in the order in which messages list them.
    pub const ALL: [Reader; 4] = [Reader::Concert, Reader::BFlat, Reader::EFlat, Reader::BassClef];

    /// The name that lessons have for it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Reader::Concert => "concert",
            Reader::BFlat => "b-flat",
            Reader::EFlat => "e-flat",
            Reader::BassClef => "bass-clef",
        }
    }

    /// What a title says of it.
    #[must_use]
    pub const fn title(self) -> Option<&'static str> {
        match self {
            Reader::Concert => None,
            Reader::BFlat => Some("for B flat instruments"),
            Reader::EFlat => Some("for E flat instruments"),
            Reader::BassClef => Some("in bass clef"),
        }
    }

    pub(super) const fn clef(self) -> Clef {
        match self {
            Reader::BassClef => Clef::Bass,
            _ => Clef::Treble,
        }
    }

    /// Semitones from sounding to written pitch: a trumpet's and an alto saxophone's (`tests/facts/practice.tsv`).
    const fn semitones(self) -> i8 {
        match self {
            Reader::Concert | Reader::BassClef => 0,
            Reader::BFlat => 2,
            Reader::EFlat => 9,
        }
    }

    /// The key that is read where a key sounds, as the trade spells it.
    pub(super) fn written_key(self, sounding: Key) -> Key {
        match self.semitones() {
            0 => sounding,
            semitones => sounding.transposed(i32::from(semitones)),
        }
    }

    /// From written to sounding pitch.
    pub(super) fn transpose(self, sounding: Key) -> Option<Transpose> {
        if self.semitones() == 0 {
            return None;
        }
        let up = Interval::up(sounding.tonic, self.written_key(sounding).tonic);
        Some(Transpose { diatonic: -up.steps, chromatic: -up.semitones })
    }

    /// By how many semitones sounding notes are moved to be read: what the instrument needs, and
    /// octaves to where it is easily played and read. `None` of the notes leave the range if that
    /// can be had. Ranges are common practice.
    pub(super) fn shift(self, pitches: impl Iterator<Item = u8> + Clone) -> i16 {
        let (lowest, highest) = match self {
            Reader::Concert => return 0,
            // Written B flat 3 to D 6.
            Reader::BFlat | Reader::EFlat => (58, 86),
            // E 2 to G 4.
            Reader::BassClef => (40, 67),
        };
        let shift = |octave: i16| i16::from(self.semitones()) + 12 * octave;
        let outside = |octave: &i16| {
            let moved = pitches.clone().map(|pitch| i16::from(pitch) + shift(*octave));
            moved.filter(|pitch| !(lowest..=highest).contains(pitch)).count()
        };
        let nearest_first = [0, -1, 1, -2, 2, -3];
        nearest_first.into_iter().min_by_key(outside).map_or(0, shift)
    }
}

impl std::str::FromStr for Reader {
    type Err = ();

    fn from_str(text: &str) -> Result<Reader, ()> {
        Reader::ALL.into_iter().find(|reader| reader.name() == text).ok_or(())
    }
}
