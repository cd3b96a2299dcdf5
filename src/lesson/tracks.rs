//! The check of the tracks.

use crate::arrange::{Ending, KeyOrder, Shape};
use crate::chart::Chart;
use crate::part::Part;
use crate::problem::nearest;
use crate::style::{Intensity, Shelf};
use crate::theory::Key;
use crate::units::Bpm;

use super::Track;
use super::checker::Checker;
use super::file::{KeysEntry, LessonFile, NamesEntry, TrackEntry};
use super::places::Step;

/// The most choruses of one track: with 32 bars at a slow tempo, more than a day.
const MAX_CHORUSES: i64 = 999;

/// The reach of a hand in semitones: from a fifth to a twelfth.
const REACH: std::ops::RangeInclusive<i64> = 7..=19;

/// A line or comp that a track may have: its name, and its place in the lesson's lines where it is
/// one of them.
type Choice = (Option<String>, Option<usize>);

impl Checker<'_> {
    pub(super) fn tracks(
        &mut self,
        file: &LessonFile,
        charts: &[Option<Chart>],
        tempos: &[Bpm],
    ) -> Vec<Track> {
        if file.track.is_empty() {
            let help =
                "add a [[track]] with a name, a chart and what to play, such as comp = \"shells\"";
            self.say("the lesson has no track", &[], help);
        }
        let tracks = file.track.iter().enumerate();
        tracks.flat_map(|(index, entry)| self.entry(file, charts, tempos, index, entry)).collect()
    }

    /// The tracks of an entry: one, or one for each of several lines and comps.
    fn entry(
        &mut self,
        file: &LessonFile,
        charts: &[Option<Chart>],
        tempos: &[Bpm],
        index: usize,
        entry: &TrackEntry,
    ) -> Vec<Track> {
        let lines = self.named(entry.line.as_ref(), index, "line", |checker, name, path| {
            checker.line_of(file, entry, name, path)
        });
        let comps = self.named(entry.comp.as_ref(), index, "comp", |checker, name, path| {
            let left_hand = checker.left_hand_of(file, entry, name, path);
            if left_hand.is_none() {
                checker.style(Shelf::Comp, name, path);
            }
            left_hand
        });
        let Some(track) = self.track(file, charts, tempos, index, entry) else { return Vec::new() };
        let several = |choices: &[Choice]| choices.len() > 1;
        let mut tracks = Vec::new();
        for (line_name, line) in &lines {
            for (comp_name, left_hand) in &comps {
                let of_line = line_name.as_ref().filter(|_| several(&lines));
                let of_comp = comp_name.as_ref().filter(|_| several(&comps));
                let words = [Some(&track.name), of_line, of_comp];
                let words: Vec<&str> = words.into_iter().flatten().map(String::as_str).collect();
                tracks.push(Track {
                    name: words.join(", "),
                    line: *line,
                    left_hand: *left_hand,
                    comp: comp_name.clone().filter(|_| left_hand.is_none()),
                    ..track.clone()
                });
            }
        }
        tracks
    }

    /// The lines or comps that an entry names, each looked up as a line; one that is none where it
    /// names nothing.
    fn named(
        &mut self,
        names: Option<&NamesEntry>,
        index: usize,
        key: &'static str,
        mut look_up: impl FnMut(&mut Self, &str, &[Step<'_>]) -> Option<usize>,
    ) -> Vec<Choice> {
        let path = [Step::Key("track"), Step::Entry(index), Step::Key(key)];
        let mut choices: Vec<Choice> = Vec::new();
        match names {
            None => choices.push((None, None)),
            Some(NamesEntry::One(name)) => {
                choices.push((Some(name.clone()), look_up(self, name, &path)));
            }
            Some(NamesEntry::Several(names)) => {
                if names.is_empty() {
                    let help = format!("name at least one, or leave `{key}` out");
                    self.say("the list is empty", &path, help);
                }
                for (number, name) in names.iter().enumerate() {
                    let path = [path[0], path[1], path[2], Step::Entry(number)];
                    if names[..number].contains(name) {
                        self.say(format!("`{name}` is there twice"), &path, "leave one out");
                    }
                    choices.push((Some(name.clone()), look_up(self, name, &path)));
                }
            }
        }
        choices
    }

    fn track(
        &mut self,
        file: &LessonFile,
        charts: &[Option<Chart>],
        tempos: &[Bpm],
        index: usize,
        entry: &TrackEntry,
    ) -> Option<Track> {
        let at = |key| [Step::Key("track"), Step::Entry(index), Step::Key(key)];
        if entry.name.trim().is_empty() {
            self.say("the track's name is empty", &at("name"), "give it a name that students read");
        }
        if entry.group.as_ref().is_some_and(|group| group.trim().is_empty()) {
            self.say("the group's name is empty", &at("group"), "give it a name, or leave it out");
        }
        if file.track[..index].iter().any(|earlier| earlier.name == entry.name) {
            let message = format!("there are two tracks named `{}`", entry.name);
            self.say(message, &at("name"), "give each track a name of its own");
        }
        let players = self.players(entry, index);
        let mixes = self.mixes(entry, index, &players);
        let words = ["light", "medium", "full"];
        let intensity =
            entry.intensity.as_deref().and_then(|word| self.word(word, &words, &at("intensity")));
        let words = ["held", "short", "none"];
        let ending =
            entry.ending.as_deref().and_then(|word| self.word(word, &words, &at("ending")));
        let choruses =
            entry.choruses.map_or(1, |n| self.in_range(n, 1..=MAX_CHORUSES, &at("choruses")));
        let reach = entry.reach.map(|reach| self.in_range(reach, REACH, &at("reach")));
        let start = entry.start.as_deref().and_then(|text| match text.parse() {
            Ok(start) => Some(start),
            Err(_) => {
                self.say(
                    format!("`{text}` means nothing here"),
                    &at("start"),
                    "use \"3\", \"7\" or \"auto\"",
                );
                None
            }
        });
        let tempos = match &entry.tempos {
            Some(own) => self.tempos(own, &at("tempos")),
            None => tempos.to_vec(),
        };
        let at_tempo = entry.tempos.as_ref().unwrap_or(&file.tempos).at_tempo();
        let chart = self.chart_index(file, &entry.chart, &at("chart"))?;
        let written = charts.get(chart)?.as_ref()?.key;
        let keys = match &entry.keys {
            Some(own) => self.keys(own, written, &at("keys")),
            None => self.keys(&file.keys, written, &[Step::Key("keys")]),
        };
        let shape = match &entry.practice {
            Some(practice) => self.practice(practice, index)?,
            None => Shape::Straight,
        };
        let (tempos, keys) = axes(&shape, tempos, keys);
        Some(Track {
            number: index + 1,
            name: entry.name.clone(),
            group: entry.group.clone(),
            chart,
            line: None,
            left_hand: None,
            comp: None,
            bass: entry.bass.clone(),
            drums: entry.drums.clone(),
            intensity: match intensity {
                Some(0) => Intensity::Light,
                Some(2) => Intensity::Full,
                _ => Intensity::Medium,
            },
            reach: reach.and_then(|reach| u8::try_from(reach).ok()),
            start,
            choruses: u32::try_from(choruses).unwrap_or(1),
            ending: match ending {
                Some(1) => Ending::Short,
                Some(2) => Ending::None,
                _ => Ending::Held,
            },
            shape,
            tempos,
            at_tempo,
            keys,
            mixes,
        })
    }

    /// The players of a track; bass and drums each with a style that exists and can be read.
    fn players(&mut self, entry: &TrackEntry, index: usize) -> Vec<Part> {
        let mut players: Vec<Part> = entry.line.iter().map(|_| Part::Line).collect();
        players.extend(entry.comp.iter().map(|_| Part::Comp));
        let asked =
            [(Shelf::Bass, Part::Bass, &entry.bass), (Shelf::Drums, Part::Drums, &entry.drums)];
        for (shelf, part, style) in asked {
            let Some(name) = style else { continue };
            players.push(part);
            let path = [Step::Key("track"), Step::Entry(index), Step::Key(shelf.folder())];
            self.style(shelf, name, &path);
        }
        if players.is_empty() {
            let path = [Step::Key("track"), Step::Entry(index)];
            self.say(
                "nobody plays in this track",
                &path,
                "add comp, bass or drums with a style, or a line",
            );
        }
        players
    }

    /// Whether there is a style of a name that can be read.
    fn style(&mut self, shelf: Shelf, name: &str, path: &[Step<'_>]) {
        if let Err(unknown) = self.library.find(shelf, name) {
            self.say(unknown.to_string(), path, unknown.help);
        }
    }

    /// The keys that an entry means for a chart written in `written`.
    pub(super) fn keys(&mut self, entry: &KeysEntry, written: Key, path: &[Step<'_>]) -> Vec<Key> {
        match entry {
            KeysEntry::Word(word) => {
                match self.word(word, &["as written", "fourths", "semitones"], path) {
                    Some(1) => KeyOrder::Fourths.keys(written),
                    Some(2) => KeyOrder::Semitones.keys(written),
                    _ => vec![written],
                }
            }
            KeysEntry::List(names) => {
                if names.is_empty() {
                    self.say(
                        "the list of keys is empty",
                        path,
                        "name a key, or write keys = \"as written\"",
                    );
                }
                let mut keys: Vec<Key> = Vec::new();
                for (index, name) in names.iter().enumerate() {
                    let entry: Vec<Step<'_>> =
                        path.iter().copied().chain([Step::Entry(index)]).collect();
                    match name.parse::<Key>() {
                        Ok(key) if key.mode != written.mode => {
                            let message = format!(
                                "{key} and the chart's {written} are not both major or both minor"
                            );
                            self.say(
                                message,
                                &entry,
                                "a chart keeps its mode when it is transposed",
                            );
                        }
                        Ok(key) if keys.contains(&key) => {
                            self.say(format!("{key} is there twice"), &entry, "leave one out");
                        }
                        Ok(key) => keys.push(key),
                        Err(error) => {
                            self.say(error.to_string(), &entry, "write a key as Bb, F# or Gm")
                        }
                    }
                }
                keys
            }
        }
    }

    /// The place of a chart in the lesson, by name.
    pub(super) fn chart_index(
        &mut self,
        file: &LessonFile,
        name: &str,
        path: &[Step<'_>],
    ) -> Option<usize> {
        let found = file.chart.iter().position(|chart| chart.name == name);
        if found.is_none() {
            let names: Vec<&str> = file.chart.iter().map(|chart| chart.name.as_str()).collect();
            let help = match nearest(name, names.iter().copied()) {
                Some(right) => format!("did you mean `{right}`?"),
                None if names.is_empty() => "add a [[chart]]".to_owned(),
                None => format!("the charts are: {}", names.join(", ")),
            };
            self.say(format!("there is no chart named `{name}`"), path, help);
        }
        found
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
