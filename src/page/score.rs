//! What is played, bar by bar: chords, the hands' notes, the line's notes.
//!
//! Nothing here depends on the tempo: all takes of a track in one key share a score. Times are in
//! ticks, 960 to the quarter.

use serde::Serialize;

use super::line::{ExplainedLine, LineNote, RoleWords};
use crate::arrange::{BarKind, Timeline, TimelineBar};
use crate::part::Hand;
use crate::part::comp::{Voicing, Voicings};
use crate::performance::Part;
use crate::plan::TakeNotes;
use crate::units::Ticks;

/// A performance without count-in and tempo.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct Score {
    /// The key that it begins in.
    key: String,
    /// Ticks of a bar.
    bar: i64,
    /// Ticks of the tempo's beat.
    beat: i64,
    /// Every bar that differs from all bars before it.
    bars: Vec<Bar>,
    /// The bars in the order in which they are played, as indices into `bars`.
    order: Vec<usize>,
    /// Where in `order` each chorus begins.
    choruses: Vec<usize>,
    /// Every hand position that differs from all before it, from the lowest note up.
    hands: Vec<Vec<HandNote>>,
}

/// One bar.
#[derive(Debug, PartialEq, Serialize)]
struct Bar {
    /// Its number in the form, from 1.
    number: u32,
    /// What it is for, where it is no bar of the form as the band plays it.
    #[serde(skip_serializing_if = "Option::is_none")]
    kind: Option<&'static str>,
    /// The section that begins here.
    #[serde(skip_serializing_if = "Option::is_none")]
    section: Option<String>,
    /// Its key, where that is not the score's.
    #[serde(skip_serializing_if = "Option::is_none")]
    key: Option<String>,
    /// Its ticks, where these are not the score's.
    #[serde(skip_serializing_if = "Option::is_none")]
    length: Option<i64>,
    chords: Vec<Chord>,
    /// The line's notes; the first bar has those of a pickup too, before 0.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    line: Vec<LineNote>,
    /// The notes of a left hand that the teacher wrote, in the same way.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    left: Vec<LineNote>,
}

/// A chord: ticks from the start of the bar, length in ticks, symbol (none where nothing sounds),
/// index into the hand positions.
#[derive(Debug, PartialEq, Serialize)]
struct Chord(i64, i64, Option<String>, Option<usize>);

/// A note of a hand position: MIDI number, name with octave, degree of the chord, hand (`L` or
/// `R`).
#[derive(Debug, PartialEq, Serialize)]
struct HandNote(u8, String, String, char);

impl Score {
    /// The score of a take. What the notes of its lines are goes into `roles`.
    pub(super) fn of(notes: &TakeNotes, roles: &mut Vec<RoleWords>) -> Score {
        let timeline = &notes.timeline;
        let first = played(timeline).next().map(|(_, bar)| bar);
        // As they are played: without what rests while others trade.
        let explained = |line, part: Part| {
            let played = notes.hands.iter().filter(|played| played.part == part);
            let played = played.flat_map(|part| part.notes.iter().cloned()).collect();
            ExplainedLine::of(line, timeline, played)
        };
        let lines: Vec<_> =
            notes.lines.iter().map(|line| explained(&line.planned, Part::Line)).collect();
        let left = notes.left_hand.as_deref().map(|line| explained(line, Part::Comp));
        let mut score = Score {
            key: first.map(|bar| bar.key.to_string()).unwrap_or_default(),
            bar: first.map_or(1, |bar| bar.meter.bar().0),
            beat: first.map_or(1, |bar| bar.meter.beat().0),
            bars: Vec::new(),
            order: Vec::new(),
            choruses: Vec::new(),
            hands: Vec::new(),
        };
        let mut chorus = None;
        for (index, bar) in played(timeline) {
            if chorus != Some(bar.chorus) {
                chorus = Some(bar.chorus);
                score.choruses.push(score.order.len());
            }
            let begins = if score.order.is_empty() { Ticks::ZERO } else { bar.start };
            let mut notes_of = |line: Option<&ExplainedLine<'_>>| {
                line.map(|line| line.bar(bar, begins, roles)).unwrap_or_default()
            };
            // A pickup stands in a bar of another line, or of none.
            let own =
                |bar: usize| notes.lines.iter().position(|line| line.bars.get(bar) == Some(&true));
            let sounding = lines.get(own(index).or(own(index + 1)).unwrap_or(0));
            let (line, left) = (notes_of(sounding), notes_of(left.as_ref()));
            let chords = score.chords(bar, index, notes.voicings.as_ref());
            let key = first.map(|first| first.key);
            score.add(Bar {
                number: bar.form_bar + 1,
                kind: match bar.kind {
                    _ if bar.drums_alone => Some("drums"),
                    BarKind::Chorus => None,
                    kind => Some(kind.name()),
                },
                section: bar.section.clone(),
                key: (key != Some(bar.key)).then(|| bar.key.to_string()),
                length: Some(bar.meter.bar().0).filter(|length| *length != score.bar),
                chords,
                line,
                left,
            });
        }
        score
    }

    fn chords(
        &mut self,
        bar: &TimelineBar,
        index: usize,
        voicings: Option<&Voicings>,
    ) -> Vec<Chord> {
        let mut chords = Vec::new();
        for (slot, place) in bar.slots.iter().enumerate() {
            let voicing = voicings.and_then(|voicings| voicings.get(index, slot));
            let hand = voicing.map(|voicing| index_of(&mut self.hands, hand(voicing)));
            let symbol = place.harmony.as_ref().map(|harmony| harmony.symbol.to_string());
            chords.push(Chord((place.at - bar.start).0, place.length.0, symbol, hand));
        }
        chords
    }

    fn add(&mut self, bar: Bar) {
        let index = index_of(&mut self.bars, bar);
        self.order.push(index);
    }
}

/// The bars after the count-in, each with its index in the timeline.
fn played(timeline: &Timeline) -> impl Iterator<Item = (usize, &TimelineBar)> {
    timeline.bars.iter().enumerate().filter(|(_, bar)| bar.kind.is_played())
}

/// Where a value is in a list; at its end where it was not.
pub(super) fn index_of<T: PartialEq>(list: &mut Vec<T>, value: T) -> usize {
    list.iter().position(|known| *known == value).unwrap_or_else(|| {
        list.push(value);
        list.len() - 1
    })
}

fn hand(voicing: &Voicing) -> Vec<HandNote> {
    let notes = voicing.notes.iter().map(|note| {
        let name = note.spelled().map_or(note.name.to_string(), |pitch| pitch.to_string());
        let hand = match note.hand {
            Hand::Left => 'L',
            Hand::Right => 'R',
        };
        HandNote(note.pitch, name, note.degree.to_string(), hand)
    });
    notes.collect()
}
