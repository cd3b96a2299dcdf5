//! One take: its sound files and its MIDI file.

use std::sync::atomic::{AtomicBool, Ordering};

use crate::codec::smf;
use crate::codec::wav::{Marker, SampleLoop};
use crate::deliver::{
    DeliverError, FileEntry, Folder, SoundEntry, SoundFile, TakeEntry, bar_times, song,
};
use crate::mix::{self, MixError, MixReport, MixSpec};
use crate::plan::{SoundHashes, SoundPlan, TakePlan};
use crate::units::Frames;

use super::files::{MixFiles, Written};
use super::record::{Record, first_frame, take_entry};
use super::sink_thread::SinkThread;
use super::small::SmallFile;
use super::studio::{CommonSource, SoundStudio, rounds, settings};
use super::tags;
use super::whole::WholeFile;
use super::{Made, Progress, Render, RenderError, Work};

/// Makes single takes.
pub(super) struct TakeMaker<'a> {
    pub(super) render: &'a Render<'a>,
    /// The buses that other takes have in common with this one.
    pub(super) common: &'a CommonSource<'a>,
    pub(super) folder: &'a Folder,
    pub(super) record: &'a Record,
    pub(super) progress: &'a dyn Progress,
    /// Takes what is whole, to put it in its place.
    pub(super) hand_over: &'a dyn Fn(WholeFile),
    /// Whether a long take may have threads of its own.
    pub(super) has_spare_threads: bool,
    /// Set by whoever wants the work to stop soon.
    pub(super) stop: &'a AtomicBool,
}

