//! The words of a bar become chords with their beats.

use super::Slot;
use super::bars::WrittenBar;
use super::error::{Found, Problem};
use super::token::{Token, TokenKind};
use crate::theory::{ChordSymbol, Key, parse_chord};
use crate::units::{Meter, Ticks};

/// What sounds in a bar. `before` is the bar to go on from, where there is one.
pub(super) fn slots(
    bar: &WrittenBar<'_>,
    key: Key,
    meter: Meter,
    before: Option<&[Slot]>,
) -> Result<Vec<Slot>, Vec<Found>> {
    if bar.words.iter().any(|word| word.kind == TokenKind::Simile) {
        return simile(bar, before).map_err(|found| vec![found]);
    }
    let length = length_of_word(bar, meter);
    if bar.words.len() > usize::from(meter.counts())
        && let Err(found) = length
    {
        // What is in it may be right or wrong: it is no bar.
        return Err(vec![found]);
    }
    let mut errors: Vec<Found> = length.clone().err().into_iter().collect();
    let length = length.unwrap_or(Ticks::ZERO);

    let mut slots: Vec<Slot> = Vec::new();
    let mut at = Ticks::ZERO;
    for word in &bar.words {
        match chord_of(word, key) {
            Ok(Some(chord)) => slots.push(Slot { at, length, chord }),
            Ok(None) => match (slots.last_mut(), before.and_then(<[Slot]>::last)) {
                (Some(sounding), _) => sounding.length += length,
                (None, Some(sounding)) => {
                    slots.push(Slot { at, length, chord: sounding.chord.clone() });
                }
                (None, None) => {
                    errors.push(Found::at(word.span.clone(), Problem::NothingBefore));
                }
            },
            Err(found) => errors.push(found),
        }
        at += length;
    }
    if errors.is_empty() { Ok(slots) } else { Err(errors) }
}

/// The chord of a word, `Some(None)` for silence; `None` where what sounds goes on.
fn chord_of(word: &Token<'_>, key: Key) -> Result<Option<Option<ChordSymbol>>, Found> {
    let TokenKind::Chord(text) = word.kind else {
        return Ok((word.kind == TokenKind::NoChord).then_some(None));
    };
    parse_chord(text, key).map(|chord| Some(Some(chord))).map_err(|error| {
        let span = word.span.start + error.span.start..word.span.start + error.span.end;
        Found::at(span, Problem::Chord(error))
    })
}

fn simile(bar: &WrittenBar<'_>, before: Option<&[Slot]>) -> Result<Vec<Slot>, Found> {
    let problem = match before {
        _ if bar.words.len() > 1 => Problem::SimileNotAlone,
        None => Problem::NothingBefore,
        Some(slots) => return Ok(slots.to_vec()),
    };
    Err(Found::at(bar.span.clone(), problem))
}

/// How long each word of a bar lasts.
///
/// With slash notation every word is a beat, or a count ([`Meter::count`]) where there are as
/// many words as counts: six eighths in 6/8, four quarters in 2/2. Without it the chords share
/// the beats evenly, or again have a count each.
fn length_of_word(bar: &WrittenBar<'_>, meter: Meter) -> Result<Ticks, Found> {
    let words = bar.words.len();
    let beats = usize::from(meter.beats());
    if words == usize::from(meter.counts()) {
        return Ok(meter.count());
    }
    let slashed = bar.words.iter().any(|word| word.kind == TokenKind::Slash);
    let fits = if slashed { words == beats } else { words <= beats && beats.is_multiple_of(words) };
    if fits && let Ok(parts) = i64::try_from(words) {
        return Ok(Ticks(meter.bar().0 / parts));
    }
    let problem = if slashed {
        Problem::Beats { tokens: words, beats: meter.beats(), meter }
    } else {
        let example = in_slash_notation(bar, meter);
        Problem::Uneven { chords: words, beats: meter.beats(), meter, example }
    };
    Err(Found::at(bar.span.clone(), problem))
}

/// The bar with slashes, the first chords having one beat more where they do not share evenly;
/// nothing where there are more chords than counts.
fn in_slash_notation(bar: &WrittenBar<'_>, meter: Meter) -> Option<String> {
    let chords = bar.words.len();
    let fitting = [meter.beats(), meter.counts()].map(usize::from);
    let beats = fitting.into_iter().find(|beats| *beats >= chords)?;
    let longer = beats % chords;
    let mut tokens = Vec::new();
    for (index, word) in bar.words.iter().enumerate() {
        tokens.push(match word.kind {
            TokenKind::Chord(text) => text,
            _ => "N.C.",
        });
        let more = beats / chords - 1 + usize::from(index < longer);
        tokens.extend(std::iter::repeat_n("/", more));
    }
    Some(tokens.join(" "))
}
