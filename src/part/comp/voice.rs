//! The voicing engine: from a timeline's chords to pitches.

use std::sync::Arc;

use crate::units::Ticks;

use super::candidate::{Candidate, Request};
use super::passage::{Passage, PassageChord, passages};
use super::path::{Step, onward, round};
use super::settings::CompSettings;
use super::voicing::{VoicingWarning, Voicings};
use crate::arrange::Timeline;
use crate::problem::InternalError;
use crate::style::CompStyle;

/// Chooses the pitches of every chord.
///
/// For each chord all legal placements of the style's shapes, then the path of least cost through
/// the whole chorus and back to its start. Legal and cost are described in `styles/README.md`.
/// Choruses with the same chords have the same voicings; an ending goes on from the chord before
/// it. A chord without a legal placement gets one that breaks as few rules as it can, and a
/// warning says which.
///
/// # Errors
/// A chord has no placement at all, which is a fault of the program.
pub fn voice(
    timeline: &Timeline,
    style: &CompStyle,
    settings: &CompSettings,
) -> Result<Voicings, InternalError> {
    let lengths = settings.line.iter().map(|note| note.until - note.from);
    let mut engine = Engine {
        timeline,
        style,
        settings,
        longest: lengths.max().unwrap_or_default(),
        voicings: Voicings {
            bars: timeline.bars.iter().map(|bar| vec![None; bar.slots.len()]).collect(),
            warnings: Vec::new(),
        },
    };
    let passages = passages(timeline);
    let mut solved: Vec<(&Passage, Vec<Candidate>)> = Vec::new();
    let mut last: Option<Candidate> = None;
    for passage in &passages {
        let alike = solved.iter().find(|(solved, _)| passage.is_like(solved));
        let chosen = engine.solve(passage, alike, &passages, last.as_ref())?;
        engine.write(passage, &chosen);
        last = chosen.last().cloned();
        if alike.is_none() && passage.goes_round {
            solved.push((passage, chosen));
        }
    }
    Ok(engine.voicings)
}

struct Engine<'a> {
    timeline: &'a Timeline,
    style: &'a CompStyle,
    settings: &'a CompSettings,
    /// How long the longest note of the line is.
    longest: Ticks,
    voicings: Voicings,
}

