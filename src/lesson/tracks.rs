//! The check of the tracks.

use std::collections::BTreeSet;
use std::num::NonZeroU32;
use std::ops::Range;

use crate::arrange::{KeyOrder, Shape, TradeWith};
use crate::chart::Chart;
use crate::part::EnergyArc;
use crate::performance::Part;
use crate::problem::quoted;
use crate::schema::{Either, Name, Placed};
use crate::style::Shelf;
use crate::theory::Key;
use crate::units::Bpm;

use super::checker::Checker;
use super::file::{KeysEntry, KeysWord, LessonFile, NamesEntry, PracticeEntry, TrackEntry};
use super::lines::{EntryLines, numbered};
use super::{LineId, Track};

/// From so many choruses on a track builds unless it says otherwise (our choice: with fewer there is
/// hardly anywhere to go).
const SHORTEST_BUILD: u32 = 3;

/// What an entry names as its line or comp: lines of the lesson, or a style where it has none.
#[derive(Clone, Copy, Default)]
struct Choice<'a> {
    name: Option<&'a Name>,
    lines: Option<&'a [LineId]>,
}

/// What tracks may refer to.
#[derive(Clone, Copy)]
pub(super) struct Known<'a> {
    pub(super) file: &'a LessonFile,
    pub(super) charts: &'a [Option<Chart>],
    pub(super) lines: &'a [EntryLines],
    /// The tempos of the lesson.
    pub(super) tempos: &'a [Bpm],
}

