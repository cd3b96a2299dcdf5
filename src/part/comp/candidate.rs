//! All legal placements of a style's shapes on one chord.

use super::legal::Limits;
use super::tones::{Tone, tones};
use super::voicing::{Rule, VoicedNote, Voicing};
use crate::problem::InternalError;
use crate::style::{ChordKind, CompStyle, Shape};
use crate::theory::Harmony;
use crate::units::MidiPitch;

/// One legal placement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Candidate {
    /// From the lowest up; never empty.
    pub(super) tones: Vec<Tone>,
    /// As many as tones.
    pub(super) pitches: Vec<MidiPitch>,
    /// What its shape costs, in semitones.
    pub(super) penalty: u8,
}

impl Candidate {
    /// The number that the lowest note of the chord is asked for by.
    pub(super) fn lowest_asked(&self) -> u8 {
        let group = self.tones.last().map_or(0, |tone| tone.group);
        let lowest = self.tones.iter().find(|tone| tone.group == group);
        lowest.map_or(0, |tone| tone.asked)
    }

    pub(super) fn voicing(&self) -> Voicing {
        let note = |(tone, pitch): (&Tone, &MidiPitch)| VoicedNote {
            pitch: pitch.get(),
            name: tone.name,
            hand: tone.hand,
            degree: tone.degree,
            asked: tone.asked,
            group: tone.group,
        };
        Voicing { notes: self.tones.iter().zip(&self.pitches).map(note).collect() }
    }
}

/// What a chord asks for beyond its style.
pub(super) struct Request<'a> {
    pub(super) style: &'a CompStyle,
    pub(super) harmony: &'a Harmony,
    pub(super) reach: u8,
    pub(super) ceiling: Option<u8>,
}

impl Request<'_> {
    /// All legal placements, and the rules that had to give way for there to be one. First each
    /// rule gives way alone, in the order of [`Rule::ALL`]; where that does not suffice, the
    /// first two do, then the first three, and so on. The line is met only where nothing else
    /// helps.
    ///
    /// # Errors
    /// There is none: with no rule left a single note should always fit.
    pub(super) fn candidates(&self) -> Result<(Vec<Candidate>, Vec<Rule>), InternalError> {
        let all = Rule::ALL.len();
        let but_the_last = all - 1;
        let alone = (0..but_the_last).map(|index| &Rule::ALL[index..=index]);
        let together = (2..=but_the_last).map(|count| &Rule::ALL[..count]);
        let last = [&Rule::ALL[but_the_last..], &Rule::ALL[..]];
        for waived in std::iter::once(&Rule::ALL[..0]).chain(alone).chain(together).chain(last) {
            let candidates = self.legal(waived);
            if !candidates.is_empty() {
                return Ok((candidates, waived.to_vec()));
            }
        }
        let chord = &self.harmony.symbol;
        Err(InternalError::new(format!("not even a single note of {chord} can be placed")))
    }

    fn legal(&self, waived: &[Rule]) -> Vec<Candidate> {
        let limits = Limits {
            style: self.style,
            harmony: self.harmony,
            reach: self.reach,
            ceiling: self.ceiling,
            waived,
        };
        let shapes = self.style.shapes_for(ChordKind::of(&self.harmony.symbol), self.reach);
        let mut candidates: Vec<Candidate> = Vec::new();
        for shape in shapes {
            for candidate in placements(shape, self.harmony, &limits) {
                let is_new = candidates.iter().all(|known| known.pitches != candidate.pitches);
                if is_new {
                    candidates.push(candidate);
                }
            }
        }
        candidates
    }
}

fn placements(shape: &Shape, harmony: &Harmony, limits: &Limits) -> Vec<Candidate> {
    let tones = tones(shape, harmony);
    let chord_from = match (limits.style.bass, shape.last_group()) {
        (Some(_), last @ 1..) => tones.partition_point(|tone| tone.group < last),
        _ => 0,
    };
    let (bass, chord) = tones.split_at(chord_from);
    let mut found = Vec::new();
    for below in stacks(bass, limits, true) {
        for above in stacks(chord, limits, false) {
            let (mut tones, mut pitches) = (tones.clone(), [below.clone(), above].concat());
            let crossing = pitches.windows(2).position(|pair| pair[0] >= pair[1]);
            match crossing {
                Some(_) if limits.holds(Rule::AllNotes) => continue,
                Some(below) => pitches.truncate(below + 1),
                None => {}
            }
            tones.truncate(pitches.len());
            if !limits.holds(Rule::AllNotes) {
                leave_out(&mut tones, &mut pitches, limits);
            }
            // What lies outside MIDI's numbers is no placement.
            let midi: Option<Vec<MidiPitch>> =
                pitches.iter().map(|pitch| MidiPitch::try_from(*pitch).ok()).collect();
            if let Some(midi) = midi.filter(|_| limits.allow(&tones, &pitches)) {
                found.push(Candidate { tones, pitches: midi, penalty: shape.penalty });
            }
        }
    }
    found
}

/// All places for tones that lie each as near above the one before as they can. No tones have
/// one place, an empty one.
fn stacks(tones: &[Tone], limits: &Limits, is_bass: bool) -> Vec<Vec<i16>> {
    let Some(lowest) = tones.first() else { return vec![Vec::new()] };
    let register = limits.register(is_bass);
    let all_notes = limits.holds(Rule::AllNotes);
    let starts = (i16::from(register.lowest)..=i16::from(register.highest))
        .filter(|pitch| pitch.rem_euclid(12) == i16::from(lowest.pitch_class()));
    let stack = |start: i16| {
        let mut pitches = vec![start];
        for tone in &tones[1..] {
            let last = pitches.last().copied().unwrap_or(start);
            let up = (i16::from(tone.pitch_class()) - last).rem_euclid(12);
            pitches.push(last + if up == 0 { 12 } else { up });
        }
        pitches
    };
    let fits =
        |pitches: &Vec<i16>| !all_notes || pitches.last().is_some_and(|p| register.contains(*p));
    starts.map(stack).filter(fits).collect()
}

/// Leaves out the highest notes until each hand spans the rest, and they lie in the register.
fn leave_out(tones: &mut Vec<Tone>, pitches: &mut Vec<i16>, limits: &Limits) {
    let highest = i16::from(limits.register(false).highest);
    let below_line = |pitch: i16| {
        !limits.holds(Rule::BelowTheLine) || limits.ceiling.is_none_or(|line| pitch < line.into())
    };
    while pitches.len() > 1 {
        let Some(&top) = pitches.last() else { return };
        if limits.in_reach(tones, pitches) && top <= highest && below_line(top) {
            break;
        }
        pitches.pop();
        tones.pop();
    }
}
