//! Which takes and files there are, for the page to offer.

use serde::Serialize;

use super::Shared;
use super::score::{Score, index_of};
use crate::arrange::{Shape, TradeWith};
use crate::deliver::Manifest;
use crate::lesson::{Lesson, LineId, Track};
use crate::performance::Part;
use crate::plan::{Plan, SoundPlan, TakePlan};

/// A track with all its takes.
#[derive(Debug, Serialize)]
pub(super) struct TrackData {
    /// Its number in the lesson, from 1.
    pub(super) number: u32,
    /// The name that students read.
    pub(super) name: String,
    /// The heading that it stands under.
    #[serde(skip)]
    pub(super) group: Option<String>,
    /// Who plays: the styles, by part.
    pub(super) about: String,
    pub(super) takes: Vec<TakeData>,
}

/// One performance.
#[derive(Debug, Serialize)]
pub(super) struct TakeData {
    /// Its key, or that it goes through keys.
    pub(super) key: String,
    /// Its tempo, or its first and last.
    pub(super) tempo: String,
    /// Index of what is played.
    score: usize,
    /// Ticks before the first bar of the form: lead-in and count-in.
    start: i64,
    /// The frame of tick 0 in the files.
    lead: u64,
    /// Every tempo: the tick where it begins, and microseconds a quarter.
    tempos: Vec<(i64, u32)>,
    /// Whether its files are to be played round and round.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    loops: bool,
    pub(super) sounds: Vec<SoundData>,
    /// Its other files: MIDI, notes.
    pub(super) files: Vec<String>,
    /// What the hands play, engraved: an index into the staves' sheets.
    #[serde(skip_serializing_if = "Option::is_none")]
    sheet: Option<usize>,
}

/// A sound file.
#[derive(Debug, Serialize)]
pub(super) struct SoundData {
    /// What sets it apart from the other files of the take.
    pub(super) mix: String,
    pub(super) path: String,
    frames: u64,
    /// Frames of the take before its first one.
    #[serde(skip_serializing_if = "Option::is_none")]
    begins: Option<u64>,
    /// How loud it is over time: see [`crate::deliver::LevelPicture::letters`].
    picture: String,
    /// Whether it is one part of the take, to be heard with the others.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    stem: bool,
}

/// All tracks of a plan that have takes whose files the manifest lists. What is played goes into
/// `shared`.
pub(super) fn tracks(
    lesson: &Lesson,
    plan: &Plan,
    manifest: &Manifest,
    shared: &mut Shared,
) -> Vec<TrackData> {
    let mut tracks: Vec<TrackData> = Vec::new();
    for (index, track) in lesson.tracks.iter().enumerate() {
        let planned = plan.takes.iter().filter(|take| take.track == index);
        let takes: Vec<TakeData> = planned
            .filter_map(|take| take_data(lesson, plan, track, take, manifest, shared))
            .collect();
        if !takes.is_empty() {
            tracks.push(TrackData {
                number: track.number,
                name: track.name.clone(),
                group: track.group.clone(),
                about: about(lesson, track),
                takes,
            });
        }
    }
    tracks
}

fn take_data(
    lesson: &Lesson,
    plan: &Plan,
    track: &Track,
    take: &TakePlan,
    manifest: &Manifest,
    shared: &mut Shared,
) -> Option<TakeData> {
    let lead = manifest.takes.get(&take.name)?.bars.first()?.frame;
    // Of several formats one is played; the others are there to be taken home.
    let mut heard: Vec<SoundData> =
        take.sounds.iter().filter_map(|sound| sound_data(sound, manifest)).collect();
    heard.sort_by_key(|sound| format_rank(&sound.path));
    let (mut sounds, mut files): (Vec<SoundData>, Vec<String>) = Default::default();
    for label in take.sounds.iter().map(|sound| &sound.label) {
        if let Some(place) = heard.iter().position(|sound| sound.mix == *label) {
            sounds.push(heard.remove(place));
            heard.retain(|sound| {
                if sound.mix == *label {
                    files.push(sound.path.clone());
                }
                sound.mix != *label
            });
        }
    }
    if sounds.is_empty() {
        return None;
    }
    let of_take = manifest.files.iter().filter(|(_, file)| {
        file.take.as_deref() == Some(take.name.as_str()) && file.sound.is_none()
    });
    files.extend(of_take.map(|(path, _)| path.clone()));
    let timeline = &take.notes.timeline;
    let score = Score::of(&take.notes, &mut shared.roles);
    Some(TakeData {
        key: key_label(track, take),
        tempo: tempo_label(track, take),
        score: index_of(&mut shared.scores, score),
        start: timeline.form_start().0,
        lead,
        tempos: timeline.tempo.changes().map(|(at, tempo)| (at.0, tempo.0)).collect(),
        loops: timeline.loops,
        sounds,
        files,
        sheet: shared.staves.of(lesson, plan, take),
    })
}

fn sound_data(sound: &SoundPlan, manifest: &Manifest) -> Option<SoundData> {
    let heard = manifest.files.get(&sound.path)?.sound.as_ref()?;
    Some(SoundData {
        mix: sound.label.clone(),
        path: sound.path.clone(),
        frames: heard.frames,
        begins: (heard.begins > 0).then_some(heard.begins),
        picture: heard.picture.clone(),
        stem: sound.mix.stem,
    })
}

/// Which of several formats is played: one in which every frame can be found comes first.
fn format_rank(path: &str) -> usize {
    const BY_RANK: [&str; 2] = [".wav", ".flac"];
    BY_RANK.iter().position(|ending| path.ends_with(ending)).unwrap_or(BY_RANK.len())
}

fn key_label(track: &Track, take: &TakePlan) -> String {
    match track.shape {
        Shape::RoundTheKeys { .. } => "round the keys".to_owned(),
        _ => take.key.to_string(),
    }
}

fn tempo_label(track: &Track, take: &TakePlan) -> String {
    match &track.shape {
        Shape::Ladder { from, to, .. } => format!("{from} to {to}"),
        _ => take.tempo.to_string(),
    }
}

/// Who plays, and what for.
fn about(lesson: &Lesson, track: &Track) -> String {
    let line =
        |what: &str, id: Option<LineId>| id.map(|id| format!("{what}: {}", lesson.line(id).name));
    let player = |part: Part| {
        let styles = track.styles(part).join(", then ").replace('-', " ");
        (!styles.is_empty()).then(|| format!("{}: {styles}", part.name()))
    };
    let names: Vec<&str> = track.lines().map(|id| lesson.line(id).name.as_str()).collect();
    let heard = (!names.is_empty()).then(|| format!("line: {}", names.join(", then ")));
    let players = [
        heard,
        line("left hand", track.left_hand),
        player(Part::Comp),
        player(Part::Bass),
        player(Part::Drums),
        practice(&track.shape).map(str::to_owned),
    ];
    players.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// What a practice shape is for, in a word or two.
const fn practice(shape: &Shape) -> Option<&'static str> {
    match shape {
        Shape::Straight => None,
        Shape::Loop => Some("round and round"),
        Shape::Answer { .. } => Some("listen, then answer"),
        Shape::Trade { with: TradeWith::Drums, .. } => Some("trading with the drums"),
        Shape::Trade { with: TradeWith::Line, .. } => Some("trading with the line"),
        Shape::Ladder { .. } => Some("faster every time"),
        Shape::RoundTheKeys { .. } => Some("round the keys"),
        Shape::RestingClick { .. } => Some("the click rests"),
    }
}
