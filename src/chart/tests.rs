//! Charts from text and back.

use proptest::prelude::*;

use super::*;

fn source<'text>(meter: Meter, sections: &'text [(&'text str, &'text str)]) -> ChartSource<'text> {
    ChartSource {
        name: "test",
        key: "Gm".parse().unwrap(),
        meter,
        feel: FeelName::Swing,
        form: FormSource::default(),
        sections,
    }
}

fn read(meter: Meter, text: &str) -> Result<Chart, Vec<ChartError>> {
    source(meter, &[("A", text)]).parse()
}

/// Bars as `chord:length` in counts of the meter.
fn shown(chart: &Chart) -> Vec<String> {
    let slot = |slot: &Slot| {
        let name = slot.chord.as_ref().map_or("N.C.".to_owned(), ToString::to_string);
        format!("{name}:{}", slot.length.0 / chart.meter.count().0)
    };
    let bar = |bar: &Bar| bar.slots.iter().map(slot).collect::<Vec<_>>().join(" ");
    chart.bars.iter().map(bar).collect()
}

#[test]
fn chords_share_the_beats_of_a_bar_or_say_which_are_theirs() {
    for (meter, text, bars) in [
        (
            Meter::FourFour,
            "Cm7 | Cm7 F7 | Cm7 F7 Bb6 D7",
            "Cm7:4 | Cm7:2 F7:2 | Cm7:1 F7:1 Bb6:1 D7:1",
        ),
        (Meter::FourFour, "Cm7 / / F7 | / / D7 / | / / / /", "Cm7:3 F7:1 | F7:2 D7:2 | D7:4"),
        (Meter::FourFour, "Cm7 | N.C. | % | F7 N.C.", "Cm7:4 | N.C.:4 | N.C.:4 | F7:2 N.C.:2"),
        (Meter::ThreeFour, "Gm6 | Cm7 F7 Bb6 | Cm7 / F7", "Gm6:3 | Cm7:1 F7:1 Bb6:1 | Cm7:2 F7:1"),
        (Meter::FiveFour, "Gm6 / / D7 /", "Gm6:3 D7:2"),
        (
            Meter::SixEight,
            "Gm6 | Gm6 D7 | Gm6 / | Gm6 / / / D7 /",
            "Gm6:6 | Gm6:3 D7:3 | Gm6:6 | Gm6:4 D7:2",
        ),
        (
            Meter::TwoTwo,
            "Gm6 | Gm6 D7 | Gm6 / / D7 | Cm7 F7 Bb6 D7",
            "Gm6:4 | Gm6:2 D7:2 | Gm6:3 D7:1 | Cm7:1 F7:1 Bb6:1 D7:1",
        ),
        (Meter::FourFour, "iiø7 V7b9 | i6", "Am7b5:2 D7b9:2 | Gm6:4"),
    ] {
        let chart = read(meter, text).unwrap();
        assert_eq!(shown(&chart).join(" | "), bars, "{meter}: {text}");
    }
}

#[test]
fn a_simile_sign_at_a_second_ending_goes_on_from_before_the_first() {
    let chart = read(Meter::FourFour, "|: Gm6 | Cm7 | 1. D7 :| 2. % | Gm6 |").unwrap();
    assert_eq!(shown(&chart), ["Gm6:4", "Cm7:4", "D7:4", "Gm6:4", "Cm7:4", "Cm7:4", "Gm6:4"]);
}

#[test]
fn sections_follow_the_form_and_are_named_where_they_begin() {
    let sections = [("A", "| Gm6 | % |"), ("B", "| Cm7 | D7 |")];
    let chart =
        ChartSource { form: FormSource::of("A A B A"), ..source(Meter::FourFour, &sections) };
    let chart = chart.parse().unwrap();
    let names: Vec<_> = chart.bars.iter().map(|bar| bar.section.as_deref()).collect();
    let (a, b) = (Some("A"), Some("B"));
    assert_eq!(names, [a, None, a, None, b, None, a, None]);
}

