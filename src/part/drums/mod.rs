//! The drummer: for each bar a rhythm of the style, a fill where the form turns, and an ending.

mod choice;
mod hits;
mod ring;
mod variants;

#[cfg(test)]
mod tests;

use crate::arrange::{BarKind, Ending, TimelineBar};
use crate::part::{Choice, Note, PartNotes, PlayContext, Stroke};
use crate::performance::{Instrument, Part};
use crate::style::{DrumHit, DrumStyle, Intensity};
use crate::units::{Ticks, Velocity};
use choice::BarChoice;
use hits::with_hits;
use variants::Alternation;

/// The drummer's notes over a timeline.
///
/// The drummer rests while others count in and where the chart says N.C. The same style, seed,
/// chorus and bar give the same strokes, whatever the tempo and whatever comes before.
#[must_use]
pub fn play(context: PlayContext<'_>, style: &DrumStyle, intensity: Intensity) -> PartNotes {
    let PlayContext { timeline, plan, seed } = context;
    let program = style.kit.program();
    let choice = BarChoice::new(context, style, intensity);
    let mut alternation = Alternation::new(program);
    let mut notes: Vec<Note> = Vec::new();
    for (index, bar) in timeline.bars.iter().enumerate() {
        if matches!(bar.kind, BarKind::CountIn | BarKind::LeadIn) {
            continue;
        }
        let mut random = Choice::DrumRhythm.stream(seed, bar);
        let mut variants = Choice::DrumVariants.stream(seed, bar);
        let Some(rhythm) = choice.strokes(index, bar, &mut random) else { continue };
        let energy = plan.bar(index).energy;
        let strokes = match &bar.hits {
            Some(hits) => with_hits(rhythm, bar, hits, style),
            None => rhythm,
        };
        let mut played: Vec<DrumHit> = Vec::new();
        for hit in strokes {
            // Drawn for every hit, so that intensity does not change what chance decides.
            let happens = random.chance(energy.probability(hit.probability));
            let asked_for = (hit.from..=hit.up_to).contains(&intensity);
            if happens && asked_for && sounds(bar, &hit, timeline.ending) {
                played.push(hit);
            }
        }
        let percent = i32::from(style.levels.percent(intensity)) * energy.velocity_percent() / 100;
        for hit in one_stroke_each(played) {
            let variant = alternation.next(hit.percussion.key(), &mut variants);
            notes.push(note(bar, &hit, percent, variant));
        }
    }
    notes.sort_by_key(|note| (note.at, note.pitch));
    if timeline.loops {
        variants::close_loop(&mut notes, program);
    }
    PartNotes {
        part: Part::Drums,
        instrument: Instrument { bank: 128, program },
        straight: style.straight,
        notes,
    }
}

/// Neither N.C. nor, in a short ending, after its first beat.
fn sounds(bar: &TimelineBar, hit: &DrumHit, ending: Ending) -> bool {
    if bar.kind == BarKind::Ending && ending == Ending::Short && hit.at > Ticks::ZERO {
        return false;
    }
    let at = bar.start + hit.at;
    let slot = bar.slots.iter().rfind(|slot| slot.at <= at);
    slot.is_none_or(|slot| slot.harmony.is_some())
}

/// In order of time; of two strokes of one thing at once the louder.
fn one_stroke_each(mut hits: Vec<DrumHit>) -> Vec<DrumHit> {
    hits.sort_by_key(|hit| (hit.at, hit.percussion.key(), std::cmp::Reverse(hit.velocity)));
    hits.dedup_by_key(|hit| (hit.at, hit.percussion.key()));
    hits
}

fn note(bar: &TimelineBar, hit: &DrumHit, percent: i32, variant: u8) -> Note {
    let velocity = i32::from(hit.velocity) * percent / 100;
    Note {
        at: bar.start + hit.at,
        length: hit.length.unwrap_or_else(|| ring::length(hit.percussion, bar.meter)),
        pitch: hit.percussion.key(),
        velocity: Velocity::clamped(velocity),
        stroke: Stroke::Full,
        hand: None,
        degree: None,
        variant,
    }
}
