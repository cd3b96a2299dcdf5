//! One take: its sound files and its MIDI file.

use std::io::{BufWriter, Write};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::codec::smf;
use crate::codec::wav::{Marker, SampleLoop};
use crate::deliver::{
    AtomicFile, DeliverError, Encoder, FileEntry, FileFormat, Folder, Hashed, SoundEntry,
    SoundFile, encoder, song,
};
use crate::mix::{self, BlockSink, Extent, MixError, MixReport, MixSettings, MixSpec};
use crate::plan::{SoundPlan, TakePlan};
use crate::units::{Frames, SampleRate};

use super::record::{Record, first_frame, take_entry};
use super::studio::SoundStudio;
use super::{Made, Progress, Render, RenderError};

/// Bytes gathered before they go to the system.
const WRITE_BUFFER: usize = 1 << 18;

/// Makes single takes.
pub(super) struct TakeMaker<'a> {
    pub(super) render: &'a Render<'a>,
    pub(super) folder: &'a Folder,
    pub(super) record: &'a Record<'a>,
    pub(super) progress: &'a dyn Progress,
    /// Whether a take may use more than one thread.
    pub(super) spread: bool,
}

impl TakeMaker<'_> {
    /// Makes what a take lacks.
    pub(super) fn make(&self, take: &TakePlan) -> Result<(), RenderError> {
        let lesson = self.render.lesson;
        let track = &lesson.tracks[take.track];
        self.record.take(take, take_entry(take, &track.name, lesson.rate));
        self.midi(take)?;
        let depends: Vec<String> = take
            .sounds
            .iter()
            .map(|sound| sound.depends.with(self.render.soundfont).to_string())
            .collect();
        let unchanged =
            |(sound, depends): (&SoundPlan, &String)| self.record.unchanged(&sound.path, depends);
        if take.sounds.iter().zip(&depends).all(unchanged) {
            take.sounds.iter().for_each(|sound| self.progress.kept(&sound.path));
            return Ok(());
        }
        self.sounds(take, &depends)
    }

    /// All mixes of a take, in one pass: one gain serves them all, so they are made together.
    fn sounds(&self, take: &TakePlan, depends: &[String]) -> Result<(), RenderError> {
        let lesson = self.render.lesson;
        let specs: Vec<MixSpec> = take.sounds.iter().map(|sound| sound.mix.clone()).collect();
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
        let studio = SoundStudio { sounds: self.render.sounds, round };
        let open = |index: usize, frames| self.sink(take, &take.sounds[index], frames);
        let mixed = mix::render(&take.notes.performance, &studio, &specs, &settings, open);
        let (report, sinks) = mixed.map_err(|source| self.failure(take, source))?;
        for (((sound, sink), mixed), depends) in
            take.sounds.iter().zip(sinks).zip(&report.mixes).zip(depends)
        {
            let path = &sound.path;
            let written = |source| DeliverError::write(self.folder.root().join(path), source);
            let out = sink.encoder.finish().map_err(written)?;
            let hashed = out.into_inner().map_err(|error| written(error.into_error()))?;
            let (file, hash) = hashed.finish();
            file.commit()?;
            let (size, modified) = self.folder.stamp(Path::new(path)).unwrap_or_default();
            let entry = FileEntry {
                purpose: if sound.mix.stem { "stem" } else { "mix" }.to_owned(),
                take: Some(take.name.clone()),
                parts: sound.mix.parts.iter().map(ToString::to_string).collect(),
                size,
                modified,
                hash,
                depends: depends.clone(),
                sound: Some(sound_entry(mixed)),
            };
            self.record.file(path, entry)?;
            self.progress.made(&Made {
                path: path.clone(),
                seconds: mixed.frames.seconds(lesson.rate),
                loudness: mixed.programme.finite(),
                short_of_target: mixed.short_of_target.map(|short| short.0),
            });
        }
        Ok(())
    }

    fn sink(
        &self,
        take: &TakePlan,
        sound: &SoundPlan,
        frames: Frames,
    ) -> std::io::Result<Sink<'_>> {
        let rate = self.render.lesson.rate;
        let tempo = &take.notes.timeline.tempo;
        let markers = take.notes.timeline.markers().into_iter().map(|marker| Marker {
            at: tempo.frame(marker.at, rate) + first_frame(take),
            label: marker.label,
        });
        let file = SoundFile {
            name: sound.path.clone(),
            rate,
            frames,
            tags: sound.tags.clone(),
            markers: markers.collect(),
            sample_loop: round(take, rate)
                .map(|round| SampleLoop { from: Frames::ZERO, to: round }),
        };
        let format = FileFormat::Wav(self.render.lesson.samples);
        file.size(format).map_err(std::io::Error::other)?;
        let out = self.folder.create(Path::new(&sound.path)).map_err(std::io::Error::other)?;
        let out = BufWriter::with_capacity(WRITE_BUFFER, Hashed::new(out));
        let encoder = encoder(format, &file, out).map_err(std::io::Error::other)?;
        Ok(Sink { encoder, stop: self.render.stop })
    }

    fn midi(&self, take: &TakePlan) -> Result<(), RenderError> {
        let path = &take.midi;
        let lesson = self.render.lesson;
        let title = &lesson.tracks[take.track].name;
        let song = song(title, &take.notes.timeline, &take.notes.performance);
        let bytes =
            smf::write(&song).map_err(|source| RenderError::Midi { path: path.clone(), source })?;
        let hash = blake3::hash(&bytes).to_hex().to_string();
        if self.record.unchanged(path, &hash) {
            self.progress.kept(path);
            return Ok(());
        }
        let mut file = self.folder.create(Path::new(path))?;
        file.write_all(&bytes)
            .map_err(|source| DeliverError::write(self.folder.root().join(path), source))?;
        file.commit()?;
        let (size, modified) = self.folder.stamp(Path::new(path)).unwrap_or_default();
        let entry = FileEntry {
            purpose: "midi".to_owned(),
            take: Some(take.name.clone()),
            parts: take.notes.performance.parts.iter().map(|part| part.part.to_string()).collect(),
            size,
            modified,
            hash: hash.clone(),
            depends: hash,
            sound: None,
        };
        self.record.file(path, entry)?;
        self.progress.made(&Made {
            path: path.clone(),
            seconds: 0.0,
            loudness: None,
            short_of_target: None,
        });
        Ok(())
    }

    /// What a failed mix means for the user: a full disk or a foreign file is told as such.
    fn failure(&self, take: &TakePlan, error: MixError) -> RenderError {
        if self.render.stop.load(Ordering::Relaxed) {
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

/// An encoder that stops when asked to.
struct Sink<'a> {
    encoder: Box<dyn Encoder<BufWriter<Hashed<AtomicFile>>>>,
    stop: &'a AtomicBool,
}

impl BlockSink for Sink<'_> {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()> {
        if self.stop.load(Ordering::Relaxed) {
            return Err(std::io::Error::from(std::io::ErrorKind::Interrupted));
        }
        self.encoder.write_block(left, right)
    }
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
