//! The check of what the files are.

use crate::codec::wav::SampleFormat;
use crate::deliver::Container;
use crate::engrave::pages::Paper;
use crate::notation::Reader;
use crate::units::SampleRate;

use super::checker::Checker;
use super::file::FilesEntry;
use super::places::Step;

impl Checker<'_> {
    /// The formats, in the order in which they are made.
    pub(super) fn formats(&mut self, files: &FilesEntry) -> Vec<Container> {
        let path = [Step::Key("files"), Step::Key("formats")];
        let words = Container::ALL.map(Container::name);
        let mut formats = Vec::new();
        for (index, name) in files.formats.iter().enumerate() {
            let here = [path[0], path[1], Step::Entry(index)];
            let Some(format) = self.word(name, &words, &here).map(|word| Container::ALL[word])
            else {
                continue;
            };
            if !format.is_built() {
                self.say(NOT_BUILT, &here, HOW_TO_BUILD);
            }
            if formats.contains(&format) {
                self.say(format!("`{name}` is there twice"), &here, "leave one out");
            }
            formats.push(format);
        }
        if files.formats.is_empty() {
            self.say("there is no format", &path, "name at least one, such as [\"wav\"]");
        }
        formats.sort_unstable();
        formats
    }

    /// Whom notes are written for, in order.
    pub(super) fn notes(&mut self, files: &FilesEntry) -> Vec<Reader> {
        let path = [Step::Key("files"), Step::Key("notes")];
        let words = Reader::ALL.map(Reader::name);
        let mut readers: Vec<Reader> = Vec::new();
        for (index, name) in files.notes.iter().enumerate() {
            let here = [path[0], path[1], Step::Entry(index)];
            let found = self.word(name, &words, &here);
            let Some(reader) = found.and_then(|word| Reader::ALL.get(word)) else { continue };
            if readers.contains(reader) {
                self.say(format!("`{name}` is there twice"), &here, "leave one out");
            }
            readers.push(*reader);
        }
        readers.sort_unstable();
        readers
    }

    /// The paper of the handout.
    pub(super) fn paper(&mut self, files: &FilesEntry) -> Paper {
        let path = [Step::Key("files"), Step::Key("paper")];
        let found = self.word(&files.paper, &Paper::ALL.map(Paper::name), &path);
        found.and_then(|word| Paper::ALL.get(word)).copied().unwrap_or_default()
    }

    pub(super) fn samples(&mut self, files: &FilesEntry) -> SampleFormat {
        match files.bits {
            16 => SampleFormat::Int16,
            24 => SampleFormat::Int24,
            32 => SampleFormat::Float32,
            other => {
                let path = [Step::Key("files"), Step::Key("bits")];
                self.say(format!("{other} bits cannot be written"), &path, "use 16, 24 or 32");
                SampleFormat::Int16
            }
        }
    }

    pub(super) fn rate(&mut self, files: &FilesEntry) -> SampleRate {
        let rate = u32::try_from(files.rate).ok().and_then(SampleRate::from_hz);
        rate.unwrap_or_else(|| {
            let path = [Step::Key("files"), Step::Key("rate")];
            let message = format!("{} frames a second cannot be written", files.rate);
            self.say(message, &path, "use 44100 or 48000");
            SampleRate::default()
        })
    }
}

/// What is said where MP3 is asked for and cannot be made.
pub const NOT_BUILT: &str = "this program was built without MP3";
/// What can be done about it.
pub const HOW_TO_BUILD: &str = "build it with MP3: `cargo install --path . --features mp3` (it needs a C compiler), or leave mp3 \
     out; FLAC is always there";