#[test]
fn every_error_has_its_place_and_all_are_told() {
    let sections = [("A", "| Gm6 | Hm7 C7 | F7 Bb6 C7 |"), ("B", "| % | Gm6 % | D7b9 / |  | C |")];
    let chart = ChartSource { form: FormSource::of("A C"), ..source(Meter::FourFour, &sections) };
    let errors = chart.parse().unwrap_err();
    let told: Vec<_> = errors.iter().map(|error| (error.to_string(), error.span.clone())).collect();
    let spans: Vec<_> = told.iter().map(|(_, span)| span.clone()).collect();
    assert_eq!(spans, [8..9, 17..26, 2..3, 6..11, 14..20, 21..25, 2..3], "{told:#?}");
    let starts = [
        "section A, bar 2: ",
        "section A, bar 3: 3 chords do not share the 4 beats of a bar of 4/4 evenly",
        "section B, bar 1: there is no bar before",
        "section B, bar 2: a bar with `%`",
        "section B, bar 3: this bar has 2 beats, a bar of 4/4 has 4",
        "section B, bar 4: nothing stands between",
        "form: there is no section `C`",
    ];
    for (start, (message, _)) in starts.iter().zip(&told) {
        assert!(message.starts_with(start), "{message}");
    }
}

#[test]
fn uneven_chords_are_shown_in_slash_notation() {
    for (meter, text, help) in [
        (Meter::FourFour, "F7 Bb6 C7", Some("F7 / Bb6 C7")),
        (Meter::ThreeFour, "Cm7 F7", Some("Cm7 / F7")),
        (Meter::FiveFour, "Cm7 F7", Some("Cm7 / / F7 /")),
        (Meter::SixEight, "Cm7 N.C. F7", Some("Cm7 / N.C. / F7 /")),
        (Meter::TwoTwo, "Cm7 F7 Bb6", Some("Cm7 / F7 Bb6")),
        (Meter::FourFour, "C D E F G", None),
    ] {
        let error = read(meter, text).unwrap_err().remove(0);
        let told = error.help().unwrap_or_default();
        match help {
            Some(example) => {
                assert!(told.ends_with(&format!("`{example}`")), "{told}");
                assert!(read(meter, example).is_ok(), "{example}");
            }
            None => assert_eq!(told, "a beat holds one chord at most"),
        }
    }
}

#[test]
fn empty_and_endless_charts_are_errors() {
    for text in ["", " \n ", "|", "| |", "||:"] {
        assert!(read(Meter::FourFour, text).is_err(), "{text:?}");
    }
    assert_eq!(source(Meter::FourFour, &[]).parse().unwrap_err()[0].problem, Problem::NoBars);
    let long = "C | ".repeat(600) + ":|";
    let problem = read(Meter::FourFour, &long).unwrap_err().remove(0).problem;
    assert_eq!(problem, Problem::TooLong(ChartSource::MOST_BARS));
}

#[test]
fn transposing_follows_the_key_and_keeps_raised_degrees_raised() {
    let in_f = ChartSource {
        key: "F".parse().unwrap(),
        ..source(Meter::FourFour, &[("A", "F6 F#dim7 | Gm7 C7/E | Abm7 N.C.")])
    };
    let in_b_flat = in_f.parse().unwrap().transpose("Bb".parse().unwrap());
    assert_eq!(in_b_flat.key.to_string(), "Bb");
    assert_eq!(shown(&in_b_flat).join(" | "), "Bb6:2 Bdim7:2 | Cm7:2 F7/A:2 | Dbm7:2 N.C.:2");
    let back = in_b_flat.transpose("F".parse().unwrap());
    assert_eq!(back, in_f.parse().unwrap());
}

#[test]
fn every_chord_moves_as_far_as_the_key_in_all_twelve_keys() {
    let chart = read(Meter::FourFour, "Am7b5 D7alt | Gm6/Bb | C#dim7 Ebmaj7#11 | F#7sus4").unwrap();
    let classes = |chart: &Chart| -> Vec<Vec<u8>> {
        let chords = chart.bars.iter().flat_map(|bar| &bar.slots);
        chords.filter_map(|slot| Some(slot.chord.as_ref()?.pitch_classes())).collect()
    };
    for key in Key::circle_of_fourths(chart.key.mode) {
        let moved = chart.transpose(key);
        assert_eq!(moved.key, key);
        let distance = key.tonic.pitch_class() + 12 - chart.key.tonic.pitch_class();
        let expected: Vec<Vec<u8>> = classes(&chart)
            .into_iter()
            .map(|chord| {
                let mut chord: Vec<u8> =
                    chord.iter().map(|class| (class + distance) % 12).collect();
                chord.sort_unstable();
                chord
            })
            .collect();
        assert_eq!(classes(&moved), expected, "{key}");
    }
}

