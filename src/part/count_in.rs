//! The count-in.

use super::click::{ClickSound, beats, part_notes, stroke};
use super::{Part, PartNotes};
use crate::arrange::{BarKind, Timeline, TimelineBar};
use crate::units::Meter;

/// The strokes that count a band in: `1 . 2 . | 1 2 3 4`. The last bar has every count, those
/// before it have half of them; each bar's first stroke is the higher one.
#[must_use]
pub fn count_in(timeline: &Timeline, sound: ClickSound) -> PartNotes {
    let counted: Vec<&TimelineBar> =
        timeline.bars.iter().filter(|bar| bar.kind == BarKind::CountIn).collect();
    let mut notes = Vec::new();
    for (index, bar) in counted.iter().enumerate() {
        let is_last = index + 1 == counted.len();
        let counts = if is_last { every_count(bar) } else { half_counts(bar.meter) };
        notes.extend(counts.into_iter().map(|count| stroke(bar, count, count == 1, sound)));
    }
    part_notes(Part::CountIn, notes)
}

/// Above this many beats a minute, the eighths of 6/8 are too fast to count: 240 strokes a
/// minute, as the quarters of the fastest tunes that are counted in quarters (common practice).
const FASTEST_DOTTED_QUARTERS: f64 = 80.0;

/// The strokes of the bar before the music: all counts; in a fast 6/8 its two beats.
fn every_count(bar: &TimelineBar) -> Vec<u8> {
    if bar.meter == Meter::SixEight && bar.tempo.get() > FASTEST_DOTTED_QUARTERS {
        beats(bar.meter)
    } else {
        (1..=bar.meter.counts()).collect()
    }
}

/// The strokes of the bars before that one: halves in 4/4 and 2/2; in 3/4 and 2/4 the bar's first beat;
/// 5/4 as three and two; the two beats of 6/8.
fn half_counts(meter: Meter) -> Vec<u8> {
    match meter {
        Meter::FourFour | Meter::TwoTwo => vec![1, 3],
        Meter::ThreeFour | Meter::TwoFour => vec![1],
        Meter::FiveFour | Meter::SixEight => vec![1, 4],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::{Arrangement, CountIn, arrange};
    use crate::chart::{ChartSource, FeelName, FormSource};
    use crate::units::Bpm;

    /// The strokes as counts of each bar, `>` before the higher ones.
    fn counted(meter: Meter, tempo: f64, bars: CountIn) -> String {
        let chart = ChartSource {
            name: "test",
            key: "C".parse().unwrap(),
            meter,
            feel: FeelName::Swing,
            form: FormSource::default(),
            sections: &[("A", "C6")],
        };
        let once = Arrangement::once(Bpm::new(tempo).unwrap());
        let arrangement = Arrangement { count_in: bars, ..once };
        let timeline = arrange(&chart.parse().unwrap(), &arrangement).unwrap();
        let notes = count_in(&timeline, ClickSound::Wood).notes;
        let bar = |bar: &TimelineBar| {
            let inside = notes.iter().filter(|note| note.at >= bar.start && note.at < bar.end());
            let strokes = inside.map(|note| {
                let count = (note.at - bar.start).0 / meter.count().0 + 1;
                let accent = if note.pitch == 76 { ">" } else { "" };
                format!("{accent}{count}")
            });
            strokes.collect::<Vec<_>>().join(" ")
        };
        let before = timeline.bars.iter().filter(|bar| !bar.kind.is_played());
        before.map(bar).collect::<Vec<_>>().join(" | ")
    }

    /// `tests/facts/practice.tsv`, count-in: `1 . 2 . | 1 2 3 4` for medium and fast swing, one
    /// bar for ballads, `1 . . | 1 2 3` in waltz time.
    #[test]
    fn bands_are_counted_in_as_the_trade_does() {
        for (meter, tempo, strokes) in [
            (Meter::FourFour, 160.0, ">1 3 | >1 2 3 4"),
            (Meter::FourFour, 60.0, ">1 2 3 4"),
            (Meter::ThreeFour, 150.0, ">1 | >1 2 3"),
            (Meter::FiveFour, 160.0, ">1 4 | >1 2 3 4 5"),
            (Meter::FiveFour, 80.0, ">1 2 3 4 5"),
            (Meter::SixEight, 60.0, ">1 4 | >1 2 3 4 5 6"),
            (Meter::SixEight, 110.0, ">1 4 | >1 4"),
            (Meter::TwoTwo, 100.0, ">1 3 | >1 2 3 4"),
        ] {
            assert_eq!(counted(meter, tempo, CountIn::ByTempo), strokes, "{meter} at {tempo}");
        }
        assert_eq!(counted(Meter::FourFour, 60.0, CountIn::Bars(3)), ">1 3 | >1 3 | >1 2 3 4");
        assert_eq!(counted(Meter::FourFour, 60.0, CountIn::None), "");
    }
}