impl Engine<'_> {
    /// The placements of a passage's chords. Where one like it is solved, the chords that have
    /// the same function there keep their placements; `last` is where the hands come from.
    fn solve(
        &mut self,
        passage: &Passage,
        alike: Option<&(&Passage, Vec<Candidate>)>,
        all: &[Passage],
        last: Option<&Candidate>,
    ) -> Result<Vec<Candidate>, InternalError> {
        let mut steps: Vec<Step> = Vec::new();
        for (index, chord) in passage.chords.iter().enumerate() {
            let kept = alike.and_then(|(solved, chosen)| {
                let same = solved.chords.get(index)?.harmony == chord.harmony;
                chosen.get(index).filter(|_| same)
            });
            let candidates = match kept {
                Some(kept) => vec![kept.clone()],
                None if index == 0 && passage.goes_round => self.begin(passage, chord, all)?,
                None => self.candidates(passage, chord, all)?,
            };
            let before = match index.checked_sub(1) {
                Some(before) => passage.chords.get(before),
                None => passage.chords.last().filter(|_| passage.goes_round),
            };
            let same_chord = before.is_some_and(|before| before.harmony == chord.harmony);
            steps.push(Step { candidates, same_chord });
        }
        let path = if passage.goes_round {
            round(&steps, self.style.centre)
        } else {
            onward(last, &steps, self.style.centre)
        };
        let chosen = steps.iter().zip(&path.choice);
        let chosen: Vec<Candidate> =
            chosen.filter_map(|(step, choice)| step.candidates.get(*choice).cloned()).collect();
        if chosen.len() != steps.len() {
            let (found, chords) = (chosen.len(), steps.len());
            return Err(InternalError::new(format!("{found} of {chords} chords got a voicing")));
        }
        Ok(chosen)
    }

    fn candidates(
        &mut self,
        passage: &Passage,
        chord: &PassageChord,
        all: &[Passage],
    ) -> Result<Vec<Candidate>, InternalError> {
        let request = Request {
            style: self.style,
            harmony: &chord.harmony,
            reach: self.settings.reach.unwrap_or(self.style.reach),
            ceiling: self.ceiling(passage, chord, all),
        };
        let (candidates, given_up) = request.candidates()?;
        if !given_up.is_empty() {
            self.warn(VoicingWarning::RulesGivenUp {
                form_bar: self.form_bar(passage, chord),
                chord: Box::new(chord.harmony.symbol.clone()),
                given_up,
            });
        }
        Ok(candidates)
    }

    /// The candidates of a first chord: only those that begin as the lesson asks, where there
    /// are any.
    fn begin(
        &mut self,
        passage: &Passage,
        chord: &PassageChord,
        all: &[Passage],
    ) -> Result<Vec<Candidate>, InternalError> {
        let candidates = self.candidates(passage, chord, all)?;
        let start = self.settings.start.unwrap_or(self.style.start);
        let Some(degree) = start.degree() else { return Ok(candidates) };
        let begins = |candidate: &&Candidate| candidate.lowest_asked() == degree;
        let asked: Vec<Candidate> = candidates.iter().filter(begins).cloned().collect();
        if !asked.is_empty() {
            return Ok(asked);
        }
        self.warn(VoicingWarning::StartIgnored {
            form_bar: self.form_bar(passage, chord),
            chord: Box::new(chord.harmony.symbol.clone()),
            degree,
        });
        Ok(candidates)
    }

    /// The lowest note of the line over a chord, in any chorus that shares its voicings; where the
    /// hand may take the chord early, also over the count before it.
    fn ceiling(&self, passage: &Passage, chord: &PassageChord, all: &[Passage]) -> Option<u8> {
        let sharing = all.iter().filter(|other| *other == passage || other.is_like(passage));
        let bars = sharing.filter_map(|other| other.bars.get(chord.bar)).flatten();
        let takes_early = self.style.takes_chords_early();
        let heard = |bar: &usize| {
            let bar = self.timeline.bars.get(*bar)?;
            let slot = bar.slots.get(chord.slot)?;
            let early = if takes_early { bar.meter.count() } else { Ticks::ZERO };
            let (from, until) = (slot.at - early, slot.end());
            let line = &self.settings.line;
            let begun = line.partition_point(|note| note.from < until);
            let earliest =
                line.partition_point(|note| note.from.0 < from.0.saturating_sub(self.longest.0));
            let sounding = line.get(earliest..begun)?.iter().filter(|note| note.until > from);
            sounding.map(|note| note.pitch).min()
        };
        bars.filter_map(heard).min()
    }

    fn form_bar(&self, passage: &Passage, chord: &PassageChord) -> u32 {
        let index = passage.bars.get(chord.bar).and_then(|bars| bars.first());
        let bar = index.and_then(|index| self.timeline.bars.get(*index));
        bar.map_or(0, |bar| bar.form_bar)
    }

    fn warn(&mut self, warning: VoicingWarning) {
        if !self.voicings.warnings.contains(&warning) {
            self.voicings.warnings.push(warning);
        }
    }

    fn write(&mut self, passage: &Passage, chosen: &[Candidate]) {
        for (chord, candidate) in passage.chords.iter().zip(chosen) {
            let voicing = Arc::new(candidate.voicing());
            for bar in passage.bars.get(chord.bar).into_iter().flatten() {
                let slots = self.voicings.bars.get_mut(*bar);
                if let Some(slot) = slots.and_then(|slots| slots.get_mut(chord.slot)) {
                    *slot = Some(Arc::clone(&voicing));
                }
            }
        }
    }
}
