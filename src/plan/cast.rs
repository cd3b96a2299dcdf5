//! What comp, bass and drums play, where a track changes them on its way.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::arrange::Timeline;
use crate::lesson::Scope;
use crate::part::comp::{self, CompSettings, Voicings};
use crate::part::{Note, PartNotes, PlayContext, bass, drums};
use crate::performance::Part;
use crate::problem::InternalError;
use crate::style::{DrumStyle, Intensity};
use crate::units::Ticks;

use super::players::PlayersChange;
use super::{PlannedLine, Players};

/// What comp, bass and drums play.
pub(super) struct Band {
    pub(super) parts: Vec<PartNotes>,
    /// What the comp's hands hold.
    pub(super) voicings: Option<Voicings>,
    /// The bars in which a style of even eighths plays that does not play all the time.
    pub(super) even: BTreeSet<usize>,
}

/// Plays comp, bass and drums.
///
/// Each style is played from beginning to end, and heard in the bars that are its own: so a style
/// goes on where it comes back as if it had not been away.
pub(super) fn play(
    context: PlayContext<'_>,
    players: &Players,
    settings: &CompSettings,
) -> Result<Band, InternalError> {
    let timeline = context.timeline;
    let mut parts = Vec::new();
    let mut even = BTreeSet::new();
    let mut voicings: Option<Voicings> = None;
    let (styles, cast) = Cast::of(timeline, players, Part::Comp, players.comp.as_ref(), |change| {
        change.comp.as_ref()
    });
    for (choice, style) in cast.heard(&styles) {
        let chosen = comp::voice(timeline, style, settings)?;
        let notes = comp::play(context, style, &chosen);
        parts.push(cast.own(timeline, choice, notes, &mut even));
        let chosen = cast.own_voicings(timeline, choice, chosen);
        match &mut voicings {
            None => voicings = Some(chosen),
            Some(voicings) => voicings.take_up(chosen),
        }
    }
    let (styles, cast) = Cast::of(timeline, players, Part::Bass, players.bass.as_ref(), |change| {
        change.bass.as_ref()
    });
    for (choice, style) in cast.heard(&styles) {
        parts.push(cast.own(timeline, choice, bass::play(context, style), &mut even));
    }
    let (styles, cast) = drummers(timeline, players);
    for (choice, (style, intensity)) in cast.heard(&styles) {
        let notes = drums::play(context, style, intensity);
        parts.push(cast.own(timeline, choice, notes, &mut even));
    }
    Ok(Band { parts: joined(parts), voicings, even })
}

/// A line of a take, and where it is heard.
#[derive(Debug, Clone, PartialEq)]
pub struct HeardLine {
    /// The line.
    pub planned: Arc<PlannedLine>,
    /// For each bar of the timeline whether it is the line's.
    pub bars: Vec<bool>,
}

/// The right hand's lines, each with its own bars.
pub(super) fn lines(timeline: &Timeline, players: &Players) -> Vec<HeardLine> {
    let first = players.line.as_ref();
    let (lines, cast) =
        Cast::of(timeline, players, Part::Line, first, |change| change.line.as_ref());
    let mut heard: Vec<HeardLine> = Vec::new();
    for (choice, line) in lines.into_iter().enumerate() {
        let own = (0..timeline.bars.len()).map(|bar| cast.plays(choice, bar));
        match heard.iter_mut().find(|heard| heard.planned == *line) {
            // The same line again, somewhere else.
            Some(known) => known.bars.iter_mut().zip(own).for_each(|(bar, own)| *bar |= own),
            None => heard.push(HeardLine { planned: Arc::clone(line), bars: own.collect() }),
        }
    }
    heard
}

impl HeardLine {
    /// Its notes in its own bars, with the pickups to them.
    pub(super) fn play(&self, timeline: &Timeline) -> PartNotes {
        let is_own = |bar: usize| self.bars.get(bar).copied().unwrap_or(false);
        self.planned.line.play_in(timeline, is_own)
    }
}

/// A left hand without its notes in bars in which it rests, or the drummer plays alone.
pub(super) fn without_rests(
    timeline: &Timeline,
    players: &Players,
    mut line: PartNotes,
) -> PartNotes {
    line.notes.retain(|note| !timeline.bar(note.at).is_some_and(|bar| bar.drums_alone));
    for change in players.changes.iter().filter(|change| change.rest.contains(&line.part)) {
        let rests = of_scope(timeline, &change.scope);
        line.notes.retain(|note| rests.get(timeline.bar_index(note.at)).is_none_or(|rests| !rests));
    }
    line
}

/// Notes of one part on one instrument stand together.
pub(super) fn joined(parts: Vec<PartNotes>) -> Vec<PartNotes> {
    let mut joined: Vec<PartNotes> = Vec::new();
    for part in parts {
        let same = joined.iter_mut().find(|known| {
            (known.part, known.instrument, known.straight)
                == (part.part, part.instrument, part.straight)
        });
        match same {
            Some(known) => {
                known.notes.extend(part.notes);
                known.notes.sort_by_key(|note| (note.at, note.pitch));
            }
            None => joined.push(part),
        }
    }
    joined
}

