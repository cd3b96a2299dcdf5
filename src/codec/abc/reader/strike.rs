//! Notes and rests: how long they are, and what they are called.

use std::ops::Range;

use super::{Broken, Reader};
use crate::codec::abc::error::AbcProblem;
use crate::codec::abc::exact_note::ExactNote;
use crate::codec::abc::fraction::Fraction;
use crate::codec::abc::omitted::Omitted;
use crate::codec::abc::token::WrittenNote;
use crate::theory::{NoteName, Pitch};
use crate::units::MidiPitch;

impl Reader<'_> {
    /// A length as it counts here: in units, in a group, after `>` or `<`.
    pub(super) fn counted(&mut self, written: Fraction) -> Fraction {
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

    pub(super) fn rest(&mut self, written: Fraction, span: Range<usize>) {
        self.begin(span);
        let length = self.counted(written);
        self.at = self.at + length;
        self.last_length = Some(length);
    }

    pub(super) fn strike(&mut self, notes: &[WrittenNote], times: Fraction, span: Range<usize>) {
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
        let Some(midi) = pitch.midi().and_then(MidiPitch::new) else {
            self.error(AbcProblem::PitchOutOfRange, note.span.clone());
            return;
        };
        self.ties.remember(note, alter, self.notes.len());
        self.notes.push(ExactNote {
            at: self.at,
            length,
            pitch,
            midi,
            loudness: self.loudness,
            accent: self.accent,
            staccato: self.staccato,
            span: note.span.clone(),
        });
    }

    /// `c>d`: the first note takes half of the second's length, `c>>d` three quarters, and so on.
    pub(super) fn break_rhythm(&mut self, first_longer: bool, signs: usize, span: Range<usize>) {
        let sign = if first_longer { ">" } else { "<" };
        let written = sign.repeat(signs.min(8));
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
}
