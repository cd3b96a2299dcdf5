//! The rhythm: when the bass plays, and what each note has to do.

use super::spans::{ChordSpan, chord_at};
use super::tones::ChordTones;
use super::{changes, contour};
use crate::arrange::{BarKind, Ending, TimelineBar};
use crate::chart::BandHit;
use crate::part::{Choice, PlayContext};
use crate::random::Stream;
use crate::style::{BassHit, BassRole, BassStyle};
use crate::units::{Meter, Ticks, Velocity};

/// One note to find a pitch for.
#[derive(Debug, Clone)]
pub(super) struct Step {
    pub(super) at: Ticks,
    /// When the next note begins, or the music stops.
    pub(super) until: Ticks,
    /// The style's own length, where it gives one.
    pub(super) length: Option<Ticks>,
    pub(super) velocity: Velocity,
    pub(super) role: BassRole,
    pub(super) tones: ChordTones,
    /// A chord tone is wanted whatever else the note has to do.
    pub(super) on_chord: bool,
    /// Which bar of the timeline it belongs to.
    pub(super) bar: usize,
    /// The first note of a new chord.
    pub(super) begins_chord: bool,
    /// A beat on which chord tones belong.
    pub(super) is_strong: bool,
    /// Where the line is at home just here, as a MIDI note number.
    pub(super) home: u8,
}

/// Where a ghost note comes.
#[derive(Debug, Clone, Copy)]
pub(super) struct GhostPlace {
    pub(super) at: Ticks,
    pub(super) velocity: Velocity,
}

/// The rhythm of a whole timeline.
#[derive(Debug, Default)]
pub(super) struct Rhythm {
    /// In order of time.
    pub(super) steps: Vec<Step>,
    /// In order of time.
    pub(super) ghosts: Vec<GhostPlace>,
}

/// Draws a rhythm for every bar and says what each of its notes has to do.
pub(super) fn rhythm(context: PlayContext<'_>, spans: &[ChordSpan], style: &BassStyle) -> Rhythm {
    let timeline = context.timeline;
    let mut rhythm = Rhythm::default();
    let homes = contour::homes(context, style.register);
    for (index, bar) in timeline.bars.iter().enumerate() {
        let hits = match bar.kind {
            BarKind::LeadIn | BarKind::CountIn => continue,
            _ if bar.hits.is_some() => {
                for hit in bar.hits.iter().flat_map(|hits| &hits.hits) {
                    rhythm.hit(*hit, (index, bar), spans, style.velocity, homes[index]);
                }
                continue;
            }
            BarKind::Ending => ending(bar, timeline.ending, style),
            BarKind::Intro
            | BarKind::Chorus
            | BarKind::Interlude
            | BarKind::Answer
            | BarKind::Announce
            | BarKind::Outro => {
                let mut random = Choice::BassRhythm.stream(context.seed, bar);
                let hits = drawn(bar, style, &mut random);
                with_every_change(hits, bar, spans, style.velocity)
            }
        };
        for hit in hits {
            rhythm.add(hit, (index, bar), spans, homes[index]);
        }
    }
    close_gaps(&mut rhythm.steps, spans);
    changes::leave_roots(&mut rhythm.steps, context, spans, style.roots);
    lead_into_changes(&mut rhythm.steps, timeline.loops);
    rhythm
}

impl Rhythm {
    /// A stroke of the whole band: the root, of the coming chord where that is taken early.
    fn hit(
        &mut self,
        hit: BandHit,
        (index, bar): (usize, &TimelineBar),
        spans: &[ChordSpan],
        velocity: Velocity,
        home: u8,
    ) {
        let at = bar.start + hit.at;
        let Some(now) = chord_at(spans, at) else { return };
        let coming = chord_at(spans, now.end).filter(|_| now.end - at <= bar.meter.count());
        let span = coming.filter(|_| hit.early).unwrap_or(now);
        self.steps.push(Step {
            at,
            until: span.end,
            length: (!hit.held).then_some(Ticks::EIGHTH),
            velocity,
            role: BassRole::Root,
            tones: span.tones,
            on_chord: true,
            bar: index,
            begins_chord: true,
            is_strong: true,
            home,
        });
    }

