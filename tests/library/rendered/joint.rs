//! The joint of a loop: played again and again, its file is what a straight, longer playing of the
//! same notes has there.
//!
//! The straight playing is put together here: one performance that holds the notes of all passes,
//! played once from beginning to end, at the gain that the file's manifest tells, in 32-bit float.

use std::path::Path;

use countoff::deliver::Manifest;
use countoff::mix::{BlockSink, Extent, MixSettings, RoomSource, StemSource, Studio, render};
use countoff::performance::{
    Instrument, Part, Performance, PerformedNote, PerformedPart, TempoMap,
};
use countoff::plan::TakePlan;
use countoff::render::MANIFEST;
use countoff::sound::{Room, Sounds, StemRenderer, StoreBudget};
use countoff::units::{Decibels, Frames, SampleRate, Tempo, Ticks, Velocity};
use tempfile::TempDir;

use super::harness::{SOUNDS, rendered};

/// -120 dBFS.
const INAUDIBLE: f32 = 1e-6;

/// A quarter of these tempos is a whole number of frames, so that ticks of later passes fall on
/// the frames that those of the first do.
const LONG: (u32, &str, &str) =
    (125, "4/4", "| Am7b5 | D7b9 | Gm6 | % | Cm7 | F7 | Bbmaj7 | D7b9 |");
const SHORT: (u32, &str, &str) = (240, "3/4", "| Am7b5 | D7b9 | Gm6 | Cm7 |");
const ODD: (u32, &str, &str) = (240, "3/4", "| Am7b5 | D7b9 | Gm6 | Cm7 | D7b9 |");

const ODD_LONG: (u32, &str, &str) = (
    240,
    "3/4",
    "| Am7b5 | D7b9 | Gm6 | Cm7 | D7b9 | Gm6 | Cm7 | F7 | Bbmaj7 | Am7b5 | D7b9 | Gm6 | Cm7 | \
     F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7b9 | Gm6 |",
);

struct Loop {
    file: Vec<[f32; 2]>,
    gain: Decibels,
    take: TakePlan,
    sounds: Sounds,
}

impl Loop {
    fn made((tempo, meter, chords): (u32, &str, &str)) -> Loop {
        let drums = if meter == "4/4" { "ride" } else { "waltz" };
        let lesson = format!(
            r#"
            format = 1
            title = "Round and round in the hall"
            tempos = [{tempo}]
            [level]
            target = -13
            [files]
            bits = 32
            [[chart]]
            name = "turn"
            key = "Gm"
            meter = "{meter}"
            A = "{chords}"
            [[track]]
            name = "band"
            chart = "turn"
            comp = "rootless"
            bass = "walking"
            drums = "{drums}"
            choruses = 1
            practice = {{ shape = "loop" }}
            "#
        );
        let folder = TempDir::new().unwrap();
        let plan = rendered(&lesson, folder.path());
        let take = plan.takes[0].clone();
        let path = &take.sounds[0].path;
        let mut reader = hound::WavReader::open(folder.path().join(path)).unwrap();
        let samples: Vec<f32> = reader.samples().map(Result::unwrap).collect();
        let file = samples.chunks(2).map(|frame| [frame[0], frame[1]]).collect();
        let manifest = std::fs::read_to_string(folder.path().join(MANIFEST)).unwrap();
        let manifest = Manifest::parse(&manifest, Path::new(MANIFEST)).unwrap();
        let sound = manifest.files[path].sound.as_ref().unwrap();
        assert!(sound.limiter_deepest > 0.1, "the limiter is at work");
        let gain = Decibels(sound.gain);
        let font = countoff::soundfont::embedded().unwrap();
        let rate = SampleRate::Hz44100;
        let sounds = Sounds::new(font, &plan.instruments(), rate, StoreBudget::default()).unwrap();
        Loop { file, gain, take, sounds }
    }

    /// Some passes of a straight playing, counted from 0.
    fn straight(&self, from: usize, to: usize) -> Vec<[f32; 2]> {
        let once = &self.take.notes.performance;
        // One more, for the limiter to look ahead at.
        let passes = i64::try_from(to + 1).unwrap();
        let later = |note: &PerformedNote, pass: i64| {
            let by = Ticks(pass * once.end.0);
            PerformedNote { on: note.on + by, off: note.off + by, ..note.clone() }
        };
        let part = |part: &PerformedPart| PerformedPart {
            notes: (0..passes)
                .flat_map(|pass| part.notes.iter().map(move |note| later(note, pass)))
                .collect(),
            ..part.clone()
        };
        let performance = Performance {
            parts: once.parts.iter().map(part).collect(),
            tempo: once.tempo.clone(),
            end: Ticks(passes * once.end.0),
        };
        let frames = |passes: usize| Frames((passes * self.file.len()) as u64);
        let settings = MixSettings {
            gain: Some(self.gain),
            extent: Extent::Cut { from: frames(from), to: frames(to) },
            ..MixSettings::default()
        };
        let mixes = [self.take.sounds[0].mix.clone()];
        let studio = StraightStudio { sounds: &self.sounds, odd: self.file.len() % 2 == 1 };
        let open = |_, _| Ok(Tape::default());
        let (report, mut tapes) = render(&performance, &studio, &mixes, &settings, open).unwrap();
        assert_eq!(report.mixes[0].gain, self.gain);
        tapes.remove(0).0
    }

