//! A score as the engraver wants it: bar by bar, staff by staff, voice by voice, each thing at its
//! time.

use std::ops::Range;

use crate::codec::musicxml::score::{
    Accidental, Attributes, Barline, Beam, Clef, Direction, EndingKind, Head, Item, Mark,
    NoteValue, Repeat, Score, ScoreMeasure, ScoreNote, Stem, Swing, TripletPlace,
};
use crate::codec::musicxml::{HarmonyElement, WrittenPitch};

/// All bars of all staves.
#[derive(Debug, Default)]
pub(super) struct Music {
    /// The staves' clefs, from the top.
    pub(super) clefs: Vec<Clef>,
    /// The staves of each part.
    pub(super) parts: Vec<Range<usize>>,
    pub(super) bars: Vec<Bar>,
}

/// One bar.
#[derive(Debug, Default)]
pub(super) struct Bar {
    /// Its number; none for a pickup.
    pub(super) number: Option<String>,
    /// In ticks.
    pub(super) length: i64,
    pub(super) new_system: bool,
    /// Sharps, or flats below zero.
    pub(super) key: i8,
    /// The key before, where it changes.
    pub(super) key_before: Option<i8>,
    /// The meter, where it is new.
    pub(super) meter: Option<(u8, u8)>,
    pub(super) repeat_start: bool,
    pub(super) end: BarEnd,
    /// The text of an ending that begins here.
    pub(super) ending: Option<String>,
    /// An ending stops here: with a hook, or open.
    pub(super) ending_stop: Option<EndingKind>,
    pub(super) chords: Vec<HarmonyElement>,
    pub(super) above: Above,
    /// Staff by staff, the voices of each.
    pub(super) staves: Vec<Vec<Vec<Event>>>,
}

/// What stands over a bar.
#[derive(Debug, Default)]
pub(super) struct Above {
    pub(super) rehearsal: Option<String>,
    pub(super) words: Vec<String>,
    pub(super) tempo: Option<(NoteValue, bool, String)>,
    pub(super) swing: Option<Swing>,
}

/// How a bar ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum BarEnd {
    #[default]
    Plain,
    Double,
    Final,
    Repeat,
}

/// Notes struck together, or a rest.
#[derive(Debug, Clone)]
pub(super) struct Event {
    /// From the start of the bar.
    pub(super) at: i64,
    pub(super) length: i64,
    pub(super) value: NoteValue,
    pub(super) dots: u8,
    pub(super) what: What,
    pub(super) stem: Option<Stem>,
    pub(super) beams: Vec<Beam>,
    pub(super) triplet: Option<TripletPlace>,
    pub(super) staccato: bool,
    pub(super) printed: bool,
}

/// What is struck.
#[derive(Debug, Clone)]
pub(super) enum What {
    /// From the lowest up.
    Notes(Vec<Note>),
    Rest,
    MeasureRest,
    Slash,
}

/// One note.
#[derive(Debug, Clone, Copy)]
pub(super) struct Note {
    /// Half spaces above the middle line.
    pub(super) position: i32,
    /// As a MIDI number.
    pub(super) pitch: i16,
    pub(super) accidental: Option<Accidental>,
    pub(super) tie_start: bool,
    pub(super) tie_stop: bool,
    pub(super) ghost: bool,
}

impl Event {
    pub(super) fn end(&self) -> i64 {
        self.at + self.length
    }

    pub(super) fn notes(&self) -> &[Note] {
        match &self.what {
            What::Notes(notes) => notes,
            _ => &[],
        }
    }
}

impl Music {
    /// What a score says. Parts that have fewer bars than the first are silent at their end.
    pub(super) fn of(score: &Score) -> Music {
        let mut music = Music::default();
        for part in &score.parts {
            let first = music.clefs.len();
            let clefs = part.measures.first().map_or(&[][..], |measure| clefs(measure));
            music.clefs.extend(if clefs.is_empty() { &[Clef::Treble][..] } else { clefs });
            music.parts.push(first..music.clefs.len());
        }
        let bars = score.parts.iter().map(|part| part.measures.len()).max().unwrap_or(0);
        music.bars.resize_with(bars, Bar::default);
        for (part, staves) in score.parts.iter().zip(&music.parts) {
            let mut key = None;
            for (bar, measure) in music.bars.iter_mut().zip(&part.measures) {
                let clefs = &music.clefs[staves.clone()];
                Reader { bar, clefs, at: 0 }.read(measure, &mut key, staves.start == 0);
            }
        }
        for bar in &mut music.bars {
            bar.staves.resize_with(music.clefs.len(), Vec::new);
        }
        music
    }
}

fn clefs(measure: &ScoreMeasure) -> &[Clef] {
    let attributes = measure.items.iter().find_map(|item| match item {
        Item::Attributes(attributes) => Some(attributes),
        _ => None,
    });
    attributes.map_or(&[], |attributes| &attributes.clefs)
}

/// Reads one measure of one part into its bar.
struct Reader<'a> {
    bar: &'a mut Bar,
    /// Of its staves.
    clefs: &'a [Clef],
    at: i64,
}

