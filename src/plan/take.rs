//! From a track, a key and a tempo to a performance: the stages that make notes, one after the
//! other.

use std::sync::Arc;

use crate::arrange::{ArrangeError, Arrangement, CountIn, Timeline, arrange};
use crate::chart::FeelName;
use crate::feel::{FeelSettings, perform};
use crate::lesson::{Lesson, Track};
use crate::part::click::click;
use crate::part::comp::{CompSettings, LineSounding, Voicings};
use crate::part::count_in::count_in;
use crate::part::line::Line;
use crate::part::{BandPlan, Note, PartNotes, PlayContext};
use crate::performance::{Part, Performance, PerformedPart};
use crate::problem::InternalError;
use crate::theory::Key;
use crate::units::{Bpm, Frames, SampleRate, Ticks};

use super::cast::{self, Band, HeardLine};
use super::colour::alter;
use super::{PlannedLine, Players};

/// What a take plays: who does what when.
#[derive(Debug, Clone)]
pub struct TakeNotes {
    /// What happens when.
    pub timeline: Timeline,
    /// What its players agreed on.
    pub band_plan: BandPlan,
    /// The chosen voicings, where the track has a comp.
    pub voicings: Option<Voicings>,
    /// What the hands play as it is written: line and comp on the grid, before feel.
    pub hands: Vec<PartNotes>,
    /// Whether a style in even eighths makes the whole band play them.
    pub straight: bool,
    /// What is heard.
    pub performance: Performance,
    /// The lines that are played, the first first.
    pub lines: Vec<HeardLine>,
    /// The line for the left hand, where there is one.
    pub left_hand: Option<Arc<PlannedLine>>,
    /// What the teacher should know of its lines.
    pub warnings: Vec<String>,
}

/// Why the notes of a take cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TakeError {
    /// The practice shape cannot be arranged.
    #[error(transparent)]
    Arrange(#[from] ArrangeError),
    /// A fault of the program.
    #[error(transparent)]
    Internal(#[from] InternalError),
}

/// Notes of the first bar may be early by no more than this without being a pickup: twice the
/// largest deviation, in frames a second.
const EARLY: u64 = 50;

/// Silence before the music of a file that leaves out the count-in, as a share of a second: as long
/// as the window of BS.1770, so that the file measures as loud as the whole take. Less than that
/// would weigh its first stroke once, where a stroke after silence is weighed four times.
pub const LEAD_IN: (u64, u64) = (2, 5);

impl TakeNotes {
    /// Where a file without the count-in begins, in frames from tick 0: [`LEAD_IN`] before the first
    /// bar, or before what sounds ahead of it.
    pub(super) fn music_begins(&self, rate: SampleRate) -> Frames {
        if self.timeline.loops {
            return Frames::ZERO;
        }
        let tempo = &self.timeline.tempo;
        let form = tempo.frame(self.timeline.form_start(), rate);
        let is_music = |part: &&PerformedPart| !matches!(part.part, Part::Click | Part::CountIn);
        let parts = self.performance.parts.iter().filter(is_music);
        let first = parts.flat_map(|part| &part.notes).map(|note| tempo.frame(note.on, rate)).min();
        let early = u64::from(rate.hz()) / EARLY;
        let music = first.filter(|first| first.0 + early < form.0).unwrap_or(form);
        Frames(music.0.saturating_sub(u64::from(rate.hz()) * LEAD_IN.0 / LEAD_IN.1))
    }
}

/// Makes the notes of one take.
///
/// A count-in is laid out where any of the track's mixes has one. Click and count-in are always part
/// of the performance, whether a mix has them or not: so that all mixes of a take are one performance.
///
/// # Errors
/// The practice shape cannot be arranged, or a player has no way to play, which is a fault of the
/// program.
pub fn take_notes(
    lesson: &Lesson,
    track: &Track,
    players: &Players,
    key: Key,
    tempo: Bpm,
) -> Result<TakeNotes, TakeError> {
    let changed = players.changes.iter().filter_map(|change| change.line.as_ref());
    let right = players.line.iter().chain(changed).map(|planned| &planned.line);
    let left = players.left_hand.as_ref().map(|planned| &planned.line);
    let pickup = right.chain(left).map(Line::pickup).max().unwrap_or(Ticks::ZERO);
    let arrangement = arrangement(lesson, track, pickup, tempo);
    let mut timeline = arrange(&lesson.chart(track.chart).transpose(key), &arrangement)?;
    let heard = cast::lines(&timeline, players);
    for line in &heard {
        if let Some(composed) = &line.planned.composed {
            alter(&mut timeline, &composed.altered(), &line.bars);
        }
    }
    let seed = lesson.seed.0;
    let mut parts: Vec<PartNotes> = heard.iter().map(|line| line.play(&timeline)).collect();
    let band_plan = BandPlan::of(&timeline, track.arc, &parts);
    let context = PlayContext::new(&timeline, &band_plan, seed);
    let sounding = |note: &Note| LineSounding {
        from: note.at,
        until: note.at + note.length,
        pitch: note.pitch,
    };
    let mut above: Vec<LineSounding> =
        parts.iter().flat_map(|line| line.notes.iter().map(sounding)).collect();
    above.sort_by_key(|note| note.from);
    let settings = CompSettings { reach: track.reach, start: track.start, line: above };

    parts = cast::joined(parts);
    parts.extend(left.map(|line| cast::without_rests(&timeline, players, line.play(&timeline))));
    let Band { parts: band, voicings, even } = cast::play(context, players, &settings)?;
    parts.extend(band);
    for (index, bar) in timeline.bars.iter_mut().enumerate() {
        if bar.feel == FeelName::Swing && even.contains(&index) {
            bar.feel = FeelName::Straight;
        }
    }
    parts.push(click(&timeline, &lesson.click));
    parts.push(count_in(&timeline, lesson.click.sound));

    let feel = FeelSettings { seed, deviations: true };
    let performance = perform(&timeline, &parts, feel);
    let straight = parts.iter().any(|part| part.straight && !part.notes.is_empty());
    parts.retain(|part| matches!(part.part, Part::Line | Part::Comp));
    let lines = heard.iter().map(|heard| &heard.planned.line).chain(left);
    let warnings = lines.flat_map(|line| line.warnings(&timeline)).collect();
    Ok(TakeNotes {
        timeline,
        band_plan,
        voicings,
        hands: parts,
        straight,
        performance,
        lines: heard,
        left_hand: players.left_hand.clone(),
        warnings,
    })
}

/// How a track's chart is to be played at a tempo.
fn arrangement(lesson: &Lesson, track: &Track, pickup: Ticks, tempo: Bpm) -> Arrangement {
    Arrangement {
        tempo,
        choruses: track.choruses,
        intro: track.intro,
        ending: track.ending,
        count_in: match lesson.count_in_bars {
            _ if !track.mixes.iter().any(|mix| mix.count_in) => CountIn::None,
            Some(bars) => CountIn::Bars(bars),
            None => CountIn::ByTempo,
        },
        pickup,
        shape: track.shape.clone(),
    }
}
