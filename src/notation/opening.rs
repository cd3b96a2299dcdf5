//! What stands over the first bar: how it is played, and how fast.

use super::Heading;
use crate::arrange::{Timeline, TimelineBar};
use crate::chart::{FeelName, Pace};
use crate::codec::musicxml::score::{Direction, Mark, NoteValue, SoundMark, Swing};
use crate::units::{Bpm, Meter, Ticks};

/// Feel and tempo, in words and for players.
pub(super) fn opening(timeline: &Timeline, straight: bool, heading: &Heading) -> Direction {
    let first = timeline.bars.iter().find(|bar| bar.kind.is_played());
    let feel = match first.map_or(timeline.feel, |bar| bar.feel) {
        FeelName::Swing if straight => FeelName::Straight,
        feel => feel,
    };
    let meter = timeline.meter;
    let tempos = tempos(timeline, heading);
    let mut marks = vec![Mark::Words(words(feel))];
    if let (Some(slowest), Some(fastest)) = (tempos.first(), tempos.last()) {
        let (beat, dotted) = match meter {
            Meter::SixEight => (NoteValue::Quarter, true),
            Meter::TwoTwo => (NoteValue::Half, false),
            Meter::FourFour | Meter::ThreeFour | Meter::FiveFour | Meter::TwoFour => {
                (NoteValue::Quarter, false)
            }
        };
        let per_minute = if slowest == fastest {
            slowest.to_string()
        } else {
            format!("{slowest}\u{2013}{fastest}")
        };
        marks.push(Mark::Metronome { beat, dotted, per_minute });
    }
    let quarters = |tempo: &Bpm| tempo.get() * meter.beat().quarters();
    Direction {
        marks,
        sound: Some(SoundMark { tempo: tempos.first().map(quarters), swing: swing(feel) }),
    }
}

/// What is said where a section begins that is played otherwise than the bar before. Of the first bar
/// of all the opening says the feel.
pub(super) fn changes(before: Option<&TimelineBar>, bar: &TimelineBar) -> Vec<Direction> {
    let mut directions = Vec::new();
    if before.is_some_and(|before| before.feel != bar.feel) {
        directions.push(Direction {
            marks: vec![Mark::Words(words(bar.feel))],
            sound: Some(SoundMark { tempo: None, swing: swing(bar.feel) }),
        });
    }
    let before = before.map_or(bar.pace.start(), |before| before.pace);
    let (was, begins, ends) = (before.at(1.0), bar.pace.at(0.0), bar.pace.at(1.0));
    let is_going_on = before.is_even() == bar.pace.is_even();
    let says = match ends - begins {
        change if change < 0.0 && !is_going_on => Some("ritardando".to_owned()),
        change if change > 0.0 && !is_going_on => Some("accelerando".to_owned()),
        _ if !bar.pace.is_even() || (was - begins).abs() < 1e-9 => None,
        _ if bar.pace == Pace::STEADY => Some("a tempo".to_owned()),
        _ if begins < was => Some(format!("slower ({})", bar.pace)),
        _ => Some(format!("faster ({})", bar.pace)),
    };
    let said = says.map(|says| Direction { marks: vec![Mark::Words(says)], sound: None });
    directions.extend(said);
    directions
}

/// From the slowest up: those of the heading, or those of a timeline that has its own.
fn tempos(timeline: &Timeline, heading: &Heading) -> Vec<Bpm> {
    let of_bars = || timeline.bars.iter().map(|bar| bar.tempo);
    let changes = of_bars().zip(of_bars().skip(1)).any(|(one, next)| one != next);
    let mut tempos: Vec<Bpm> = if changes { of_bars().collect() } else { heading.tempos.clone() };
    tempos.sort_by(|one, other| one.get().total_cmp(&other.get()));
    tempos
}

fn words(feel: FeelName) -> String {
    match feel {
        FeelName::Swing => "Swing".to_owned(),
        FeelName::Straight => "Straight eighths".to_owned(),
        FeelName::Ratio(ratio) => format!("Swing {ratio} : 1"),
    }
}

/// For players: a ratio in whole numbers. Swing that follows the tempo is two to one on paper.
fn swing(feel: FeelName) -> Option<Swing> {
    match feel {
        FeelName::Swing => Some(Swing::Ratio(2, 1)),
        FeelName::Straight => Some(Swing::Straight),
        FeelName::Ratio(ratio) => {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a ratio is 1.0 to 4.0"
            )]
            let hundredths = (ratio * 100.0).round() as u32;
            let divisor = greatest_common_divisor(hundredths, 100);
            Some(Swing::Ratio(hundredths / divisor, 100 / divisor))
        }
    }
}

fn greatest_common_divisor(one: u32, other: u32) -> u32 {
    if other == 0 { one.max(1) } else { greatest_common_divisor(other, one % other) }
}

/// Half a bar's worth of slashes is drawn by beats.
pub(super) const fn slash_value(meter: Meter) -> (NoteValue, u8, Ticks) {
    match meter {
        Meter::SixEight => (NoteValue::Quarter, 1, Ticks(1440)),
        _ => (NoteValue::Quarter, 0, Ticks::QUARTER),
    }
}
