//! Composes lines that show a technique over any chords.
//!
//! [`pieces`] divides the form by technique and chooses the material of each piece, [`rhythm`] plans
//! phrases and fills them with notes, [`grid`] lays these out over the pieces, `show` says for each position which notes or groups of notes a technique
//! could put there, [`join`] which of them may follow each other, [`cost`] how well they do, and
//! [`search`] finds the line, in which phrases take up others ([`motif`]). Where a technique finds no line, the chord's outline is played instead,
//! and the line says so.

mod contour;
mod cost;
mod displace;
mod grid;
mod ground;
mod group;
mod join;
mod material;
mod motif;
mod pieces;
mod rhythm;
mod search;
mod show;
mod streams;

#[cfg(test)]
pub(crate) mod tests;

use std::ops::RangeInclusive;

use schemars::JsonSchema;
use serde::Deserialize;

use crate::melody::{Fallback, FallbackReason, Form, Piece, Role, Technique};
use crate::theory::Scale;
use crate::units::Ticks;

use pieces::Plan;
pub use rhythm::Rhythm;

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// The techniques, with their weights and bars.
    pub techniques: Vec<Share>,
    /// The seed of every random choice.
    pub seed: u64,
    /// The lowest and the highest note, as MIDI numbers.
    pub range: RangeInclusive<u8>,
    /// How hard its rhythm is.
    pub rhythm: Rhythm,
    /// What leads to a chord tone from above.
    pub upper: Upper,
    /// The most bars of a phrase, after which the line takes a breath; it never does where this is
    /// 0.
    pub breathe: u32,
    /// How many eighth notes the whole line is moved to the right.
    pub displace: u8,
}

/// What neighbours and enclosures take above a chord tone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Upper {
    /// The half step, whether the scale has it or not (common practice); enclosures also take the
    /// whole step where the scale has it.
    #[default]
    HalfStep,
    /// The step of the chord's scale: easier on a beginner's ear.
    Scale,
}

/// A technique and its share of the line.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// The technique.
    pub technique: Technique,
    /// How likely it is, against the others that share its bars; above 0.
    pub weight: f64,
    /// The bars that it is limited to, counted from 1; all where there are none.
    pub bars: Vec<RangeInclusive<u32>>,
}

impl Request {
    /// One technique throughout.
    #[must_use]
    pub fn of(technique: Technique, seed: u64) -> Request {
        let share = Share { technique, weight: 1.0, bars: Vec::new() };
        Request {
            techniques: vec![share],
            seed,
            range: Request::RANGE,
            rhythm: Rhythm::of(technique),
            upper: Upper::HalfStep,
            breathe: Request::BREATHE,
            displace: 0,
        }
    }

    /// The range that a line has where none is asked for: middle C and two octaves above it, near
    /// the median range of improvised solos (28 semitones, Weimar Jazz Database) and clear of a
    /// left hand around the C below.
    pub const RANGE: RangeInclusive<u8> = 60..=84;

    /// The narrowest range that every technique can be shown in: an octave and a half (a stack of
    /// four fourths).
    const NARROWEST: u8 = 18;

    /// How often a line takes a breath where nothing is asked for: with the four-bar phrase.
    pub const BREATHE: u32 = 4;
}

/// A composed line.
#[derive(Debug, Clone, PartialEq)]
pub struct Composed {
    /// Its notes, by start; one sounds at a time.
    pub notes: Vec<ComposedNote>,
    /// What it shows where.
    pub pieces: Vec<Piece>,
    /// Where it could not show what was asked.
    pub fallbacks: Vec<Fallback>,
    /// How much later than composed the notes are: roles are against the chords before that.
    pub displaced: Ticks,
}

/// A note of a composed line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ComposedNote {
    /// From the start of the form.
    pub at: Ticks,
    /// How long it is written.
    pub length: Ticks,
    /// MIDI note number.
    pub pitch: u8,
    /// What the composer meant it to be.
    pub role: Role,
}

impl Composed {
    /// Where the line uses the altered scale: the left hand has to play the same alterations there.
    #[must_use]
    pub fn altered(&self) -> Vec<std::ops::Range<Ticks>> {
        let is_altered = |piece: &&Piece| {
            piece.assignment.material.scale().is_some_and(|(_, scale)| scale == Scale::ALTERED)
        };
        let pieces = self.pieces.iter().filter(is_altered);
        pieces.map(|piece| piece.span.at..piece.span.end()).collect()
    }
}

/// Composes a line over one chorus of a form. It always finds one: where a technique finds none,
/// the chord's outline is played, and [`Composed::fallbacks`] says where. The range is widened to
/// an octave and a half where it is narrower.
#[must_use]
pub fn compose(form: &Form, request: &Request) -> Composed {
    let range = usable(&request.range);
    let mut plan = pieces::plan(form, request);
    let names: Vec<&str> = request.techniques.iter().map(|share| share.technique.name()).collect();
    let techniques = names.join(" ");
    loop {
        let grid = grid::grid(form, &plan.pieces, request);
        plan.fall_back_where_groups_do_not_fit(form, &grid);
        let ground = ground::ground(form, &plan);
        let found = search::search(&grid, &ground, &plan.pieces, request, &techniques, &range);
        let stuck = match found {
            Ok(notes) => {
                let Plan { pieces, fallbacks, .. } = plan;
                let composed = Composed { notes, pieces, fallbacks, displaced: Ticks::ZERO };
                return displace::displaced(composed, form, request.displace);
            }
            Err(position) => grid.get(position).map_or(0, |position| position.piece),
        };
        plan.fall_back_near(form, stuck, FallbackReason::NoWay);
    }
}

/// The range as it can be used: at least as wide as it takes, within MIDI's numbers.
fn usable(range: &RangeInclusive<u8>) -> RangeInclusive<u8> {
    let low = (*range.start()).min(127 - Request::NARROWEST);
    let high = (*range.end()).clamp(low + Request::NARROWEST, 127);
    low..=high
}
