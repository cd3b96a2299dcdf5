//! In which order the measures of a lead sheet are played: repeats, endings and jumps, as the element
//! `sound` of MusicXML 4.0 describes them. D.C. and D.S. are taken the first time through, after the
//! repeats; then repeats are played once, if they do not say otherwise, with their last endings; To
//! Coda (the second time through) and Fine count after such a jump; `time-only` says otherwise.

use std::collections::BTreeSet;

use super::super::bars::WrittenBar;
use super::super::error::{Found, Problem};
use super::super::{MOST_BARS, repeat};
use super::{LeadSheetError, LeadSheetProblem, error_in};
use crate::codec::musicxml::{Jump, JumpKind, Measure};

/// Where a coda is played.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum CodaIn {
    /// A chorus is the whole sheet, jumps and all: an `AABA` whose last `A` ends otherwise.
    #[default]
    EveryChorus,
    /// A chorus goes as far as the jump back; what follows that jump is the last chorus.
    LastChorus,
}

/// A measure in its turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Step {
    /// Its index.
    pub(super) measure: usize,
    /// Whether a jump leads to it.
    pub(super) lands: bool,
}

/// The way through a lead sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Way {
    /// Played once, before the first chorus.
    pub(super) intro: Vec<Step>,
    /// Never empty.
    pub(super) chorus: Vec<Step>,
    /// Never empty.
    pub(super) last: Option<Vec<Step>>,
    /// Played once, after the last chorus.
    pub(super) outro: Vec<Step>,
    /// Whether the coda is in every chorus, and could be in the last alone.
    pub(super) may_be_last: bool,
}

/// Finds the way.
pub(super) fn way(measures: &[Measure], coda: CodaIn) -> Result<Way, Vec<LeadSheetError>> {
    let found = Walks::read(measures).map_err(|error| vec![error])?;
    let errors = found.dead_ends();
    if !errors.is_empty() {
        return Err(errors);
    }
    let mut way = found.walk(coda).map_err(|error| vec![error])?;
    way.set_apart(measures);
    Ok(way)
}

impl Way {
    /// Every measure that is played, in order of passages.
    pub(super) fn steps(&self) -> impl Iterator<Item = Step> + '_ {
        let last = self.last.iter().flatten();
        self.intro.iter().chain(&self.chorus).chain(last).chain(&self.outro).copied()
    }

    /// A section marked `Intro` that is played once at the start is the intro, one marked `Outro`
    /// that is played once at the end the outro.
    fn set_apart(&mut self, measures: &[Measure]) {
        let mark = |step: &Step| measures[step.measure].rehearsal.as_deref().map(str::trim);
        let is = |step: &Step, name: &str| {
            mark(step).is_some_and(|mark| mark.eq_ignore_ascii_case(name))
        };
        let plays = |steps: &[Step], wanted: &[Step]| {
            steps.iter().any(|step| wanted.iter().any(|other| other.measure == step.measure))
        };
        if self.intro.is_empty() && self.chorus.first().is_some_and(|first| is(first, "intro")) {
            let next = self.chorus.iter().skip(1).position(|step| mark(step).is_some());
            let (before, rest) = self.chorus.split_at(next.map_or(0, |next| next + 1));
            if !plays(rest, before) && !plays(self.last.as_deref().unwrap_or_default(), before) {
                (self.intro, self.chorus) = (before.to_vec(), rest.to_vec());
            }
        }
        let end = self.last.as_deref().unwrap_or(&self.chorus);
        let from = end.iter().rposition(|step| mark(step).is_some());
        if let Some(from) = from.filter(|&from| from > 0 && is(&end[from], "outro")) {
            let (rest, after) = end.split_at(from);
            if !plays(rest, after) && (self.last.is_none() || !plays(&self.chorus, after)) {
                let (rest, after) = (rest.to_vec(), after.to_vec());
                match &mut self.last {
                    Some(last) => *last = rest,
                    None => self.chorus = rest,
                }
                self.outro = after;
            }
        }
    }
}

/// The measures with their repeats written out.
struct Walks<'a> {
    measures: &'a [Measure],
    /// All times through.
    first: Vec<usize>,
    /// As after a jump back.
    again: Vec<usize>,
}

/// A jump back that was taken.
struct Back {
    /// How many bars were played before it.
    at: usize,
    /// The measure that it leads to.
    to: usize,
}

