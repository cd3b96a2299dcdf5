//! Who plays a line, on what, and between which notes.

use std::ops::RangeInclusive;

use crate::lesson::Lesson;
use crate::lesson::checker::Checker;
use crate::lesson::file::{LessonFile, LineEntry};
use crate::lesson::places::{Places, Step};
use crate::part::{GENERAL_MIDI, Hand, Instrument};
use crate::problem::{Problem, Problems, nearest};
use crate::sound::PresetName;
use crate::theory::Pitch;

/// A range must hold a line in all keys: an octave.
const LEAST_RANGE: u8 = 12;

impl Lesson {
    /// Whether a SoundFont has what the lines of a lesson are played on. `name` is what the user
    /// calls the lesson, `text` what it says.
    ///
    /// # Errors
    /// The instruments that the SoundFont lacks, each with its place.
    pub fn instruments_are_in(
        &self,
        name: &str,
        text: &str,
        presets: &[PresetName],
    ) -> Result<(), Problems> {
        let there = |wanted: Instrument| presets.iter().any(|preset| preset.instrument == wanted);
        if self.lines.iter().all(|line| there(line.instrument)) {
            return Ok(());
        }
        let names: Vec<&str> = presets
            .iter()
            .filter(|preset| preset.instrument.bank == 0)
            .filter_map(|preset| preset.instrument.name())
            .collect();
        let places = Places::of(text);
        let written = toml::from_str::<LessonFile>(text).map(|file| file.line).unwrap_or_default();
        let mut problems = Vec::new();
        for (index, entry) in written.iter().enumerate() {
            let Some(wanted) = &entry.instrument else { continue };
            if Instrument::named(wanted).is_none_or(there) {
                continue;
            }
            let path = [Step::Key("line"), Step::Entry(index), Step::Key("instrument")];
            let message = format!("the SoundFont has no {wanted}");
            let nearest = nearest(wanted, names.iter().copied());
            let meant =
                nearest.map_or_else(String::new, |name| format!("did you mean \"{name}\"? "));
            let help = format!("{meant}it has {}", names.join(", "));
            problems.push(Problem::new(message, places.value(&path)).help(help));
        }
        if problems.is_empty() {
            return Ok(());
        }
        Err(Problems { name: name.to_owned(), text: text.into(), problems })
    }
}

impl Checker<'_> {
    pub(super) fn hand(&mut self, entry: &LineEntry, index: usize) -> Hand {
        let path = [Step::Key("line"), Step::Entry(index), Step::Key("hand")];
        match entry.hand.as_deref().and_then(|word| self.word(word, &["right", "left"], &path)) {
            Some(1) => Hand::Left,
            _ => Hand::Right,
        }
    }

    pub(super) fn instrument(&mut self, entry: &LineEntry, index: usize) -> Instrument {
        let Some(name) = &entry.instrument else { return Instrument::PIANO };
        Instrument::named(name).unwrap_or_else(|| {
            let path = [Step::Key("line"), Step::Entry(index), Step::Key("instrument")];
            let help = match nearest(name, GENERAL_MIDI) {
                Some(right) => format!("did you mean \"{right}\"? use a name of General MIDI"),
                None => "use a name of General MIDI, such as \"Vibraphone\"; \
                         `countoff soundfonts` tells which there are"
                    .to_owned(),
            };
            self.say(format!("there is no instrument named `{name}`"), &path, help);
            Instrument::PIANO
        })
    }

    /// The range of a line, `"C4 C6"`.
    pub(super) fn line_range(
        &mut self,
        entry: &LineEntry,
        index: usize,
    ) -> Option<RangeInclusive<u8>> {
        let text = entry.range.as_ref()?;
        let path = [Step::Key("line"), Step::Entry(index), Step::Key("range")];
        let ends: Result<Vec<Pitch>, _> = text.split_whitespace().map(str::parse).collect();
        let ends = match ends {
            Ok(ends) => ends,
            Err(error) => {
                self.say(error.to_string(), &path, "write a range as \"C4 C6\"");
                return None;
            }
        };
        let numbers: Vec<u8> = ends.into_iter().filter_map(Pitch::midi).collect();
        let [low, high] = numbers[..] else {
            let message = format!("`{text}` is no range");
            self.say(message, &path, "write the lowest and the highest note: \"C4 C6\"");
            return None;
        };
        if high.checked_sub(low).is_none_or(|size| size < LEAST_RANGE) {
            let help = "write the lowest note first; the highest is an octave above it, or more";
            self.say(format!("the range {text} is too small"), &path, help);
            return None;
        }
        Some(low..=high)
    }
}
