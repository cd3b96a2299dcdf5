//! Sounds by their General MIDI names.

/// A General MIDI sound: bank 128 is the percussion channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Instrument {
    /// 0, or 128 for percussion.
    pub bank: u16,
    /// Zero-based program number.
    pub program: u8,
}

/// The programs of General MIDI level 1 (MIDI Association, RP-003) in their order;
/// `tests/facts/general_midi.tsv`.
pub const GENERAL_MIDI: [&str; 128] = [
    "Acoustic Grand Piano",
    "Bright Acoustic Piano",
    "Electric Grand Piano",
    "Honky-tonk Piano",
    "Electric Piano 1",
    "Electric Piano 2",
    "Harpsichord",
    "Clavinet",
    "Celesta",
    "Glockenspiel",
    "Music Box",
    "Vibraphone",
    "Marimba",
    "Xylophone",
    "Tubular Bells",
    "Dulcimer",
    "Drawbar Organ",
    "Percussive Organ",
    "Rock Organ",
    "Church Organ",
    "Reed Organ",
    "Accordion",
    "Harmonica",
    "Tango Accordion",
    "Acoustic Guitar (nylon)",
    "Acoustic Guitar (steel)",
    "Electric Guitar (jazz)",
    "Electric Guitar (clean)",
    "Electric Guitar (muted)",
    "Overdriven Guitar",
    "Distortion Guitar",
    "Guitar Harmonics",
    "Acoustic Bass",
    "Electric Bass (finger)",
    "Electric Bass (pick)",
    "Fretless Bass",
    "Slap Bass 1",
    "Slap Bass 2",
    "Synth Bass 1",
    "Synth Bass 2",
    "Violin",
    "Viola",
    "Cello",
    "Contrabass",
    "Tremolo Strings",
    "Pizzicato Strings",
    "Orchestral Harp",
    "Timpani",
    "String Ensemble 1",
    "String Ensemble 2",
    "Synth Strings 1",
    "Synth Strings 2",
    "Choir Aahs",
    "Voice Oohs",
    "Synth Choir",
    "Orchestra Hit",
    "Trumpet",
    "Trombone",
    "Tuba",
    "Muted Trumpet",
    "French Horn",
    "Brass Section",
    "Synth Brass 1",
    "Synth Brass 2",
    "Soprano Sax",
    "Alto Sax",
    "Tenor Sax",
    "Baritone Sax",
    "Oboe",
    "English Horn",
    "Bassoon",
    "Clarinet",
    "Piccolo",
    "Flute",
    "Recorder",
    "Pan Flute",
    "Blown bottle",
    "Shakuhachi",
    "Whistle",
    "Ocarina",
    "Lead 1 (square)",
    "Lead 2 (sawtooth)",
    "Lead 3 (calliope)",
    "Lead 4 chiff",
    "Lead 5 (charang)",
    "Lead 6 (voice)",
    "Lead 7 (fifths)",
    "Lead 8 (bass + lead)",
    "Pad 1 (new age)",
    "Pad 2 (warm)",
    "Pad 3 (polysynth)",
    "Pad 4 (choir)",
    "Pad 5 (bowed)",
    "Pad 6 (metallic)",
    "Pad 7 (halo)",
    "Pad 8 (sweep)",
    "FX 1 (rain)",
    "FX 2 (soundtrack)",
    "FX 3 (crystal)",
    "FX 4 (atmosphere)",
    "FX 5 (brightness)",
    "FX 6 (goblins)",
    "FX 7 (echoes)",
    "FX 8 (sci-fi)",
    "Sitar",
    "Banjo",
    "Shamisen",
    "Koto",
    "Kalimba",
    "Bagpipe",
    "Fiddle",
    "Shanai",
    "Tinkle Bell",
    "Agogo",
    "Steel Drums",
    "Woodblock",
    "Taiko Drum",
    "Melodic Tom",
    "Synth Drum",
    "Reverse Cymbal",
    "Guitar Fret Noise",
    "Breath Noise",
    "Seashore",
    "Bird Tweet",
    "Telephone Ring",
    "Helicopter",
    "Applause",
    "Gunshot",
];

impl Instrument {
    /// The acoustic grand piano.
    pub const PIANO: Instrument = Instrument { bank: 0, program: 0 };

    /// The sound of a General MIDI name, however its words are joined and capitalised:
    /// `Vibraphone`, `alto sax`, `acoustic-guitar-nylon`. `piano` alone is the acoustic grand.
    #[must_use]
    pub fn named(name: &str) -> Option<Instrument> {
        let wanted = letters(name);
        if wanted == "piano" {
            return Some(Instrument::PIANO);
        }
        let program = GENERAL_MIDI.iter().position(|known| letters(known) == wanted)?;
        Some(Instrument { bank: 0, program: u8::try_from(program).ok()? })
    }

    /// Whether it is a drum kit: by common practice SoundFonts keep these in bank 128.
    #[must_use]
    pub const fn is_percussion(self) -> bool {
        self.bank == 128
    }

    /// Its General MIDI name; `None` for percussion and other banks.
    #[must_use]
    pub fn name(self) -> Option<&'static str> {
        let name = GENERAL_MIDI.get(usize::from(self.program)).copied();
        name.filter(|_| self.bank == 0)
    }
}

/// What counts of a name: its letters and numbers.
fn letters(name: &str) -> String {
    name.chars().filter(char::is_ascii_alphanumeric).map(|sign| sign.to_ascii_lowercase()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The outside list of names; see its note on sources.
    const FACTS: &str = include_str!("../../../tests/facts/general_midi.tsv");

    #[test]
    fn names_and_numbers_are_those_of_general_midi() {
        let rows = FACTS.lines().filter_map(|line| line.strip_prefix("GM1 program\t"));
        let mut count = 0;
        for row in rows {
            let cells: Vec<&str> = row.split('\t').collect();
            let program: u8 = cells[1].parse().unwrap();
            let instrument = Instrument::named(cells[2]).expect(cells[2]);
            assert_eq!((instrument.bank, instrument.program), (0, program));
            assert_eq!(instrument.name(), Some(cells[2]));
            count += 1;
        }
        assert_eq!(count, 128);
    }

    #[test]
    fn names_may_be_joined_in_any_way() {
        for name in ["alto sax", "Alto-Sax", "ALTO SAX", "altosax"] {
            assert_eq!(Instrument::named(name).map(|found| found.program), Some(65), "{name}");
        }
        assert_eq!(Instrument::named("piano"), Some(Instrument::PIANO));
        assert_eq!(Instrument::named("kazoo"), None);
        assert_eq!(Instrument { bank: 128, program: 0 }.name(), None);
    }
}