    /// The largest difference of copies of the file, one after another, from a playing.
    fn differs(&self, playing: &[[f32; 2]]) -> f32 {
        assert_eq!(playing.len() % self.file.len(), 0);
        let copies = self.file.iter().cycle();
        let differences = copies
            .zip(playing)
            .flat_map(|(one, other)| [(one[0] - other[0]).abs(), (one[1] - other[1]).abs()]);
        differences.fold(0.0, f32::max)
    }
}

/// Plays straight on. Where passes are of an odd length, half of the room answers on the even
/// frames and half on the odd ones.
struct StraightStudio<'a> {
    sounds: &'a Sounds,
    odd: bool,
}

impl Studio for StraightStudio<'_> {
    fn stem(
        &self,
        take: &Performance,
        part: &PerformedPart,
    ) -> Result<Box<dyn StemSource>, String> {
        Ok(Box::new(Stem(self.sounds.stem(part, &take.tempo, Frames::ZERO).unwrap())))
    }

    fn room(&self) -> Box<dyn RoomSource> {
        let mut rooms = vec![Room::new(self.sounds.rate())];
        if self.odd {
            let mut other = rooms[0].clone();
            other.add(&[0.0], &[0.0], &mut [0.0], &mut [0.0]);
            rooms.push(other);
        }
        Box::new(StraightRoom(rooms))
    }
}

struct Stem(StemRenderer);

impl StemSource for Stem {
    fn add_block(&mut self, left: &mut [f32], right: &mut [f32]) -> Result<(), String> {
        self.0.add_block(left, right).map_err(|error| error.to_string())
    }
}

/// A room, or several that share what they hear.
struct StraightRoom(Vec<Room>);

impl RoomSource for StraightRoom {
    fn add_block(&mut self, send: [&[f32]; 2], left: &mut [f32], right: &mut [f32]) {
        let share = 1.0 / self.0.len() as f32;
        let [one, other] = send.map(|send| send.iter().map(|x| share * x).collect::<Vec<f32>>());
        for room in &mut self.0 {
            room.add(&one, &other, left, right);
        }
    }
}

#[derive(Default)]
struct Tape(Vec<[f32; 2]>);

impl BlockSink for Tape {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()> {
        self.0.extend(left.iter().zip(right).map(|(left, right)| [*left, *right]));
        Ok(())
    }
}

/// To the bit where the straight playing has the pass that the file is. One pass later all that is
/// heard is the same, but the room has yet older sound in it, far below what is heard, and rounds
/// in single precision from there: the bound is that of inaudible rounding.
#[test]
fn a_loop_played_twice_in_a_row_is_a_straight_longer_playing() {
    let long = Loop::made(LONG);
    assert!(long.file.len() > 12 * 44_100, "its file is the second pass");
    let playing = long.straight(1, 4);
    let (second, later) = playing.split_at(long.file.len());
    assert!(long.file == second, "{} off", long.differs(second));
    // Both joints: from the second pass into the third and from there into the fourth.
    let off = long.differs(&playing);
    assert!(off <= INAUDIBLE, "{off} off in the whole, {} later", long.differs(later));
}

/// Cymbals ring longer than a pass of some seconds: its second pass would not be the whole of it.
#[test]
fn a_short_loop_holds_all_that_rings_from_many_passes_ago() {
    let short = Loop::made(SHORT);
    let off = short.differs(&short.straight(7, 10));
    assert!(off <= INAUDIBLE, "{off} off");
}

/// A room that answers from every other frame would have the frames between in every other pass,
/// 44 dB below full scale off around 11 kHz. Loops of an odd length have one that answers from all
/// frames: here several passes and the joints between them, begun on odd and even frames.
#[test]
fn a_loop_of_an_odd_length_has_the_same_joints() {
    for (chart, passes) in [(ODD, 7..10), (ODD_LONG, 1..4)] {
        let odd = Loop::made(chart);
        assert_eq!(odd.file.len() % 2, 1);
        let off = odd.differs(&odd.straight(passes.start, passes.end));
        assert!(off <= INAUDIBLE, "{off} off");
    }
}

/// A closed hi-hat at the beginning of a pass chokes an open one at the end of the pass before:
/// General MIDI's keys 42 and 46.
#[test]
fn a_stroke_after_the_joint_chokes_one_before_it() {
    let note = |on, pitch| PerformedNote {
        on: Ticks(on),
        off: Ticks(on + 50),
        pitch,
        velocity: Velocity::clamped(100),
        variant: 0,
    };
    let instrument = Instrument { bank: 128, program: 0 };
    let hats = |notes| PerformedPart { part: Part::Drums, instrument, notes };
    // A second of 960 ticks, on frames.
    let tempo = TempoMap::constant(Tempo(1_000_000));
    let play = |notes, starts: &[Frames]| {
        let (mut left, mut right) = (vec![0.0; 2 * 44_100], vec![0.0; 2 * 44_100]);
        let mut stem = SOUNDS.stem_of_passes(&hats(notes), &tempo, starts).unwrap();
        stem.add_block(&mut left, &mut right).unwrap();
        left
    };
    let (closed, open) = (note(0, 42), note(768, 46));
    let once = vec![closed.clone(), open.clone()];
    let passes = play(once.clone(), &[Frames(0), Frames(44_100)]);
    let straight = vec![closed, open, note(960, 42), note(960 + 768, 46)];
    assert!(passes == play(straight, &[Frames(0)]));
    let energy = |samples: &[f32]| samples.iter().map(|x| x * x).sum::<f32>();
    let after = 44_100 + 8_820..44_100 + 17_640;
    let rings = energy(&play(once, &[Frames(0)])[after.clone()]);
    assert!(energy(&passes[after]) < 0.1 * rings, "it rings on");
}