    fn add(
        &mut self,
        hit: BassHit,
        (index, bar): (usize, &TimelineBar),
        spans: &[ChordSpan],
        home: u8,
    ) {
        let at = bar.start + hit.at;
        let Some(span) = chord_at(spans, at) else { return };
        if hit.role == BassRole::Ghost {
            self.ghosts.push(GhostPlace { at, velocity: hit.velocity });
            return;
        }
        let begins = span.is_new && span.start == at;
        self.steps.push(Step {
            at,
            until: span.end,
            length: hit.length,
            velocity: hit.velocity,
            role: if begins { BassRole::Root } else { hit.role },
            tones: span.tones,
            on_chord: hit.role == BassRole::Chord,
            bar: index,
            begins_chord: begins,
            is_strong: is_strong(hit.at, bar.meter),
            home,
        });
    }
}

/// A rhythm of the style, with the hits that happen this time.
fn drawn(bar: &TimelineBar, style: &BassStyle, random: &mut Stream) -> Vec<BassHit> {
    let rhythms = style.rhythms_in(bar.meter);
    let weights: Vec<f64> = rhythms.iter().map(|rhythm| rhythm.weight).collect();
    let chosen = random.weighted(&weights).and_then(|index| rhythms.into_iter().nth(index));
    let mut hits = chosen.map(|rhythm| rhythm.hits).unwrap_or_default();
    hits.retain(|hit| random.chance(hit.probability));
    hits
}

/// Adds the root of every chord that begins where the rhythm has no note.
fn with_every_change(
    mut hits: Vec<BassHit>,
    bar: &TimelineBar,
    spans: &[ChordSpan],
    velocity: Velocity,
) -> Vec<BassHit> {
    let end = bar.start + bar.meter.bar();
    let inside = spans.iter().filter(|span| (bar.start..end).contains(&span.start) && span.is_new);
    for span in inside {
        let at = span.start - bar.start;
        hits.retain(|hit| hit.at != at || hit.role != BassRole::Ghost);
        if hits.iter().all(|hit| hit.at != at) {
            hits.push(BassHit {
                at,
                role: BassRole::Root,
                length: None,
                velocity,
                probability: 1.0,
            });
        }
    }
    hits.sort_by_key(|hit| hit.at);
    hits
}

/// The roots of the last bar: held as long as their chords, or the first one struck short.
fn ending(bar: &TimelineBar, ending: Ending, style: &BassStyle) -> Vec<BassHit> {
    let sounding = bar.slots.iter().filter(|slot| slot.harmony.is_some());
    let hits = sounding.map(|slot| BassHit {
        at: slot.at - bar.start,
        role: BassRole::Root,
        length: Some(if ending == Ending::Short { Ticks::EIGHTH } else { slot.length }),
        velocity: style.velocity,
        probability: 1.0,
    });
    let count = if ending == Ending::Short { 1 } else { usize::MAX };
    hits.take(count).collect()
}

/// The beats on which a chord is expected to begin: halves of the bar, threes and twos in 5/4.
fn is_strong(at: Ticks, meter: Meter) -> bool {
    let quarters: &[i64] = match meter {
        Meter::FourFour | Meter::TwoTwo => &[0, 2],
        Meter::ThreeFour | Meter::SixEight | Meter::TwoFour => &[0],
        Meter::FiveFour => &[0, 3],
    };
    quarters.iter().any(|quarter| Ticks::QUARTER * *quarter == at)
}

/// Lets every note go on until the next one, if no silence comes first.
fn close_gaps(steps: &mut [Step], spans: &[ChordSpan]) {
    let starts: Vec<Ticks> = steps.iter().map(|step| step.at).collect();
    for (index, step) in steps.iter_mut().enumerate() {
        let next = starts.get(index + 1).copied().unwrap_or(Ticks(i64::MAX));
        let following = spans.partition_point(|span| span.start < step.until);
        for span in spans.iter().skip(following) {
            if span.start != step.until || step.until >= next {
                break;
            }
            step.until = span.end;
        }
        step.until = step.until.min(next);
    }
}

/// A note of free choice becomes an approach where the next one begins a new chord; an approach that
/// leads nowhere, or to another one, becomes a note that walks.
fn lead_into_changes(steps: &mut [Step], loops: bool) {
    let first = steps.first().filter(|_| loops).map(|step| (step.role, step.begins_chord));
    for index in 0..steps.len() {
        let next = match steps.get(index + 1) {
            Some(next) if next.at == steps[index].until => Some((next.role, next.begins_chord)),
            Some(_) => None,
            None => first,
        };
        let step = &mut steps[index];
        step.role = match (step.role, next) {
            (BassRole::Walk | BassRole::Chord, Some((_, true))) => BassRole::Approach,
            (BassRole::Approach, None | Some((BassRole::Approach, false))) => BassRole::Walk,
            (role, _) => role,
        };
    }
}