impl TakeMaker<'_> {
    /// Makes what a take lacks.
    pub(super) fn make(&self, take: &TakePlan) -> Result<(), RenderError> {
        let lesson = self.render.lesson;
        let track = &lesson.tracks[take.track];
        let entry = take_entry(take, track, lesson.rate)?;
        self.bar_times(take, &entry)?;
        self.record.take(take, entry);
        self.midi(take)?;
        let instruments = self.render.instrument_hashes(take)?;
        let wanted = take.sounds.iter().map(|sound| self.wanted(take, sound, &instruments));
        let wanted = wanted.collect::<Result<Vec<Wanted<'_>>, RenderError>>()?;
        let missing = || wanted.iter().filter(|wanted| !wanted.is_settled);
        if self.render.work == Work::Collect {
            missing().for_each(|wanted| self.record.missing(&wanted.sound.path));
            Ok(())
        } else if missing().next().is_none() {
            Ok(())
        } else {
            self.sounds(take, &wanted)
        }
    }

    /// All mixes of a take, in one pass: one gain serves them all, so they are made together, and
    /// all formats of a mix from the same frames. Files that are as they should be are left alone.
    fn sounds(&self, take: &TakePlan, wanted: &[Wanted<'_>]) -> Result<(), RenderError> {
        let lesson = self.render.lesson;
        let mixes: Vec<&[Wanted<'_>]> =
            wanted.chunk_by(|one, other| one.sound.mix == other.sound.mix).collect();
        let specs: Vec<MixSpec> =
            mixes.iter().filter_map(|files| Some(files.first()?.sound.mix.clone())).collect();
        let rounds = rounds(take, lesson.rate);
        let settings = settings(lesson, take, self.has_spare_threads);
        let sounds = (self.render.sounds)()?;
        let performance = &take.notes.performance;
        let studio = SoundStudio {
            sounds: &sounds,
            common: self.common,
            folder: self.folder.root(),
            rounds,
            stop: self.stop,
        };
        let open = |index: usize, frames| self.open(take, mixes[index], frames);
        let mixed = if settings.player_thread {
            std::thread::scope(|scope| {
                let open = |index, frames| SinkThread::start(scope, open(index, frames)?);
                let (report, sinks) = mix::render(performance, &studio, &specs, &settings, open)?;
                let mut files = Vec::new();
                for (mix, sink) in sinks.into_iter().enumerate() {
                    files.push(sink.finish().map_err(|source| MixError::Write { mix, source })?);
                }
                Ok((report, files))
            })
        } else {
            mix::render(performance, &studio, &specs, &settings, open)
        };
        let (report, sinks) = mixed.map_err(|source| self.failure(take, source))?;
        for ((files, mixed), wanted) in sinks.into_iter().zip(&report.mixes).zip(&mixes) {
            for written in files.finish()? {
                let wanted = wanted.iter().find(|wanted| wanted.sound.path == written.sound.path);
                if let Some(wanted) = wanted {
                    (self.hand_over)(self.whole(take, written, wanted, mixed));
                }
            }
        }
        Ok(())
    }

    /// What is to be done for a file; where it is only its tags, it is done at once.
    fn wanted<'s>(
        &self,
        take: &TakePlan,
        sound: &'s SoundPlan,
        instruments: &[[u8; 32]],
    ) -> Result<Wanted<'s>, RenderError> {
        let path = &sound.path;
        let SoundHashes { audio, depends } = SoundHashes::of(sound, instruments, self.render.code);
        let mut is_settled = self.record.unchanged(path, &depends);
        if is_settled {
            self.progress.kept(path);
        } else if self.record.is_changed(path)? {
            self.record.leave(path);
            self.progress.left_alone(path);
            is_settled = true;
        } else if self.render.work != Work::Collect
            && let Some(old) = self.record.same_samples(path, &audio)
            && let Some(samples) = &old.sound
        {
            let content = self.content(take, sound, Frames(samples.frames));
            if let Some((file, hash)) = tags::write_tags(self.folder, sound, &content)? {
                let entry = FileEntry { hash, depends: depends.clone(), ..old.clone() };
                if self.record.put(file, path, entry)? {
                    self.progress.tagged(path);
                } else {
                    self.progress.left_alone(path);
                }
                is_settled = true;
            }
        }
        Ok(Wanted { sound, audio, depends, is_settled })
    }

    /// A file that is written, and what is to be noted of it.
    fn whole(
        &self,
        take: &TakePlan,
        written: Written<'_>,
        wanted: &Wanted<'_>,
        mixed: &MixReport,
    ) -> WholeFile {
        let Written { sound, file, hash, picture } = written;
        let mixed = MixReport { frames: mixed.frames - sound.begins, ..*mixed };
        let entry = FileEntry {
            purpose: if sound.mix.stem { "stem" } else { "mix" }.to_owned(),
            take: Some(take.name.clone()),
            parts: sound.mix.parts.iter().map(ToString::to_string).collect(),
            size: 0,
            modified: 0,
            hash,
            depends: wanted.depends.clone(),
            sound: Some(sound_entry(&mixed, &wanted.audio, sound.begins, &picture)),
        };
        let made = Made {
            path: sound.path.clone(),
            seconds: mixed.frames.seconds(self.render.lesson.rate),
            loudness: mixed.programme.finite(),
            short_of_target: mixed.short_of_target.map(|short| short.0),
        };
        WholeFile { file, entry, made }
    }

    /// Begins the files of a mix.
    fn open<'s>(
        &'s self,
        take: &TakePlan,
        wanted: &[Wanted<'s>],
        frames: Frames,
    ) -> std::io::Result<MixFiles<'s>> {
        let Some(first) = wanted.first() else {
            return Err(std::io::Error::other("a mix without a file"));
        };
        let begins = first.sound.begins;
        let content = self.content(take, first.sound, frames - begins);
        let missing = wanted.iter().filter(|wanted| !wanted.is_settled).map(|wanted| wanted.sound);
        MixFiles::begin(self.folder, missing, &content, begins, self.stop)
            .map_err(std::io::Error::other)
    }

    /// What is known of a file before its first frame.
    fn content(&self, take: &TakePlan, sound: &SoundPlan, frames: Frames) -> SoundFile {
        let rate = self.render.lesson.rate;
        let tempo = &take.notes.timeline.tempo;
        let markers = take.notes.timeline.markers().into_iter().filter_map(|marker| {
            // What lies before the file is not in it; the silence that leads in is.
            let at = tempo.frame(marker.at, rate);
            let at = (at >= sound.begins).then(|| at - sound.begins + first_frame(take))?;
            Some(Marker { at, label: marker.label })
        });
        SoundFile {
            name: sound.stem().to_owned(),
            rate,
            frames,
            tags: sound.tags.clone(),
            markers: markers.collect(),
            sample_loop: rounds(take, rate)
                .map(|rounds| SampleLoop { from: Frames::ZERO, to: rounds.length }),
        }
    }

    fn midi(&self, take: &TakePlan) -> Result<(), RenderError> {
        let path = &take.midi;
        let lesson = self.render.lesson;
        let title = &lesson.tracks[take.track].name;
        let song = song(title, &take.notes.timeline, &take.notes.performance);
        let bytes =
            smf::write(&song).map_err(|source| RenderError::Midi { path: path.clone(), source })?;
        let parts = take.notes.performance.parts.iter().map(|part| part.part.to_string());
        let (bytes, parts, take) = (&bytes, parts.collect(), Some(take.name.as_str()));
        self.small(SmallFile { path, purpose: "midi", bytes, take, parts })
    }

    /// The table of bar times, where one is asked for.
    fn bar_times(&self, take: &TakePlan, entry: &TakeEntry) -> Result<(), RenderError> {
        let Some(path) = &take.bar_times else { return Ok(()) };
        let bytes = bar_times(entry, self.render.lesson.rate)
            .map_err(|source| RenderError::BarTimes { path: path.clone(), source })?;
        let (bytes, parts, take) = (&bytes, Vec::new(), Some(take.name.as_str()));
        self.small(SmallFile { path, purpose: "bar-times", bytes, take, parts })
    }

    /// A small file of a take; a run that makes none notes that it is missing.
    fn small(&self, file: SmallFile<'_>) -> Result<(), RenderError> {
        if self.render.work == Work::Collect && !file.is_there(self.record) {
            self.record.missing(file.path);
            return Ok(());
        }
        file.put(self.record, self.progress)
    }

    /// What a failed mix means for the user: a full disk is reported as such.
    fn failure(&self, take: &TakePlan, error: MixError) -> RenderError {
        if self.stop.load(Ordering::Relaxed) {
            return RenderError::Stopped;
        }
        match error {
            MixError::Write { mix, source } => {
                let path = take.sounds.get(mix).map_or("", |sound| sound.path.as_str());
                DeliverError::write(self.folder.root().join(path), source).into()
            }
            source => RenderError::Mix { take: take.name.clone(), source },
        }
    }
}

