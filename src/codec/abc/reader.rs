//! Signs to notes: counts time, bar by bar.

use std::ops::Range;

use super::accidentals::Accidentals;
use super::bars::Bars;
use super::error::{AbcError, AbcProblem};
use super::exact_note::ExactNote;
use super::field::{self, Field};
use super::fraction::Fraction;
use super::key::Signature;
use super::mark::Mark;
use super::omitted::{Omissions, Omitted};
use super::scan::Scanner;
use super::ties::Ties;
use super::token::{Placed, Token, WrittenNote};
use super::tuplet::Tuplet;
use super::{Defaults, Tune, TuneNote};
use crate::theory::{NoteName, Pitch};
use crate::units::Velocity;

/// Reads a voice.
///
/// # Errors
/// All that is wrong in it, in order of place; at least one.
pub fn read(text: &str, defaults: Defaults) -> Result<Tune, Vec<AbcError>> {
    let mut reader = Reader::new(defaults);
    let mut scanner = Scanner::new(text);
    while let Some(found) = scanner.next() {
        match found {
            Ok(placed) => reader.token(placed),
            Err((problem, span)) => reader.error(problem, span),
        }
    }
    reader.finish(text.len())
}

/// `>` or `<` that waits for its second note.
struct Broken {
    times: Fraction,
    written: String,
    span: Range<usize>,
}

struct Reader {
    defaults: Defaults,
    unit: Fraction,
    signature: Signature,
    voice: Option<String>,
    numbered: bool,
    /// How far the music has come.
    at: Fraction,
    bars: Bars,
    accidentals: Accidentals,
    tuplet: Option<(Tuplet, Range<usize>)>,
    broken: Option<Broken>,
    /// The length of the last strike or rest of this bar.
    last_length: Option<Fraction>,
    ties: Ties,
    /// The bar of the last tie.
    tied_in: u32,
    loudness: Option<Velocity>,
    accent: bool,
    staccato: bool,
    notes: Vec<ExactNote>,
    omissions: Omissions,
    errors: Vec<AbcError>,
}

impl Reader {
    fn new(defaults: Defaults) -> Reader {
        Reader {
            defaults,
            // The default of meters from 3/4 up (ABC 2.1, section 3.1.7, from memory).
            unit: Fraction::new(1, 8),
            signature: Signature::of_fifths(defaults.fifths),
            voice: None,
            numbered: false,
            at: Fraction::ZERO,
            bars: Bars::new(defaults.meter),
            accidentals: Accidentals::default(),
            tuplet: None,
            broken: None,
            last_length: None,
            ties: Ties::default(),
            tied_in: 0,
            loudness: None,
            accent: false,
            staccato: false,
            notes: Vec::new(),
            omissions: Omissions::default(),
            errors: Vec::new(),
        }
    }

    fn error(&mut self, problem: AbcProblem, span: Range<usize>) {
        self.errors.push(AbcError { problem, span, bar: self.bars.number() });
    }

    fn omit(&mut self, kind: Omitted) {
        self.omissions.note(kind, self.bars.number());
    }

    fn token(&mut self, placed: Placed<'_>) {
        let span = placed.span;
        match placed.token {
            Token::Strike { notes, times } => self.strike(&notes, times, span),
            Token::Rest(length) => self.rest(length, span),
            Token::RestOfBars(bars) => {
                let bars = bars.clamp(0, 1024);
                self.begin(span);
                self.at = self.at + self.bars.full() * Fraction::new(bars, 1);
                self.bars.skip(u32::try_from(bars - 1).unwrap_or(0));
            }
            Token::Tie if self.ties.tie() => self.tied_in = self.bars.number(),
            Token::Tie => self.error(AbcProblem::NoNote, span),
            Token::Broken { first_longer, signs } => self.break_rhythm(first_longer, signs, span),
            Token::Tuplet { .. } if self.tuplet.is_some() => {
                self.error(AbcProblem::Tuplet("a group in a group".to_owned()), span);
            }
            Token::Tuplet { notes, in_time_of, over } => {
                let tuplet = Tuplet::new(notes, in_time_of, over, self.defaults.meter);
                self.tuplet = Some((tuplet, span));
            }
            Token::BarLine => self.bar_line(span),
            Token::Repeat => {
                self.error(AbcProblem::Repeat, span.clone());
                self.bar_line(span);
            }
            Token::Overlay => self.error(AbcProblem::Voices, span),
            Token::Mark(Mark::Loudness(velocity)) => self.loudness = Some(velocity),
            Token::Mark(Mark::Accent) => self.accent = true,
            Token::Mark(Mark::Staccato) => self.staccato = true,
            Token::Omitted(kind) => self.omit(kind),
            Token::Field { letter, value, value_at } => {
                self.field(letter, value, value_at..value_at + value.len());
            }
            Token::Directive(text) => {
                if let Some(scope) = text.trim().strip_prefix("propagate-accidentals") {
                    self.accidentals.own_octave_only = scope.trim() == "octave";
                }
            }
        }
    }

    fn field(&mut self, letter: char, value: &str, span: Range<usize>) {
        let read = field::read(letter, value, self.defaults.meter);
        match read {
            Ok(Field::Key(value)) => match Signature::read(value, self.signature) {
                Ok(signature) => self.signature = signature,
                Err(problem) => self.error(problem, span),
            },
            Ok(Field::Unit(unit)) => self.unit = unit,
            Ok(Field::Voice(name)) => match &self.voice {
                Some(voice) if voice != name => self.error(AbcProblem::Voices, span),
                None if !self.notes.is_empty() => self.error(AbcProblem::Voices, span),
                _ => self.voice = Some(name.to_owned()),
            },
            Ok(Field::Number) if self.numbered => self.error(AbcProblem::Tunes, span),
            Ok(Field::Number) => self.numbered = true,
            Ok(Field::Omitted(kind)) => self.omit(kind),
            Ok(Field::Silent) => {}
            Err(problem) => self.error(problem, span),
        }
    }