impl Reader<'_> {
    fn read(mut self, measure: &ScoreMeasure, key: &mut Option<i8>, is_first_part: bool) {
        let first_staff = self.bar.staves.len();
        self.bar.staves.resize_with(first_staff + self.clefs.len(), Vec::new);
        if is_first_part {
            self.bar.number = (!measure.implicit).then(|| measure.number.clone());
            self.bar.new_system = measure.new_system;
        }
        let mut voices: Vec<(usize, u8)> = Vec::new();
        for item in &measure.items {
            match item {
                Item::Attributes(attributes) if is_first_part => self.attributes(attributes, key),
                Item::Barline(barline) if is_first_part => self.barline(barline),
                Item::Harmony(chord) => self.bar.chords.push(chord.clone()),
                Item::Direction(direction) => self.direction(direction),
                Item::Note(note) => self.note(note, first_staff, &mut voices),
                Item::Backup(back) => self.at -= back.0,
                Item::Attributes(_) | Item::Barline(_) => {}
            }
            self.bar.length = self.bar.length.max(self.at);
        }
        self.bar.key = key.unwrap_or(0);
    }

    fn attributes(&mut self, attributes: &Attributes, key: &mut Option<i8>) {
        if let Some(new) = attributes.key {
            self.bar.key_before = key.filter(|before| *before != new.fifths);
            *key = Some(new.fifths);
        }
        self.bar.meter =
            attributes.time.map(|time| (time.beats, time.beat_type)).or(self.bar.meter);
    }

    fn barline(&mut self, barline: &Barline) {
        match &barline.ending {
            Some(ending) if ending.kind == EndingKind::Start => {
                let passes: Vec<String> = ending.passes.iter().map(ToString::to_string).collect();
                self.bar.ending = Some(format!("{}.", passes.join(", ")));
            }
            Some(ending) => self.bar.ending_stop = Some(ending.kind),
            None => {}
        }
        self.bar.repeat_start |= barline.repeat == Some(Repeat::Forward);
        if matches!(barline.repeat, Some(Repeat::Backward(_))) {
            self.bar.end = BarEnd::Repeat;
        } else if barline.is_final {
            self.bar.end = BarEnd::Final;
        } else if barline.is_double {
            self.bar.end = BarEnd::Double;
        }
    }

    fn direction(&mut self, direction: &Direction) {
        let above = &mut self.bar.above;
        for mark in &direction.marks {
            match mark {
                Mark::Rehearsal(name) => above.rehearsal = Some(name.clone()),
                Mark::Words(words) => above.words.push(words.clone()),
                Mark::Metronome { beat, dotted, per_minute } => {
                    above.tempo = Some((*beat, *dotted, per_minute.clone()));
                }
            }
        }
        let swing = direction.sound.as_ref().and_then(|sound| sound.swing);
        above.swing = swing.or(above.swing);
    }

    fn note(&mut self, note: &ScoreNote, first_staff: usize, voices: &mut Vec<(usize, u8)>) {
        let own_staff = usize::from(note.staff.unwrap_or(1).max(1) - 1).min(self.clefs.len() - 1);
        let staff = first_staff + own_staff;
        let clef = self.clefs[own_staff];
        let voice = (staff, note.voice);
        let of_staff = voices.iter().filter(|(of, _)| *of == staff);
        let known = of_staff.clone().position(|of| *of == voice);
        let index = known.unwrap_or_else(|| of_staff.count());
        if known.is_none() {
            voices.push(voice);
            self.bar.staves[staff].push(Vec::new());
        }
        let events = &mut self.bar.staves[staff][index];
        let head = |pitch: WrittenPitch, ghost: bool| Note {
            position: position(pitch, clef),
            pitch: midi(pitch),
            accidental: note.accidental,
            tie_start: note.tie_start,
            tie_stop: note.tie_stop,
            ghost,
        };
        let head = match note.head {
            Head::Pitch(pitch) => Some(head(pitch, false)),
            Head::Ghost(pitch) => Some(head(pitch, true)),
            _ => None,
        };
        if let (true, Some(head), Some(event)) = (note.in_chord, head, events.last_mut()) {
            if let What::Notes(notes) = &mut event.what {
                notes.push(head);
                notes.sort_by_key(|note| note.position);
            }
            return;
        }
        let what = match (note.head, head) {
            (_, Some(head)) => What::Notes(vec![head]),
            (Head::Slash, _) => What::Slash,
            (Head::MeasureRest, _) => What::MeasureRest,
            _ => What::Rest,
        };
        events.push(Event {
            at: self.at,
            length: note.duration.0,
            value: note.value.unwrap_or(NoteValue::Whole),
            dots: note.dots,
            what,
            stem: note.stem,
            beams: note.beams.clone(),
            triplet: note.triplet,
            staccato: note.staccato,
            printed: note.printed,
        });
        self.at += note.duration.0;
    }
}

/// Half spaces above the middle line.
fn position(pitch: WrittenPitch, clef: Clef) -> i32 {
    let middle = match clef {
        // B4 and D3.
        Clef::Treble => 4 * 7 + 6,
        Clef::Bass => 3 * 7 + 1,
    };
    i32::from(pitch.octave) * 7 + i32::from(pitch.step.letter.index()) - middle
}

fn midi(pitch: WrittenPitch) -> i16 {
    let above_c = pitch.step.letter.semitones() + pitch.step.alter;
    (i16::from(pitch.octave) + 1) * 12 + i16::from(above_c)
}
