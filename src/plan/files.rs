//! The files of a take: names, tags, markers.

use crate::arrange::Shape;
use crate::deliver::{FileFormat, FileName, Tags};
use crate::lesson::{Lesson, Mix, Track};
use crate::mix::MixSpec;
use crate::performance::Part;
use crate::theory::Key;
use crate::units::{Bpm, Frames};

use super::depends::Depends;
use super::take::TakeNotes;

/// One sound file to be made.
#[derive(Debug, Clone)]
pub struct SoundPlan {
    /// Its path from the set's folder, with `/` between folders.
    pub path: String,
    /// What sets it apart from the take's other files, as students read it: empty for the first mix.
    pub label: String,
    /// Who is heard.
    pub mix: MixSpec,
    /// How much of the take, from tick 0, goes by before its first frame: all other mixes and the
    /// stems begin with the take, but one without the count-in begins with the music.
    pub begins: Frames,
    /// How it is written.
    pub format: FileFormat,
    /// What it says of itself.
    pub tags: Tags,
    /// A hash of everything that its samples depend on, but for the SoundFont.
    pub audio: Depends,
    /// A hash of everything that its content depends on, but for the SoundFont.
    pub depends: Depends,
}

impl SoundPlan {
    /// Its path without the ending: all formats of a mix have it in common.
    #[must_use]
    pub fn stem(&self) -> &str {
        self.path.rsplit_once('.').map_or(&self.path, |(stem, _)| stem)
    }
}

/// The files of one track at one key and tempo.
pub(super) struct Files<'a> {
    lesson: &'a Lesson,
    track: &'a Track,
    /// `None` where a file goes through several.
    key: Option<Key>,
    tempo: Option<Bpm>,
}

impl<'a> Files<'a> {
    pub(super) fn of(lesson: &'a Lesson, track: &'a Track, key: Key, tempo: Bpm) -> Files<'a> {
        let key = (!matches!(track.shape, Shape::RoundTheKeys { .. })).then_some(key);
        let tempo = (!matches!(track.shape, Shape::Ladder { .. })).then_some(tempo);
        Files { lesson, track, key, tempo }
    }

    /// Which tempo it is, in a student's words; empty where the lesson tells none of them apart.
    fn pace(&self) -> &'static str {
        match (self.tempo, self.track.at_tempo) {
            (Some(tempo), Some(at)) if tempo == at => "at tempo",
            (Some(_), Some(_)) => "slow",
            _ => "",
        }
    }

    fn name(&self, mix: &str) -> FileName {
        FileName {
            track: self.track.number,
            tracks: self.lesson.track_count(),
            title: self.track.name.clone(),
            key: self.key,
            tempo: self.tempo,
            pace: self.pace().to_owned(),
            mix: mix.to_owned(),
        }
    }

    fn path(&self, mix: &str, extension: &str) -> String {
        let name = self.name(mix);
        format!("{}/{}.{extension}", name.folder(), name.stem())
    }

    pub(super) fn take(&self) -> String {
        self.name("").stem()
    }

    pub(super) fn midi(&self) -> String {
        self.path("", "mid")
    }

    /// The table of bar times, where the lesson asks for one.
    pub(super) fn bar_times(&self) -> Option<String> {
        self.lesson.bar_times.then(|| self.path("bars", "csv"))
    }

    /// The sound files of all mixes, one a format.
    pub(super) fn sounds(&self, notes: &TakeNotes) -> Vec<SoundPlan> {
        let samples = Depends::of_take(self.lesson, self.track, notes);
        let mixes = self.track.mixes.iter();
        mixes.flat_map(|mix| self.sounds_of(mix, notes, samples)).collect()
    }

    fn sounds_of(&self, mix: &Mix, notes: &TakeNotes, samples: Depends) -> Vec<SoundPlan> {
        let mut parts = mix.parts.clone();
        parts.extend(mix.click.then_some(Part::Click));
        parts.extend(mix.count_in.then_some(Part::CountIn));
        let spec = MixSpec { balance: mix.balance, stem: mix.stem, ..MixSpec::of(&parts) };
        let tags = self.tags(mix);
        let whole = mix.count_in || mix.stem;
        let begins = if whole { Frames::ZERO } else { notes.music_begins(self.lesson.rate) };
        let samples = samples.in_mix(&spec, begins);
        let formats = self.lesson.formats.iter().map(|format| format.with(self.lesson.samples));
        let plan = |format: FileFormat| {
            let path = self.path(&mix.label, format.extension());
            let audio = samples.in_file(&path, format);
            let depends = audio.and_tags(&tags, notes);
            let (mix, label, tags) = (spec.clone(), mix.label.clone(), tags.clone());
            SoundPlan { path, label, mix, begins, format, tags, audio, depends }
        };
        formats.map(plan).collect()
    }

    fn tags(&self, mix: &Mix) -> Tags {
        let credits = &self.lesson.credits;
        // What tells it from the others on a phone, where no folder does.
        let key = self.key.map(|key| format!("in {key}"));
        let tempo = self.tempo.map(|tempo| match self.pace() {
            "" => format!("{tempo} bpm"),
            pace => format!("{tempo} bpm, {pace}"),
        });
        let mix = Some(mix.label.clone()).filter(|label| !label.is_empty());
        let words = [Some(self.track.name.clone()), key, tempo, mix];
        let words: Vec<String> = words.into_iter().flatten().collect();
        let number = self.name("");
        Tags {
            title: words.join(", "),
            album: self.lesson.title.clone(),
            teacher: credits.teacher.clone().unwrap_or_default(),
            copyright: credits.copyright.clone().unwrap_or_default(),
            year: credits.year.map(i32::from),
            track: Some((number.track, number.tracks)),
            key: self.key,
            tempo: self.tempo,
        }
    }
}