/// A sound file, and whether it is to be made.
struct Wanted<'a> {
    sound: &'a SoundPlan,
    /// The hash of all that its samples depend on.
    audio: String,
    /// The hash of all that it depends on.
    depends: String,
    /// It is there as it should be, or what is there is left alone.
    is_settled: bool,
}

/// To a hundredth of a decibel or LU, finer than any meter reads. Without it, the last digits would be
/// those of the system's mathematics.
fn hundredths(level: f64) -> f64 {
    rounded(level, 100.0)
}

/// To so many parts of one.
fn rounded(value: f64, parts: f64) -> f64 {
    // No minus before a zero.
    (value * parts).round() / parts + 0.0
}

fn sound_entry(report: &MixReport, audio: &str, begins: Frames, picture: &str) -> SoundEntry {
    SoundEntry {
        frames: report.frames.0,
        begins: begins.0,
        audio: audio.to_owned(),
        programme_lufs: report.programme.finite().map(hundredths),
        lufs: report.loudness.finite().map(hundredths),
        true_peak: report.true_peak.0.is_finite().then(|| hundredths(report.true_peak.0)),
        gain: rounded(report.gain.0, 1e9),
        limiter_share: rounded(report.limiter_share(), 1e4),
        limiter_deepest: hundredths(report.limiter.deepest.0),
        short_of_target: report.short_of_target.map(|short| hundredths(short.0)),
        picture: picture.to_owned(),
    }
}
