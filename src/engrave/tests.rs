//! Random sheets: nothing is drawn over anything that it must not touch, every note is drawn once
//! where it belongs, time runs from left to right, and nothing leaves the page.

use std::collections::BTreeMap;

use super::glyphs::Glyph;
use super::glyphs::outline::Bounds;
use super::shape::{Drawing, Ink, Kind, NoteId, Shape};
use super::{blocks, stacked};
use crate::arrange::{Arrangement, CountIn, Ending, Timeline, arrange};
use crate::chart::{ChartSource, FeelName, FormSource};
use crate::codec::musicxml::score::{Head, Item, Score};
use crate::notation::{Heading, hands};
use crate::part::{Hand, Note, PartNotes, Stroke};
use crate::performance::{Instrument, Part};
use crate::units::{Bpm, Meter, Ticks, Velocity};

/// Numbers that look random (a 64-bit linear congruential generator, Knuth's constants).
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % limit
    }

    fn of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len())]
    }
}

const KEYS: [&str; 24] = [
    "C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B", "Cm", "C#m", "Dm", "Ebm",
    "Em", "Fm", "F#m", "Gm", "G#m", "Am", "Bbm", "Bm",
];
const QUALITIES: [&str; 14] = [
    "maj7", "m7", "7", "m7b5", "7b9", "13sus4", "6/9", "m(maj7)", "dim7", "7#5#9", "7b9b13", "9",
    "m6", "maj7#11",
];
const METERS: [Meter; 5] =
    [Meter::FourFour, Meter::FourFour, Meter::ThreeFour, Meter::FiveFour, Meter::SixEight];