impl<'a> Walks<'a> {
    fn read(measures: &'a [Measure]) -> Result<Walks<'a>, LeadSheetError> {
        let written = |(index, measure): (usize, &Measure)| {
            let span = index..index + 1;
            WrittenBar {
                words: Vec::new(),
                opens: measure.repeat_start.then(|| span.clone()),
                closes: measure.repeat_end.map(|_| span.clone()),
                times: measure.repeat_end.unwrap_or(0),
                endings: measure.endings.clone(),
                span,
            }
        };
        // A repeat's bar stands for its measure's place.
        let bars: Vec<WrittenBar<'_>> = measures.iter().enumerate().map(written).collect();
        let in_measure = |Found { span, problem }| LeadSheetError {
            measure: measures.get(span.start).map_or_else(String::new, |bar| bar.number.clone()),
            problem: LeadSheetProblem::Form(problem),
        };
        let first = repeat::play_order(&bars).map_err(in_measure)?;
        let after_jump = |closing: usize| measures[closing].repeat_after_jump;
        let again = repeat::play_order_where(&bars, after_jump).map_err(in_measure)?;
        if first.is_empty() {
            return Err(in_measure(Found::at(0..0, Problem::NoBars)));
        }
        Ok(Walks { measures, first, again })
    }

    /// Jumps that lead nowhere, and codas that nothing leads to.
    fn dead_ends(&self) -> Vec<LeadSheetError> {
        let mut errors = Vec::new();
        for (index, measure) in self.measures.iter().enumerate() {
            for jump in &measure.jumps {
                let problem = match jump.kind {
                    JumpKind::DalSegno(_) => LeadSheetProblem::NoSegno,
                    _ => LeadSheetProblem::NoCoda,
                };
                if jump.kind != JumpKind::Fine && self.target(index, &jump.kind).is_none() {
                    errors.push(error_in(measure, problem));
                }
            }
            if measure.coda.is_some() && self.ways_to(index) == 0 {
                errors.push(error_in(measure, LeadSheetProblem::NoWayToCoda));
            }
        }
        errors
    }

    fn ways_to(&self, coda: usize) -> usize {
        let leads = |&index: &usize| {
            let mut jumps = self.measures[index].jumps.iter();
            jumps.any(|jump| {
                matches!(jump.kind, JumpKind::ToCoda(_))
                    && self.target(index, &jump.kind) == Some(coda)
            })
        };
        (0..coda).filter(leads).count()
    }

    /// The measure that a jump leads to: the sign of its name, or the only one there is.
    fn target(&self, from: usize, jump: &JumpKind) -> Option<usize> {
        let sign = |wanted: &str, signs: Vec<(usize, &str)>| match signs[..] {
            [(only, _)] => Some(only),
            _ => signs.iter().find(|(_, name)| *name == wanted).map(|(place, _)| *place),
        };
        let measures = self.measures.iter().enumerate();
        match jump {
            JumpKind::DaCapo => Some(0),
            JumpKind::DalSegno(name) => {
                let signs = measures.take(from + 1);
                sign(name, signs.filter_map(|(i, m)| Some((i, m.segno.as_deref()?))).collect())
            }
            JumpKind::ToCoda(name) => {
                let signs = measures.skip(from + 1);
                sign(name, signs.filter_map(|(i, m)| Some((i, m.coda.as_deref()?))).collect())
            }
            JumpKind::Fine => None,
        }
    }

    fn walk(&self, coda: CodaIn) -> Result<Way, LeadSheetError> {
        let mut order: Vec<Step> = Vec::new();
        let mut visits = vec![0_usize; self.measures.len()];
        let mut taken: BTreeSet<(usize, usize)> = BTreeSet::new();
        let mut back: Option<Back> = None;
        let mut to_coda = false;
        let mut lands = false;
        let (mut walk, mut next) = (&self.first, 0);
        'bars: while let Some(&index) = walk.get(next) {
            next += 1;
            order.push(Step { measure: index, lands: std::mem::take(&mut lands) });
            visits[index] += 1;
            let measure = &self.measures[index];
            if order.len() > MOST_BARS {
                let problem = LeadSheetProblem::Form(Problem::TooLong(MOST_BARS));
                return Err(error_in(measure, problem));
            }
            for (number, jump) in measure.jumps.iter().enumerate() {
                let comes_again = walk[next..].contains(&index);
                let is_new = !taken.contains(&(index, number));
                if !is_due(jump, visits[index], is_new, back.is_some(), comes_again) {
                    continue;
                }
                taken.insert((index, number));
                let Some(to) = self.target(index, &jump.kind) else { break 'bars };
                if matches!(jump.kind, JumpKind::ToCoda(_)) {
                    // What a coda repeats is played for the first time.
                    (walk, to_coda) = (&self.first, true);
                } else {
                    walk = &self.again;
                    back = Some(Back { at: order.len(), to });
                }
                let place = walk.iter().position(|&place| place >= to);
                next = place.unwrap_or(walk.len());
                lands = true;
                continue 'bars;
            }
        }
        Ok(match back {
            Some(back) if to_coda && coda == CodaIn::LastChorus => {
                let start = order.iter().position(|step| step.measure == back.to).unwrap_or(0);
                let last = order.split_off(back.at.min(order.len()));
                let chorus = order.split_off(start.min(back.at));
                Way { intro: order, chorus, last: Some(last), ..Way::default() }
            }
            Some(_) => Way { chorus: order, may_be_last: to_coda, ..Way::default() },
            None if to_coda => Way { chorus: order, ..Way::default() },
            None => self.last_time(),
        })
    }

    /// A coda that no jump back leads to is for the last time through.
    fn last_time(&self) -> Way {
        let steps = |order: &[usize]| {
            order.iter().map(|&measure| Step { measure, lands: false }).collect::<Vec<Step>>()
        };
        let ways_on = self.first.iter().find_map(|&index| {
            let mut jumps = self.measures[index].jumps.iter();
            let jump = jumps.find(|jump| matches!(jump.kind, JumpKind::ToCoda(_)))?;
            let coda = self.target(index, &jump.kind)?;
            let coda = self.first.iter().position(|&place| place == coda)?;
            let leave = self.first[..coda].iter().rposition(|&other| other == index)?;
            Some((leave, coda))
        });
        let Some((leave, coda)) = ways_on else {
            return Way { chorus: steps(&self.first), ..Way::default() };
        };
        let mut last = steps(&self.first[..=leave]);
        last.extend(steps(&self.first[coda..]));
        Way { chorus: steps(&self.first[..coda]), last: Some(last), ..Way::default() }
    }
}

/// Whether a jump is taken, at this time through its measure.
fn is_due(jump: &Jump, visit: usize, is_new: bool, jumped: bool, comes_again: bool) -> bool {
    if !jump.times.is_empty() {
        return jump.times.iter().any(|&time| usize::from(time) == visit);
    }
    match jump.kind {
        JumpKind::DaCapo | JumpKind::DalSegno(_) => is_new && !comes_again,
        JumpKind::ToCoda(_) => is_new && jumped && visit > 1,
        JumpKind::Fine => jumped,
    }
}
