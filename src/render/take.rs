//! One take: its sound files and its MIDI file.

use std::io::Write;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::codec::smf;
use crate::codec::wav::{Marker, SampleLoop};
use crate::deliver::{
    DeliverError, FileEntry, Folder, SoundEntry, SoundFile, TakeEntry, bar_times, song,
};
use crate::mix::{self, Extent, MixError, MixReport, MixSettings, MixSpec};
use crate::plan::{SoundPlan, TakePlan};
use crate::units::{Frames, SampleRate};

use super::files::{MixFiles, WholeFile};
use super::record::{Record, first_frame, take_entry};
use super::studio::SoundStudio;
use super::{Made, Progress, Render, RenderError, Work};

/// Makes single takes.
pub(super) struct TakeMaker<'a> {
    pub(super) render: &'a Render<'a>,
    pub(super) folder: &'a Folder,
    pub(super) record: &'a Record,
    pub(super) progress: &'a dyn Progress,
    /// Whether a take may use more than one thread.
    pub(super) spread: bool,
    /// Set by whoever wants the work to stop soon.
    pub(super) stop: &'a AtomicBool,
}

impl TakeMaker<'_> {
    /// Makes what a take lacks.
    pub(super) fn make(&self, take: &TakePlan) -> Result<(), RenderError> {
        let lesson = self.render.lesson;
        let track = &lesson.tracks[take.track];
        let entry = take_entry(take, &track.name, lesson.rate);
        self.bar_times(take, &entry)?;
        self.record.take(take, entry);
        self.midi(take)?;
        let wanted: Vec<Wanted<'_>> = take.sounds.iter().map(|sound| self.wanted(sound)).collect();
        for wanted in wanted.iter().filter(|wanted| wanted.unchanged) {
            self.progress.kept(&wanted.sound.path);
        }
        let missing = || wanted.iter().filter(|wanted| !wanted.unchanged);
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
        let round = round(take, lesson.rate);
        let settings = MixSettings {
            rate: lesson.rate,
            target: lesson.loudness_target,
            level: lesson.level,
            spread: self.spread,
            extent: round
                .map_or(Extent::Whole, |round| Extent::Cut { from: round, to: round + round }),
            ..MixSettings::default()
        };
        let sounds = (self.render.sounds)()?;
        let studio = SoundStudio { sounds: &sounds, round };
        let open = |index: usize, frames| self.open(take, mixes[index], frames);
        let mixed = mix::render(&take.notes.performance, &studio, &specs, &settings, open);
        let (report, sinks) = mixed.map_err(|source| self.failure(take, source))?;
        for ((files, mixed), wanted) in sinks.into_iter().zip(&report.mixes).zip(&mixes) {
            for whole in files.finish()? {
                let depends = wanted.iter().find(|wanted| wanted.sound.path == whole.sound.path);
                let depends = depends.map(|wanted| wanted.depends.clone()).unwrap_or_default();
                self.note(take, &whole, depends, mixed)?;
            }
        }
        Ok(())
    }

    /// What is to be done for a file.
    fn wanted<'s>(&self, sound: &'s SoundPlan) -> Wanted<'s> {
        let depends = sound.depends.with(self.render.soundfont).to_string();
        let unchanged = self.record.unchanged(&sound.path, &depends);
        Wanted { sound, depends, unchanged }
    }

    /// Notes a file that is in its place.
    fn note(
        &self,
        take: &TakePlan,
        whole: &WholeFile<'_>,
        depends: String,
        mixed: &MixReport,
    ) -> Result<(), RenderError> {
        let WholeFile { sound, hash } = whole;
        let (size, modified) = self.folder.stamp(Path::new(&sound.path)).unwrap_or_default();
        let entry = FileEntry {
            purpose: if sound.mix.stem { "stem" } else { "mix" }.to_owned(),
            take: Some(take.name.clone()),
            parts: sound.mix.parts.iter().map(ToString::to_string).collect(),
            size,
            modified,
            hash: hash.clone(),
            depends,
            sound: Some(sound_entry(mixed)),
        };
        self.record.file(&sound.path, entry)?;
        self.progress.made(&Made {
            path: sound.path.clone(),
            seconds: mixed.frames.seconds(self.render.lesson.rate),
            loudness: mixed.programme.finite(),
            short_of_target: mixed.short_of_target.map(|short| short.0),
        });
        Ok(())
    }

    /// Begins the files of a mix.
    fn open<'s>(
        &'s self,
        take: &TakePlan,
        wanted: &[Wanted<'s>],
        frames: Frames,
    ) -> std::io::Result<MixFiles<'s>> {
        let rate = self.render.lesson.rate;
        let tempo = &take.notes.timeline.tempo;
        let markers = take.notes.timeline.markers().into_iter().map(|marker| Marker {
            at: tempo.frame(marker.at, rate) + first_frame(take),
            label: marker.label,
        });
        let sound = wanted.first().map(|wanted| wanted.sound);
        let content = SoundFile {
            name: sound.map(SoundPlan::stem).unwrap_or_default().to_owned(),
            rate,
            frames,
            tags: sound.map(|sound| sound.tags.clone()).unwrap_or_default(),
            markers: markers.collect(),
            sample_loop: round(take, rate)
                .map(|round| SampleLoop { from: Frames::ZERO, to: round }),
        };
        let missing = wanted.iter().filter(|wanted| !wanted.unchanged).map(|wanted| wanted.sound);
        MixFiles::begin(self.folder, missing, &content, self.stop).map_err(std::io::Error::other)
    }

    fn midi(&self, take: &TakePlan) -> Result<(), RenderError> {
        let path = &take.midi;
        let lesson = self.render.lesson;
        let title = &lesson.tracks[take.track].name;
        let song = song(title, &take.notes.timeline, &take.notes.performance);
        let bytes =
            smf::write(&song).map_err(|source| RenderError::Midi { path: path.clone(), source })?;
        let parts = take.notes.performance.parts.iter().map(|part| part.part.to_string());
        self.small(take, path, &bytes, "midi", parts.collect())
    }

    /// The table of bar times, where one is asked for.
    fn bar_times(&self, take: &TakePlan, entry: &TakeEntry) -> Result<(), RenderError> {
        let Some(path) = &take.bar_times else { return Ok(()) };
        let bytes = bar_times(entry)
            .map_err(|source| RenderError::BarTimes { path: path.clone(), source })?;
        self.small(take, path, &bytes, "bar-times", Vec::new())
    }

    /// A file that is small enough to be made before it is known whether it has changed: its hash
    /// tells.
    fn small(
        &self,
        take: &TakePlan,
        path: &str,
        bytes: &[u8],
        purpose: &str,
        parts: Vec<String>,
    ) -> Result<(), RenderError> {
        let hash = blake3::hash(bytes).to_hex().to_string();
        if self.record.unchanged(path, &hash) {
            self.progress.kept(path);
            return Ok(());
        }
        if self.render.work == Work::Collect {
            self.record.missing(path);
            return Ok(());
        }
        let mut file = self.folder.create(Path::new(path))?;
        file.write_all(bytes)
            .map_err(|source| DeliverError::write(self.folder.root().join(path), source))?;
        file.commit()?;
        let (size, modified) = self.folder.stamp(Path::new(path)).unwrap_or_default();
        let entry = FileEntry {
            purpose: purpose.to_owned(),
            take: Some(take.name.clone()),
            parts,
            size,
            modified,
            hash: hash.clone(),
            depends: hash,
            sound: None,
        };
        self.record.file(path, entry)?;
        self.progress.made(&Made {
            path: path.to_owned(),
            seconds: 0.0,
            loudness: None,
            short_of_target: None,
        });
        Ok(())
    }

    /// What a failed mix means for the user: a full disk or a foreign file is told as such.
    fn failure(&self, take: &TakePlan, error: MixError) -> RenderError {
        if self.stop.load(Ordering::Relaxed) {
            return RenderError::Stopped;
        }
        match error {
            MixError::Write { mix, source } => {
                let path = take.sounds.get(mix).map_or("", |sound| sound.path.as_str());
                match source.downcast::<DeliverError>() {
                    Ok(error) => error.into(),
                    Err(source) => {
                        DeliverError::write(self.folder.root().join(path), source).into()
                    }
                }
            }
            source => RenderError::Mix { take: take.name.clone(), source },
        }
    }
}

/// A sound file, and whether it is to be made.
struct Wanted<'a> {
    sound: &'a SoundPlan,
    /// The hash of all that it depends on.
    depends: String,
    /// It is there as it should be.
    unchanged: bool,
}

/// The length of a take that is played round and round, to the frame.
fn round(take: &TakePlan, rate: SampleRate) -> Option<Frames> {
    let timeline = &take.notes.timeline;
    timeline.loops.then(|| timeline.tempo.frame(timeline.end, rate))
}

fn sound_entry(report: &MixReport) -> SoundEntry {
    SoundEntry {
        frames: report.frames.0,
        programme_lufs: report.programme.finite(),
        lufs: report.loudness.finite(),
        true_peak: report.true_peak.0.is_finite().then_some(report.true_peak.0),
        gain: report.gain.0,
        limiter_share: report.limiter_share(),
        limiter_deepest: report.limiter.deepest.0,
        short_of_target: report.short_of_target.map(|short| short.0),
    }
}