    /// Begins a strike or a rest.
    fn begin(&mut self, span: Range<usize>) {
        if let Some((problem, span, bar)) = self.bars.begin(span) {
            self.errors.push(AbcError { problem, span, bar });
        }
        if self.ties.begin() {
            self.omissions.note(Omitted::LooseTie, self.tied_in);
        }
    }

    /// A length as it counts here: in units, in a group, after `>` or `<`.
    fn counted(&mut self, written: Fraction) -> Fraction {
        let mut length = written * self.unit;
        if let Some(broken) = self.broken.take() {
            length = length * broken.times;
        }
        if let Some((tuplet, _)) = &mut self.tuplet {
            length = length * tuplet.times;
            tuplet.found += 1;
            if tuplet.found == tuplet.wanted {
                self.tuplet = None;
            }
        }
        length
    }

    fn rest(&mut self, written: Fraction, span: Range<usize>) {
        self.begin(span);
        let length = self.counted(written);
        self.at = self.at + length;
        self.last_length = Some(length);
    }

    fn strike(&mut self, notes: &[WrittenNote], times: Fraction, span: Range<usize>) {
        self.begin(span);
        let Some(first) = notes.first() else { return };
        if notes.iter().any(|note| note.tied) {
            self.tied_in = self.bars.number();
        }
        let length = self.counted(first.length * times);
        for note in notes {
            // Notes of a chord have their own lengths; the first one's is the chord's.
            let own = length * note.length * first.length.inverse();
            self.note(note, own);
        }
        (self.accent, self.staccato) = (false, false);
        self.at = self.at + length;
        self.last_length = Some(length);
    }

    fn note(&mut self, note: &WrittenNote, length: Fraction) {
        let tied = self.ties.partner(note);
        let heard = self.accidentals.hear(note, self.signature.alter(note.letter));
        if let Some((partner, alter)) = tied {
            if let Some(partner_note) = self.notes.get_mut(partner) {
                partner_note.length = partner_note.length + length;
            }
            self.ties.remember(note, alter, partner);
            return;
        }
        if heard.from_other_octave {
            self.omit(Omitted::OtherOctave);
        }
        let alter = heard.alter;
        let octave = note.octave.saturating_add(self.signature.octaves);
        let pitch = Pitch { name: NoteName::new(note.letter, alter), octave };
        if pitch.midi().is_none() {
            self.error(AbcProblem::PitchOutOfRange, note.span.clone());
            return;
        }
        self.ties.remember(note, alter, self.notes.len());
        self.notes.push(ExactNote {
            at: self.at,
            length,
            pitch,
            loudness: self.loudness,
            accent: self.accent,
            staccato: self.staccato,
            span: note.span.clone(),
        });
    }

    /// `c>d`: the first note takes half of the second's length, `c>>d` three quarters, and so on.
    fn break_rhythm(&mut self, first_longer: bool, signs: u32, span: Range<usize>) {
        let sign = if first_longer { ">" } else { "<" };
        let written = sign.repeat(usize::try_from(signs.min(8)).unwrap_or(1));
        let (Some(length), 1..=3, None) = (self.last_length.take(), signs, &self.broken) else {
            self.error(AbcProblem::Broken(written), span);
            return;
        };
        let shorter = Fraction::new(1, 1 << signs);
        let longer = Fraction::new(2, 1) - shorter;
        let (first, second) = if first_longer { (longer, shorter) } else { (shorter, longer) };
        let more = length * first - length;
        for note in self.ties.last_notes().collect::<Vec<_>>() {
            if let Some(note) = self.notes.get_mut(note) {
                note.length = note.length + more;
            }
        }
        self.at = self.at + more;
        self.broken = Some(Broken { times: second, written, span });
    }

    fn bar_line(&mut self, span: Range<usize>) {
        self.close_broken();
        self.last_length = None;
        self.accidentals.end_bar();
        if let Some((problem, span, bar)) = self.bars.line(self.at, span) {
            self.errors.push(AbcError { problem, span, bar });
        }
    }

    fn close_broken(&mut self) {
        if let Some(broken) = self.broken.take() {
            self.error(AbcProblem::Broken(broken.written), broken.span);
        }
    }

    fn finish(mut self, end: usize) -> Result<Tune, Vec<AbcError>> {
        self.close_broken();
        if let Some((tuplet, span)) = self.tuplet.take() {
            let (wanted, found) = (tuplet.wanted, tuplet.found);
            self.error(AbcProblem::ShortTuplet { wanted, found }, span);
        }
        if self.ties.is_open() {
            self.omissions.note(Omitted::LooseTie, self.tied_in);
        }
        if let Some((problem, span, bar)) = self.bars.finish(self.at) {
            self.errors.push(AbcError { problem, span, bar });
        }
        if self.notes.is_empty() && self.errors.is_empty() {
            self.error(AbcProblem::Empty, 0..end);
        }
        if !self.errors.is_empty() {
            self.errors.sort_by_key(|error| error.span.start);
            return Err(self.errors);
        }
        let pickup = self.bars.pickup();
        let warnings = self.omissions.sentences(!pickup.is_zero());
        let mut notes: Vec<TuneNote> =
            self.notes.into_iter().map(|note| note.placed(pickup)).collect();
        notes.sort_by_key(|note| (note.at, note.pitch.midi()));
        let bars = self.bars.count(self.at);
        Ok(Tune { pickup: pickup.ticks(), bars, notes, warnings })
    }
}
