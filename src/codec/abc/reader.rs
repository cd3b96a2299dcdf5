//! Signs to notes: counts time, bar by bar.

mod strike;

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
use super::repeats;
use super::scan::Scanner;
use super::ties::Ties;
use super::token::{Placed, Token};
use super::tuplet::Tuplet;
use super::{Defaults, MOST_BARS, MOST_BYTES, Tune, TuneNote};
use crate::codec::MOST_NOTES;
use crate::units::Velocity;

/// Reads a voice.
///
/// # Errors
/// All that is wrong in it, in order of place; at least one.
pub fn read(text: &str, defaults: Defaults<'_>) -> Result<Tune, Vec<AbcError>> {
    if text.len() > MOST_BYTES {
        let problem = AbcProblem::TooLong { most: MOST_BYTES, what: "bytes" };
        return Err(vec![AbcError { problem, span: 0..text.len(), bar: 0 }]);
    }
    let mut reader = Reader::new(defaults);
    let mut scanner = Scanner::new(text);
    let signs: Vec<_> = std::iter::from_fn(|| scanner.next()).collect();
    for found in repeats::written_out(&signs) {
        match found {
            Ok(placed) => reader.token(placed),
            Err((problem @ AbcProblem::Times(_), span)) => {
                reader.error(problem, span.clone());
                reader.bar_line(span);
            }
            Err((problem, span)) => reader.error(problem, span),
        }
        if reader.is_too_long() {
            break;
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

struct Reader<'a> {
    unit: Fraction,
    signature: Signature,
    voice: Option<String>,
    numbered: bool,
    /// How far the music has come.
    at: Fraction,
    bars: Bars<'a>,
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

impl<'a> Reader<'a> {
    fn new(defaults: Defaults<'a>) -> Reader<'a> {
        Reader {
            // The default of meters from 3/4 up (ABC 2.1, section 3.1.7, from memory).
            unit: Fraction::new(1, 8),
            signature: Signature::of_fifths(defaults.fifths),
            voice: None,
            numbered: false,
            at: Fraction::ZERO,
            bars: Bars::new(defaults.meters),
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
                self.begin(span);
                self.at = self.at + self.bars.length(bars);
                self.bars.skip(bars.saturating_sub(1));
            }
            Token::Tie if self.ties.tie() => self.tied_in = self.bars.number(),
            Token::Tie => self.error(AbcProblem::NoNote, span),
            Token::Broken { first_longer, signs } => self.break_rhythm(first_longer, signs, span),
            Token::Tuplet { .. } if self.tuplet.is_some() => {
                self.error(AbcProblem::Tuplet("a group in a group".to_owned()), span);
            }
            Token::Tuplet { notes, in_time_of, over } => {
                let tuplet = Tuplet::new(notes, in_time_of, over, self.bars.meter());
                self.tuplet = Some((tuplet, span));
            }
            Token::BarLine => self.bar_line(span),
            Token::Repeat(_) if self.bars.is_between(self.at) => self.bar_line(span),
            Token::Repeat(_) => {}
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
        let read = field::read(letter, value, self.bars.meter());
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

    /// Whether the line is longer than any, which is an error: what follows is not read.
    fn is_too_long(&mut self) -> bool {
        let (most, what) = match (self.notes.len(), self.bars.count(self.at)) {
            (MOST_NOTES.., _) => (MOST_NOTES, "notes"),
            (_, bars) if bars > i64::from(MOST_BARS) => (MOST_BARS as usize, "bars"),
            _ => return false,
        };
        let span = self.notes.last().map_or(0..0, |note| note.span.clone());
        self.error(AbcProblem::TooLong { most, what }, span);
        true
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
            self.errors.sort_by_key(|error| (error.span.start, error.span.end));
            // What is repeated is wrong once.
            self.errors.dedup_by(|error, before| error.span == before.span);
            return Err(self.errors);
        }
        let pickup = self.bars.pickup();
        let warnings = self.omissions.sentences(!pickup.is_zero());
        let mut notes: Vec<TuneNote> =
            self.notes.into_iter().map(|note| note.placed(pickup)).collect();
        notes.sort_by_key(|note| (note.at, note.midi));
        let Ok(bars) = u32::try_from(self.bars.count(self.at)) else {
            let problem = AbcProblem::TooLong { most: MOST_BARS as usize, what: "bars" };
            return Err(vec![AbcError { problem, span: 0..end, bar: MOST_BARS }]);
        };
        Ok(Tune { pickup: pickup.ticks(), bars, notes, warnings })
    }
}