/// Drum styles, each at an intensity.
fn drummers<'a>(
    timeline: &Timeline,
    players: &'a Players,
) -> (Vec<(&'a DrumStyle, Intensity)>, Cast) {
    let first = players.drums.as_ref();
    let (styles, mut cast) =
        Cast::of(timeline, players, Part::Drums, first, |change| change.drums.as_ref());
    let mut intensities = vec![players.intensity; timeline.bars.len()];
    for change in &players.changes {
        let Some(intensity) = change.intensity else { continue };
        for (bar, belongs) in intensities.iter_mut().zip(of_scope(timeline, &change.scope)) {
            if belongs {
                *bar = intensity;
            }
        }
    }
    let mut choices: Vec<(usize, Intensity)> = Vec::new();
    for (bar, intensity) in cast.bars.iter_mut().zip(intensities) {
        let Some(style) = *bar else { continue };
        let wanted = (style, intensity);
        let known = choices.iter().position(|choice| *choice == wanted);
        *bar = Some(known.unwrap_or(choices.len()));
        if known.is_none() {
            choices.push(wanted);
        }
    }
    let styles = choices.into_iter().map(|(style, intensity)| (styles[style], intensity));
    (styles.collect(), cast)
}

/// What a player plays, bar by bar: an index into what there is to choose from; nothing where it
/// rests.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Cast {
    /// By bar of the timeline.
    bars: Vec<Option<usize>>,
}

impl Cast {
    /// A player's styles, and which of them is played in each bar.
    fn of<'a, S>(
        timeline: &Timeline,
        players: &'a Players,
        part: Part,
        first: Option<&'a S>,
        of_change: impl Fn(&'a PlayersChange) -> Option<&'a S>,
    ) -> (Vec<&'a S>, Cast) {
        let mut styles: Vec<&S> = first.into_iter().collect();
        let mut bars = vec![first.map(|_| 0); timeline.bars.len()];
        for change in &players.changes {
            let chosen = match of_change(change) {
                Some(style) => {
                    styles.push(style);
                    Some(styles.len() - 1)
                }
                None if change.rest.contains(&part) => None,
                None => continue,
            };
            for (bar, belongs) in bars.iter_mut().zip(of_scope(timeline, &change.scope)) {
                if belongs {
                    *bar = chosen;
                }
            }
        }
        if part != Part::Drums {
            for (bar, of_timeline) in bars.iter_mut().zip(&timeline.bars) {
                if of_timeline.drums_alone {
                    *bar = None;
                }
            }
        }
        (styles, Cast { bars })
    }

    /// What is played somewhere.
    fn heard<'c, S: Copy>(&'c self, choices: &'c [S]) -> impl Iterator<Item = (usize, S)> + 'c {
        let heard: BTreeSet<usize> = self.bars.iter().flatten().copied().collect();
        heard.into_iter().filter_map(|choice| Some((choice, *choices.get(choice)?)))
    }

    fn plays(&self, choice: usize, bar: usize) -> bool {
        self.bars.get(bar) == Some(&Some(choice))
    }

    /// The notes of a choice in its own bars. One that rings into bars of others ends with its own;
    /// one that is struck early, for a bar of its own in another's, is struck with that bar.
    fn own(
        &self,
        timeline: &Timeline,
        choice: usize,
        part: PartNotes,
        even: &mut BTreeSet<usize>,
    ) -> PartNotes {
        if self.bars.iter().all(|bar| *bar == Some(choice)) {
            return part;
        }
        if part.straight {
            even.extend((0..self.bars.len()).filter(|bar| self.plays(choice, *bar)));
        }
        let own = |note: Note| {
            let end = note.at + note.length;
            let (first, last) = (timeline.bar_index(note.at), timeline.bar_index(end - Ticks(1)));
            let from = (first..=last).find(|bar| self.plays(choice, *bar))?;
            let to = (from..=last).take_while(|bar| self.plays(choice, *bar)).last()?;
            let starts = if from == first { note.at } else { timeline.bars.get(from)?.start };
            let ends = if to == last { end } else { timeline.bars.get(to)?.end() };
            // What is nearly over when its bar begins was meant for the bar before.
            let is_meant = from == first || (ends - starts).0 * 2 >= note.length.0;
            is_meant.then(|| Note { at: starts, length: ends - starts, ..note })
        };
        let notes = part.notes.into_iter().filter_map(own).collect();
        PartNotes { notes, straight: false, ..part }
    }

    /// The voicings of a choice in its own bars.
    fn own_voicings(&self, timeline: &Timeline, choice: usize, mut chosen: Voicings) -> Voicings {
        for (bar, slots) in chosen.bars.iter_mut().enumerate() {
            if !self.plays(choice, bar) {
                slots.fill(None);
            }
        }
        chosen.warnings.retain(|warning| {
            let of_form = timeline.bars.iter().enumerate();
            of_form
                .filter(|(_, bar)| bar.form_bar == warning.form_bar())
                .any(|(bar, _)| self.plays(choice, bar))
        });
        chosen
    }
}

fn of_scope(timeline: &Timeline, scope: &Scope) -> Vec<bool> {
    match scope {
        Scope::In(passage) => timeline.belongs_to(passage),
        Scope::From(passage) => {
            let belongs = timeline.belongs_to(passage);
            let first = belongs.iter().position(|belongs| *belongs).unwrap_or(belongs.len());
            (0..belongs.len()).map(|bar| bar >= first).collect()
        }
    }
}