impl Checker<'_> {
    pub(super) fn tracks(&mut self, known: Known<'_>) -> Vec<Track> {
        let entries = &known.file.track;
        self.names_of_their_own("track", entries.iter().map(|entry| &entry.name));
        let mut tracks: Vec<Track> = Vec::new();
        let mut names = BTreeSet::new();
        for entry in entries.iter() {
            let first = tracks.len();
            if !self.entry(known, entry, &mut tracks) {
                break;
            }
            for track in &tracks[first..] {
                // Lists and exercise books give tracks whose names nobody wrote.
                if !names.insert(track.name.clone()) && self.is_right_so_far() {
                    let message = format!("this gives a second track named `{}`", track.name);
                    self.say(message, entry.name.span(), "give each track a name of its own");
                }
            }
        }
        for (number, track) in (1..).zip(&mut tracks) {
            track.number = number;
        }
        tracks
    }

    /// Adds the tracks of an entry: one, or one for each of several lines and comps, and for each
    /// line of an exercise book. Whether there was room.
    fn entry(
        &mut self,
        known: Known<'_>,
        entry: &Placed<TrackEntry>,
        tracks: &mut Vec<Track>,
    ) -> bool {
        let lines = self.named(entry.line.as_ref(), |checker, name, place| {
            Some(checker.lines_named(known, entry, name, place))
        });
        let comps = self.named(entry.comp.as_ref(), |checker, name, place| {
            let left_hand = checker.left_hand_named(known, entry, name, place.clone());
            if left_hand.is_none() {
                checker.style(Shelf::Comp, name, place);
            }
            left_hand
        });
        let Some(track) = self.track(known, entry) else { return true };
        for line in &lines {
            for comp in &comps {
                let of_line = line.name.filter(|_| lines.len() > 1);
                let of_comp = comp.name.filter(|_| comps.len() > 1);
                let names = [Some(&*entry.name), of_line, of_comp].into_iter().flatten();
                let name = names.map(|name| name.as_str()).collect::<Vec<_>>().join(", ");
                let left_hand = comp.lines.and_then(|lines| lines.first().copied());
                let style = comp.name.filter(|_| comp.lines.is_none());
                let track =
                    Track { left_hand, comp: style.map(|name| name.to_string()), ..track.clone() };
                let several = line.lines.is_some_and(|lines| lines.len() > 1);
                let ids =
                    line.lines.map_or(vec![None], |ids| ids.iter().copied().map(Some).collect());
                for (number, line) in (1_usize..).zip(ids) {
                    let name = if several { numbered(&name, number) } else { name.clone() };
                    if self.is_too_much(tracks.len() + 1, "tracks", entry.name.span()) {
                        return false;
                    }
                    tracks.push(Track { name, line, ..track.clone() });
                }
            }
        }
        true
    }

    /// The lines or comps that an entry names, each looked up as lines; one that names nothing where
    /// the entry names none.
    fn named<'a>(
        &mut self,
        names: Option<&'a Placed<NamesEntry>>,
        mut look_up: impl FnMut(&mut Self, &Name, Range<usize>) -> Option<&'a [LineId]>,
    ) -> Vec<Choice<'a>> {
        let Some(names) = names else { return vec![Choice::default()] };
        let names: Vec<(&Name, Range<usize>)> = match &**names {
            Either::Single(name) => vec![(name, names.span())],
            Either::Several(list) => list.iter().map(|name| (&**name, name.span())).collect(),
        };
        let mut choices: Vec<Choice<'_>> = Vec::new();
        for (name, place) in names {
            if choices.iter().any(|choice| choice.name == Some(name)) {
                let message = format!("`{}` is there twice", quoted(name));
                self.say(message, place.clone(), "leave one out");
            }
            choices.push(Choice { name: Some(name), lines: look_up(self, name, place) });
        }
        choices
    }

    fn track(&mut self, known: Known<'_>, entry: &Placed<TrackEntry>) -> Option<Track> {
        let players = self.players(entry);
        let mixes = self.mixes(entry, &players);
        let tempos = match &entry.tempos {
            Some(own) => self.tempos(own),
            None => known.tempos.to_vec(),
        };
        let at_tempo = entry.tempos.as_ref().unwrap_or(&known.file.tempos).at_tempo();
        let chart = self.chart_named(known.file, &entry.chart)?;
        let written = known.charts.get(chart.0)?.as_ref()?.key;
        let keys = entry.keys.as_ref().unwrap_or(&known.file.keys);
        let keys = self.keys(keys, &entry.chart, written);
        let shape = entry.practice.as_ref().map_or(Shape::Straight, |practice| shape(practice));
        let over = known.charts.get(chart.0)?.as_ref()?;
        if let (Shape::Trade { with, .. }, Some(practice)) = (&shape, &entry.practice) {
            let (part, add) = match with {
                TradeWith::Drums => (Part::Drums, "add drums with a style"),
                TradeWith::Line => (Part::Line, "add a line"),
            };
            if !players.contains(&part) {
                let message = format!("nobody plays the {} to trade with", part.name());
                self.say_missing(message, practice.span(), add);
            }
        }
        let changes = self.changes(known, entry, (&shape, over), &players);
        let choruses = entry.choruses.map_or(NonZeroU32::MIN, |choruses| choruses.get());
        let builds = shape == Shape::Straight && choruses.get() >= SHORTEST_BUILD;
        let usual = if builds { EnergyArc::Build } else { EnergyArc::Level };
        let arc = entry.arc.unwrap_or(usual);
        let (tempos, keys) = axes(&shape, tempos, keys);
        Some(Track {
            number: 0,
            name: entry.name.to_string(),
            group: entry.group.as_ref().map(|group| group.to_string()),
            chart,
            line: None,
            left_hand: None,
            comp: None,
            bass: entry.bass.as_ref().map(|name| name.to_string()),
            drums: entry.drums.as_ref().map(|name| name.to_string()),
            intensity: entry.intensity.unwrap_or_default(),
            changes,
            arc,
            reach: entry.reach.map(|reach| reach.get()),
            start: entry.start,
            choruses,
            intro: entry.intro.unwrap_or_default(),
            ending: entry.ending.unwrap_or_default(),
            shape,
            tempos,
            at_tempo,
            keys,
            mixes,
        })
    }

    /// The players of a track; bass and drums each with a style that exists and can be read.
    fn players(&mut self, entry: &Placed<TrackEntry>) -> Vec<Part> {
        let joins = |part| entry.change.iter().any(|change| change.names(part));
        let mut players: Vec<Part> = Vec::new();
        if entry.line.is_some() || joins(Part::Line) {
            players.push(Part::Line);
        }
        if entry.comp.is_some() || joins(Part::Comp) {
            players.push(Part::Comp);
        }
        let styles =
            [(Shelf::Bass, Part::Bass, &entry.bass), (Shelf::Drums, Part::Drums, &entry.drums)];
        for (shelf, part, style) in styles {
            if let Some(name) = style {
                self.style(shelf, name, name.span());
            }
            if style.is_some() || joins(part) {
                players.push(part);
            }
        }
        if players.is_empty() {
            let help = "add comp, bass or drums with a style, or a line";
            self.say_missing("nobody plays in this track", entry.span(), help);
        }
        players
    }

    /// Checks that there is a style of a name.
    pub(super) fn style(&mut self, shelf: Shelf, name: &Name, place: Range<usize>) {
        if let Err(unknown) = self.library.find(shelf, name) {
            self.say(unknown.to_string(), place, unknown.help);
        }
    }

    /// The keys that an entry means for a chart written in `written`: a list counts by tonics.
    fn keys(&mut self, entry: &KeysEntry, chart: &str, written: Key) -> Vec<Key> {
        let list = match entry {
            Either::Single(KeysWord::AsWritten) => return vec![written],
            Either::Single(KeysWord::Fourths) => return KeyOrder::Fourths.keys(written),
            Either::Single(KeysWord::Semitones) => return KeyOrder::Semitones.keys(written),
            Either::Several(list) => list,
        };
        let list = self.each_once(list, |key| key.to_string());
        let order = KeyOrder::List(list.into_iter().map(|key| *key).collect());
        let told = order.of_other_mode(chart, written).filter(|told| !self.warnings.contains(told));
        self.warnings.extend(told);
        order.keys(written)
    }
}