fn chart(dice: &mut Dice, bars: usize, most: usize) -> String {
    let mut text = String::from("|");
    for _ in 0..bars {
        for _ in 0..=dice.below(most) {
            let root = dice.of(&["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]);
            text += &format!(" {root}{}", dice.of(&QUALITIES));
        }
        text += " |";
    }
    text
}

/// Notes of one hand: runs, chords, rests, triplets, ghosts, now and then a second voice.
fn hand(dice: &mut Dice, timeline: &Timeline, hand: Hand) -> Vec<Note> {
    let (low, high) = if hand == Hand::Left { (36, 64) } else { (55, 88) };
    let mut notes = Vec::new();
    let mut at = Ticks::ZERO;
    let dense = dice.below(3);
    while at < timeline.end {
        let lengths: &[i64] = match dense {
            0 => &[960, 1920, 1440, 3840, 960],
            1 => &[480, 480, 960, 480, 1440, 720],
            _ => &[480, 480, 240, 320, 480, 960],
        };
        let length = Ticks(dice.of(lengths));
        // A triplet comes whole.
        let times = if length.0 == 320 { 3 } else { 1 };
        let at_beat = at.0 % 960 == 0;
        if times == 3 && !at_beat {
            at += Ticks(480 - at.0 % 480);
            continue;
        }
        for _ in 0..times {
            let count = dice.of(&[0, 1, 1, 1, 2, 3, 4, 5]);
            let mut pitch = low + dice.below(high - low);
            for _ in 0..count {
                let held = if dice.below(12) == 0 { length + Ticks(960) } else { length };
                notes.push(Note {
                    at,
                    length: held,
                    pitch: u8::try_from(pitch).unwrap(),
                    velocity: Velocity::clamped(70),
                    stroke: if dice.below(15) == 0 { Stroke::Ghost } else { Stroke::Full },
                    hand: Some(hand),
                    degree: None,
                    variant: 0,
                });
                pitch += 1 + dice.below(5);
            }
            at += length;
        }
    }
    notes.retain(|note| note.at < timeline.end);
    notes
}

fn sheet(seed: u64) -> Score {
    let dice = &mut Dice(seed.wrapping_mul(7919) + 12345);
    let bars = 2 + dice.below(4);
    let meter = dice.of(&METERS);
    let most = if meter == Meter::FourFour { 2 } else { 1 };
    let sections = [("A", chart(dice, bars, most)), ("B", chart(dice, bars, most))];
    let sections: Vec<(&str, &str)> =
        sections.iter().map(|(name, text)| (*name, text.as_str())).collect();
    let chart = ChartSource {
        name: "chart",
        key: dice.of(&KEYS).parse().unwrap(),
        meter,
        feel: FeelName::Swing,
        form: FormSource::of(dice.of(&["A", "A", "A A B"])),
        sections: &sections,
    };
    let chart = chart.parse().unwrap();
    let arrangement = Arrangement {
        ending: Ending::Held,
        count_in: CountIn::None,
        ..Arrangement::once(Bpm::MODERATE)
    };
    let timeline = arrange(&chart, &arrangement).unwrap();
    let mut part = |part: Part, hands: &[Hand]| {
        let mut notes: Vec<Note> = hands.iter().flat_map(|of| hand(dice, &timeline, *of)).collect();
        notes.sort_by_key(|note| (note.at, note.pitch));
        notes.dedup_by_key(|note| (note.at, note.pitch));
        PartNotes { part, instrument: Instrument { bank: 0, program: 0 }, straight: false, notes }
    };
    let parts = match seed % 4 {
        0 => vec![part(Part::Line, &[Hand::Right])],
        1 => vec![part(Part::Comp, &[Hand::Left])],
        2 => vec![part(Part::Line, &[Hand::Right]), part(Part::Comp, &[Hand::Left])],
        _ => vec![part(Part::Line, &[Hand::Right]), part(Part::Comp, &[Hand::Right, Hand::Left])],
    };
    let heading = Heading {
        title: format!("sheet {seed}"),
        tempos: vec![Bpm::MODERATE],
        ..Heading::default()
    };
    hands(&timeline, &parts, false, &heading).unwrap()
}

/// The boxes that a shape fills; what is slanted or bent is cut into slices.
fn filled(shape: &Shape) -> Vec<Bounds> {
    match &shape.ink {
        Ink::Glyph { glyph, at, scale: _ } if shape.kind == Kind::Accidental => {
            let parts = super::cell::silhouette(*glyph).iter();
            let part = |(x0, low, x1, high): &(f64, f64, f64, f64)| {
                Bounds::new(at.x + x0, at.y - high, at.x + x1, at.y - low)
            };
            parts.map(part).collect()
        }
        Ink::Fill(outline) => {
            let points: Vec<_> =
                outline.contours.iter().flat_map(|contour| contour.points(8)).collect();
            let width = shape.bounds.width() / 8.0;
            let slices = (0..8).filter_map(|slice| {
                let (x0, x1) = (
                    shape.bounds.x0 + width * f64::from(slice),
                    shape.bounds.x0 + width * f64::from(slice + 1),
                );
                let inside = points.windows(2).filter(|pair| {
                    pair[0].x.min(pair[1].x) <= x1 && pair[0].x.max(pair[1].x) >= x0
                });
                let at = |x: f64, pair: &[super::glyphs::outline::Point]| {
                    let run = pair[1].x - pair[0].x;
                    let part = if run.abs() < 1e-9 {
                        0.0
                    } else {
                        ((x - pair[0].x) / run).clamp(0.0, 1.0)
                    };
                    pair[0].y + (pair[1].y - pair[0].y) * part
                };
                let ys: Vec<f64> = inside.flat_map(|pair| [at(x0, pair), at(x1, pair)]).collect();
                let (low, high) = (
                    ys.iter().copied().fold(f64::INFINITY, f64::min),
                    ys.iter().copied().fold(f64::NEG_INFINITY, f64::max),
                );
                (low < high).then_some(Bounds::new(x0, low, x1, high))
            });
            slices.collect()
        }
        _ => vec![shape.bounds],
    }
}

/// Whether two kinds may never lie on each other.
fn keep_apart(one: Kind, other: Kind) -> bool {
    use Kind::{
        Accidental, Articulation, BarNumber, Barline, Beam, Chord, Clef, Dot, Ending, Flag, Head,
        Heading, KeySignature, Ledger, Meter, Rehearsal, Rest, Stem, Tie, Tuplet, Words,
    };
    let words =
        |kind| matches!(kind, Chord | Ending | Rehearsal | Words | BarNumber | Heading | Tuplet);
    let notes = |kind| {
        matches!(
            kind,
            Head | Rest | Ledger | Stem | Flag | Beam | Accidental | Dot | Articulation | Tie
        )
    };
    let signs = |kind| matches!(kind, Clef | KeySignature | Meter);
    let pair = |one, other| match (one, other) {
        (words_one, other) if words(words_one) => {
            (words(other) || notes(other) || signs(other)) && one != other
        }
        (Head, Accidental | Rest | Clef | KeySignature | Meter | Barline) => true,
        (Accidental, Accidental | Rest | Clef | KeySignature | Meter | Barline | Stem) => true,
        (Dot, Head | Accidental | Dot | Rest | Barline) => true,
        (Rest, Barline | Clef | KeySignature | Meter | Rest) => true,
        _ => false,
    };
    pair(one, other) || pair(other, one)
}

/// Pairs that touch, with where.
fn collisions(drawing: &Drawing) -> Vec<(Kind, Kind, Bounds)> {
    let shapes: Vec<(&Shape, Vec<Bounds>)> = drawing
        .shapes
        .iter()
        .filter(|shape| shape.kind != Kind::StaffLine)
        .map(|shape| (shape, filled(shape)))
        .collect();
    let mut order: Vec<usize> = (0..shapes.len()).collect();
    order.sort_by(|one, other| shapes[*one].0.bounds.x0.total_cmp(&shapes[*other].0.bounds.x0));
    let mut found = Vec::new();
    for (index, first) in order.iter().enumerate() {
        let (one, one_parts) = &shapes[*first];
        for second in order[index + 1..]
            .iter()
            .take_while(|second| shapes[**second].0.bounds.x0 < one.bounds.x1)
        {
            let (other, other_parts) = &shapes[*second];
            if !keep_apart(one.kind, other.kind) {
                continue;
            }
            let overlap = |a: &Bounds, b: &Bounds| {
                a.x0 + 0.02 < b.x1 && b.x0 + 0.02 < a.x1 && a.y0 + 0.02 < b.y1 && b.y0 + 0.02 < a.y1
            };
            if one_parts.iter().any(|a| other_parts.iter().any(|b| overlap(a, b))) {
                found.push((one.kind, other.kind, other.bounds));
            }
        }
    }
    found
}

/// The heads and rests that a score asks for, by measure, staff, time and pitch.
fn wanted(score: &Score) -> BTreeMap<(usize, usize, i64, Option<i16>), usize> {
    let mut wanted = BTreeMap::new();
    let mut first_staff = 0;
    for part in &score.parts {
        let mut staves = 1;
        for (measure, written) in part.measures.iter().enumerate() {
            let (mut at, mut struck) = (0, 0);
            for item in &written.items {
                match item {
                    Item::Backup(back) => at -= back.0,
                    Item::Note(note) => {
                        let staff = usize::from(note.staff.unwrap_or(1)) - 1;
                        staves = staves.max(staff + 1);
                        if !note.in_chord {
                            struck = at;
                            at += note.duration.0;
                        }
                        let pitch = match note.head {
                            Head::Pitch(pitch) | Head::Ghost(pitch) => Some(pitch),
                            _ => None,
                        };
                        let semitones = pitch.map(|pitch| {
                            let step = pitch.step.letter.semitones() + pitch.step.alter;
                            i16::from(step) + 12 * (i16::from(pitch.octave) + 1)
                        });
                        if note.printed {
                            *wanted
                                .entry((measure, first_staff + staff, struck, semitones))
                                .or_insert(0) += 1;
                        }
                    }
                    _ => {}
                }
            }
        }
        first_staff += staves;
    }
    wanted
}

fn drawn(drawing: &Drawing) -> Vec<(NoteId, &Shape)> {
    drawing.shapes.iter().filter_map(|shape| Some((shape.note?, shape))).collect()
}

/// All that is wrong with a sheet.
fn faults(score: &Score) -> Vec<String> {
    const WIDTH: f64 = 100.0;
    let drawing = stacked(&blocks(score, WIDTH), WIDTH);
    let mut faults: Vec<String> = collisions(&drawing)
        .into_iter()
        .map(|(one, other, at)| format!("{one:?} on {other:?} at {:.1} {:.1}", at.x0, at.y0))
        .collect();
    for shape in &drawing.shapes {
        let bounds = shape.bounds;
        if bounds.x0 < -0.6
            || bounds.x1 > WIDTH + 0.6
            || bounds.y0 < -0.6
            || bounds.y1 > drawing.height + 0.6
        {
            faults.push(format!(
                "{:?} leaves the page at {:.1} {:.1}",
                shape.kind, bounds.x0, bounds.y0
            ));
        }
    }
    let mut heads = BTreeMap::new();
    for (id, shape) in drawn(&drawing) {
        *heads.entry((id.measure, id.staff, id.at, id.pitch)).or_insert(0) += 1;
        let is_head = matches!(
            shape.ink,
            Ink::Glyph {
                glyph: Glyph::HeadBlack
                    | Glyph::HeadHalf
                    | Glyph::HeadWhole
                    | Glyph::HeadCross
                    | Glyph::HeadSlash,
                ..
            }
        );
        if id.pitch.is_some() && !is_head {
            faults.push("a note without a head".to_owned());
        }
    }
    if heads != wanted(score) {
        faults.push("other notes are drawn than are written".to_owned());
    }
    // Within a measure later notes stand farther to the right.
    let mut columns: BTreeMap<(usize, i64), (f64, f64)> = BTreeMap::new();
    for (id, shape) in drawn(&drawing).into_iter().filter(|(id, _)| id.pitch.is_some()) {
        let place =
            columns.entry((id.measure, id.at)).or_insert((f64::INFINITY, f64::NEG_INFINITY));
        *place = (place.0.min(shape.bounds.x0), place.1.max(shape.bounds.x0));
    }
    let columns: Vec<_> = columns.into_iter().collect();
    for pair in columns.windows(2) {
        let ((one, first), (other, second)) = (pair[0], pair[1]);
        if one.0 == other.0 && second.0 <= first.0 {
            faults.push(format!("time runs backwards in measure {}", one.0));
        }
    }
    faults
}

#[test]
fn nothing_touches_in_2000_random_sheets() {
    let mut all: BTreeMap<String, (usize, u64)> = BTreeMap::new();
    for seed in 0..2000 {
        for fault in faults(&sheet(seed)) {
            let kind = fault.split(" at ").next().unwrap().to_owned();
            all.entry(kind).or_insert((0, seed)).0 += 1;
        }
    }
    assert!(all.is_empty(), "how often, first seed: {all:#?}");
}

/// The same music in all twelve keys.
#[test]
fn nothing_touches_in_any_key() {
    for key in KEYS {
        let sections = [("A", "| Am7b5 | D7b9#11 | Gm6 | C7#5#9 / F#7b9 B7 |")];
        let source = ChartSource {
            name: "cadence",
            key: "Gm".parse().unwrap(),
            meter: Meter::FourFour,
            feel: FeelName::Swing,
            form: FormSource::default(),
            sections: &sections,
        };
        let chart = source.parse().unwrap().transpose(key.parse().unwrap());
        let timeline = arrange(&chart, &Arrangement::once(Bpm::MODERATE)).unwrap();
        let dice = &mut Dice(5);
        let notes = hand(dice, &timeline, Hand::Right);
        let instrument = Instrument { bank: 0, program: 0 };
        let parts = [PartNotes { part: Part::Line, instrument, straight: false, notes }];
        let score = hands(&timeline, &parts, false, &Heading::default()).unwrap();
        assert_eq!(faults(&score), Vec::<String>::new(), "{key}");
    }
}

/// A title of 300 characters, one in another script, a bar as dense as can be.
#[test]
fn odd_sheets_stay_on_the_page() {
    for title in [
        "long words ".repeat(30),
        "x".repeat(300),
        "\u{7ec3}\u{4e60}\u{66f2} \u{5de6}\u{624b}".to_owned(),
        "<&>\"'\u{7}".to_owned(),
    ] {
        let mut score = sheet(2);
        score.title = title;
        assert_eq!(faults(&score), Vec::<String>::new());
    }
    let mut score = sheet(3);
    for part in &mut score.parts {
        let items: Vec<Item> =
            part.measures.iter().flat_map(|measure| measure.items.clone()).collect();
        for measure in &mut part.measures {
            measure.items.clone_from(&items);
        }
    }
    let drawing = stacked(&blocks(&score, 100.0), 100.0);
    assert!(drawing.shapes.iter().all(|shape| shape.bounds.x1 <= 100.6));
    assert!(stacked(&blocks(&Score::default(), 100.0), 100.0).shapes.is_empty());
}