#[test]
fn a_chart_is_shown_four_bars_to_a_line() {
    let sections = [
        ("A", "| Am7b5 | D7b9 | Gm6 | % |"),
        ("B", "| Cm7 F7 | Bbmaj7 | Am7b5 / / D7b9 | Gm6 | N.C. | D7 |"),
    ];
    let chart = ChartSource { form: FormSource::of("AABA"), ..source(Meter::FourFour, &sections) };
    insta::assert_snapshot!(chart.parse().unwrap());
}

#[test]
fn sections_of_one_name_with_other_bars_get_names_of_their_own() {
    let part = |text| read(Meter::FourFour, text).unwrap().bars;
    let mut chart = read(Meter::FourFour, "Gm6 | D7").unwrap();
    chart.bars.extend(part("Cm7 | F7"));
    chart.bars.extend(part("Gm6 | D7"));
    let text = chart.to_text();
    assert_eq!(text.form, "A A2 A");
    let names: Vec<&str> = text.sections.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["A", "A2"]);
}

/// Texts that look like charts.
fn chart_like() -> impl Strategy<Value = String> {
    let word = prop::sample::select(vec![
        "|",
        "||",
        "|:",
        ":|",
        "%",
        "/",
        "//",
        "N.C.",
        "1.",
        "2.",
        "3.",
        "C7(b9 b13)",
        "Gm6",
        "F7",
        "D7/F#",
        "V7/ii",
        "ø",
        ":",
        "(",
        "\n",
        " ",
        "12.",
        "Bb",
    ]);
    prop::collection::vec(word, 0..40).prop_map(|words| words.join(" "))
}

proptest! {
    #[test]
    fn no_text_is_too_strange(text in ".*", meter in prop::sample::select(Meter::ALL.to_vec())) {
        let _ = read(meter, &text);
    }

    #[test]
    fn spans_lie_in_the_text_and_what_is_read_reads_again(
        text in chart_like(),
        meter in prop::sample::select(Meter::ALL.to_vec()),
    ) {
        match read(meter, &text) {
            Ok(chart) => {
                let again = chart.to_text();
                prop_assert_eq!(again.form.as_str(), "A");
                let again = read(meter, &again.sections[0].1).unwrap();
                prop_assert_eq!(again, chart);
            }
            Err(errors) => {
                prop_assert!(!errors.is_empty());
                for error in errors {
                    prop_assert!(text.get(error.span.clone()).is_some(), "{error:?}");
                    let _ = (error.to_string(), error.help());
                }
            }
        }
    }
}

#[test]
fn what_is_other_in_a_section_is_shown_with_the_chart() {
    let within = [
        (
            "B",
            Within {
                key: "Bb".parse().ok(),
                meter: Some(Meter::ThreeFour),
                feel: Some(FeelName::Straight),
                pace: "100% to 70%".parse().ok(),
                hits: Some("| . | 1 2& |"),
            },
        ),
        ("A", Within { pace: "50%".parse().ok(), ..Within::default() }),
    ];
    let form = FormSource { within: &within, ..FormSource::of("A B") };
    let sections = [("A", "| Gm6 | D7 |"), ("B", "| Bb | F7 | Bb |")];
    let chart = ChartSource { form, ..source(Meter::FourFour, &sections) }.parse().unwrap();
    let told = "within: A: 50%; B: Bb, 3/4, straight, 100% to 70%, hits | . | 1 2& |";
    assert_eq!(chart.to_string().lines().last(), Some(told));
    assert!(!read(Meter::FourFour, "| Gm6 |").unwrap().to_string().contains("within"));
}