/// The practice shape that an entry means. Where it leaves out a number of bars, four are meant, the
/// usual phrase; and four beats per minute, which is just felt as faster.
fn shape(entry: &PracticeEntry) -> Shape {
    const FOUR: NonZeroU32 = NonZeroU32::MIN.saturating_add(3);
    match entry {
        PracticeEntry::Straight {} => Shape::Straight,
        PracticeEntry::Loop {} => Shape::Loop,
        PracticeEntry::Answer { bars } => {
            Shape::Answer { phrase_bars: bars.map_or(FOUR, |bars| bars.get()) }
        }
        PracticeEntry::Ladder { from, to, step } => {
            Shape::Ladder { from: *from, to: *to, step: step.map_or(4.0, |step| step.get()) }
        }
        PracticeEntry::Trading { bars, with } => Shape::Trade {
            bars: bars.map_or(FOUR, |bars| bars.get()),
            with: with.unwrap_or_default(),
        },
        PracticeEntry::RoundTheKeys { order, announce } => Shape::RoundTheKeys {
            order: order.clone().unwrap_or(KeyOrder::Fourths),
            announce: announce.unwrap_or(true),
        },
        PracticeEntry::RestingClick { sounding, silent } => Shape::RestingClick {
            sounding: sounding.map_or(FOUR, |bars| bars.get()),
            silent: silent.map_or(FOUR, |bars| bars.get()),
        },
    }
}

/// A shape that owns an axis (a ladder: tempo; round the keys: key) does not multiply by it.
fn axes(shape: &Shape, mut tempos: Vec<Bpm>, mut keys: Vec<Key>) -> (Vec<Bpm>, Vec<Key>) {
    match shape {
        Shape::Ladder { from, .. } => tempos = vec![*from],
        Shape::RoundTheKeys { .. } => keys.truncate(1),
        _ => {}
    }
    (tempos, keys)
}
