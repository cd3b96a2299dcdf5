//! Choruses, tempos, practice shapes and endings.

use std::num::NonZeroU32;

use countoff::arrange::{Arrangement, BarKind, CountIn, Ending, Shape, Timeline, arrange};
use countoff::chart::Chart;
use countoff::part::comp::CompSettings;
use countoff::units::{Bpm, Meter, Ticks};

use super::Played;
use super::charts::{chart, progressions, random};
use super::every_style::names;

fn arranged(chart: &Chart, tempo: f64, shape: Shape) -> Timeline {
    let once = Arrangement::once(Bpm::new(tempo).unwrap());
    arrange(chart, &Arrangement { shape, count_in: CountIn::Bars(1), ..once }).unwrap()
}

#[test]
fn choruses_have_the_same_voicings() {
    for name in names() {
        for chart in random(Meter::FourFour, 10) {
            let played = Played::new(&name, &chart);
            let choruses: Vec<Vec<_>> = (0..3)
                .map(|chorus| {
                    let bars = played.timeline.bars.iter().zip(&played.voicings.bars);
                    bars.filter(|(bar, _)| bar.kind == BarKind::Chorus && bar.chorus == chorus)
                        .map(|(_, voicings)| voicings)
                        .collect()
                })
                .collect();
            assert_eq!(choruses[0], choruses[1], "{name}");
            assert_eq!(choruses[1], choruses[2], "{name}");
        }
    }
}

#[test]
fn slow_and_fast_have_the_same_notes() {
    for name in names() {
        let chart = &progressions()[5];
        let at = |tempo| {
            let timeline = arranged(chart, tempo, Shape::Straight);
            Played::over(timeline, &name, &CompSettings::default()).notes
        };
        assert_eq!(at(60.0), at(240.0), "{name}");
    }
}

#[test]
fn the_answer_has_the_hands_of_the_phrase_and_both_those_of_the_straight_form() {
    for name in names() {
        let chart = &progressions()[14];
        let settings = CompSettings::default();
        let shape = Shape::Answer { phrase_bars: NonZeroU32::new(2).unwrap() };
        let straight = Played::over(arranged(chart, 120.0, Shape::Straight), &name, &settings);
        let answered = Played::over(arranged(chart, 120.0, shape), &name, &settings);
        let by_form_bar = |played: &Played, form_bar: u32, wanted: BarKind| {
            let bars = played.timeline.bars.iter().zip(&played.voicings.bars);
            let mut of_form =
                bars.filter(|(bar, _)| bar.form_bar == form_bar && bar.kind == wanted);
            of_form.next().map(|(_, voicings)| voicings.clone()).unwrap()
        };
        for form_bar in (0..).take(chart.bars.len()) {
            let phrase = by_form_bar(&answered, form_bar, BarKind::Chorus);
            assert_eq!(phrase, by_form_bar(&answered, form_bar, BarKind::Answer), "{name}");
            assert_eq!(phrase, by_form_bar(&straight, form_bar, BarKind::Chorus), "{name}");
        }
    }
}

#[test]
fn in_a_loop_the_last_push_has_the_first_chord() {
    let chart = chart("C", Meter::FourFour, "| Dm7 | G7 |");
    let timeline = arranged(&chart, 120.0, Shape::Loop);
    let played = Played::over(timeline, "pushes", &CompSettings::default());
    let last = played.attacks(played.timeline.end - Ticks(480), played.timeline.end);
    assert_eq!(last[0].pitches(), played.voicings.get(0, 0).unwrap().pitches());
}

#[test]
fn a_held_ending_rings_for_its_bar_and_a_short_one_does_not() {
    for name in names() {
        for chart in progressions().iter().step_by(7) {
            let settings = CompSettings::default();
            let held = Played::with(&name, chart, &settings, Ending::Held);
            let last = held.timeline.bars.last().unwrap();
            let ends: Vec<Ticks> = held.notes.iter().map(|note| note.at + note.length).collect();
            assert!(ends.iter().all(|end| *end <= last.end()), "{name}");
            let struck = held.notes.iter().filter(|note| note.at >= last.start);
            assert!(struck.clone().any(|note| note.at == last.start), "{name}");
            let short = Played::with(&name, chart, &settings, Ending::Short);
            let last = short.timeline.bars.last().unwrap();
            let mut struck = short.notes.iter().filter(|note| note.at >= last.start).peekable();
            assert!(struck.peek().is_some(), "{name}");
            assert!(
                struck.all(|note| note.at == last.start && note.length <= Ticks(480)),
                "{name}"
            );
        }
    }
}
