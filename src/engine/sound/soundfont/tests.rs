//! Files as they should be, and files as they should not.

#![expect(clippy::cast_possible_truncation, reason = "numbers of a test, all within range")]

use std::io::{Cursor, Read, Seek};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use rand::Rng as _;

use super::*;
use crate::performance::Part;
use crate::performance::TempoMap;
use crate::performance::{PerformedNote, PerformedPart};
use crate::sound::tests::tiny_font::{TinyFont, sine};
use crate::sound::{Sounds, StoreBudget};
use crate::units::{Frames, SampleRate, Tempo, Ticks, Velocity};

const PIANO: Instrument = Instrument { bank: 0, program: 0 };

fn tiny() -> TinyFont {
    let mut font = TinyFont::of(sine(440.0, 0.5, 44_100, 2_000), 44_100, 69);
    font.samples[0].looped = 500..1_500;
    font.with(Generator::SampleModes, 1).with(Generator::VolEnvRelease, 0)
}

fn open(bytes: &[u8]) -> Result<SoundFont, SoundError> {
    SoundFont::open(Cursor::new(bytes.to_vec()))
}

/// Opens a file and plays on it whatever it holds.
fn play_all(bytes: &[u8]) -> Result<(), SoundError> {
    let font = open(bytes)?;
    let instruments: Vec<Instrument> =
        font.presets().iter().map(|preset| preset.instrument).collect();
    let sounds = Sounds::new(font, &instruments, SampleRate::Hz44100, StoreBudget::default())?;
    for instrument in instruments {
        let notes = [30, 60, 69, 100].map(|pitch| PerformedNote {
            on: Ticks(0),
            off: Ticks(100),
            pitch,
            velocity: Velocity::clamped(90),
            variant: 0,
        });
        let part = PerformedPart { part: Part::Comp, instrument, notes: notes.to_vec() };
        let tempo = TempoMap::constant(Tempo(1_000_000));
        let mut stem = sounds.stem(&part, &tempo, Frames::ZERO)?;
        let (mut left, mut right) = (vec![0.0; 9_000], vec![0.0; 9_000]);
        stem.add_block(&mut left, &mut right)?;
        assert!(left.iter().chain(&right).all(|x| x.is_finite()));
    }
    Ok(())
}

#[test]
fn says_what_is_in_it() {
    let font = open(&tiny().bytes()).unwrap();
    assert_eq!(font.info().name, "Tiny");
    assert_eq!(font.info().copyright, "CC0");
    assert_eq!(font.info().version, (2, 4));
    let presets = font.presets();
    assert_eq!(presets, [PresetName { instrument: PIANO, name: "tiny".to_owned() }]);
    play_all(&tiny().bytes()).unwrap();
}

#[test]
fn other_files_are_told_apart() {
    let error = |bytes: &[u8]| open(bytes).unwrap_err().to_string();
    assert!(error(b"# Not a SoundFont at all\n").contains("text file"));
    assert!(error(b"").contains("0 bytes"));
    assert!(error(b"RIFF\x20\0\0\0WAVEfmt ").contains("WAVE"));
    assert!(error(&[0xff; 64]).contains("no RIFF file"));
    let mut version_three = tiny().bytes();
    let at = version_three.windows(4).position(|bytes| bytes == b"ifil").unwrap();
    version_three[at + 8] = 3;
    assert!(matches!(open(&version_three), Err(SoundError::Compressed(_))));
}

#[test]
fn a_missing_preset_is_an_error_that_names_the_nearest() {
    let mut font = tiny();
    font.presets = vec![(0, 0), (0, 32), (128, 0)];
    let font = open(&font.bytes()).unwrap();
    let missing = Instrument { bank: 0, program: 33 };
    let error = Sounds::new(font, &[PIANO, missing], SampleRate::Hz44100, StoreBudget::default())
        .unwrap_err();
    let text = error.to_string();
    assert!(text.contains("program number 34"), "{text}");
    assert!(text.contains("the nearest is `tiny` (bank 0, program 33)"), "{text}");
    assert!(text.contains("bank 128, program 1"), "{text}");
}

#[test]
fn a_file_cut_short_is_an_error_wherever_it_is_cut() {
    let whole = tiny().bytes();
    for length in 0..whole.len() {
        // Every place in the tables, every hundredth in the samples.
        if length < 200 || length > whole.len() - 800 || length % 101 == 0 {
            let error = play_all(&whole[..length]);
            assert!(error.is_err(), "cut after {length} bytes of {}", whole.len());
        }
    }
}

#[test]
fn a_file_cut_short_whose_sizes_fit_is_an_error_or_plays() {
    let whole = tiny().bytes();
    for length in (12..whole.len()).step_by(7) {
        let mut cut = whole[..length].to_vec();
        let size = u32::try_from(length - 8).unwrap();
        cut[4..8].copy_from_slice(&size.to_le_bytes());
        let _ = play_all(&cut);
    }
}

#[test]
fn damaged_tables_never_panic() {
    let whole = tiny().bytes();
    let mut random = rand_pcg::Pcg64Mcg::new(20_240_817);
    let (mut errors, mut played) = (0, 0);
    for _ in 0..1_500 {
        let mut damaged = whole.clone();
        for _ in 0..1 + random.next_u32() % 3 {
            // Mostly in the tables at the end, sometimes in the chunks before.
            let tables = !random.next_u32().is_multiple_of(4);
            let from = if tables { whole.len() - 700 } else { 0 };
            let at = from + random.next_u64() as usize % (whole.len() - from);
            damaged[at] = random.next_u32() as u8;
        }
        match play_all(&damaged) {
            Ok(()) => played += 1,
            Err(error) => {
                errors += 1;
                assert!(!matches!(error, SoundError::Synthesis { .. }), "{error}");
            }
        }
    }
    assert!(errors > 50 && played > 50, "{errors} errors, {played} played");
}

#[test]
fn extreme_settings_never_panic() {
    let generators = [
        Generator::CoarseTune,
        Generator::FineTune,
        Generator::ScaleTuning,
        Generator::ModLfoToPitch,
        Generator::ModEnvToPitch,
        Generator::ModEnvAttack,
        Generator::FilterCutoff,
        Generator::FilterQ,
        Generator::ModEnvToCutoff,
        Generator::VolEnvDelay,
        Generator::VolEnvDecay,
        Generator::VolEnvSustain,
        Generator::KeyToVolEnvDecay,
        Generator::VolEnvRelease,
        Generator::LoopStartOffset,
        Generator::LoopEndOffset,
        Generator::StartOffset,
        Generator::EndOffset,
    ];
    for (number, one) in generators.into_iter().enumerate() {
        for other in generators.into_iter().skip(number % 4).step_by(4) {
            for value in [i16::MIN, -12_000, 1, 999, i16::MAX] {
                let font = tiny().with(one, value.into()).with(other, i32::from(value) / 2);
                let outcome = play_all(&font.bytes());
                assert!(!matches!(outcome, Err(SoundError::Synthesis { .. })), "{one:?} {other:?}");
            }
        }
    }
}

/// The piano joins 88 zones of its preset with 1,519 of its instrument.
#[test]
fn the_embedded_file_is_within_the_limits() {
    let font = crate::sound::tests::trio();
    for preset in font.presets() {
        assert!(!font.regions(preset.instrument).unwrap().is_empty(), "{preset}");
    }
}

/// A source that counts the bytes read of it.
struct Counted(Cursor<Vec<u8>>, Arc<AtomicUsize>);

impl Read for Counted {
    fn read(&mut self, to: &mut [u8]) -> std::io::Result<usize> {
        let count = self.0.read(to)?;
        self.1.fetch_add(count, Ordering::Relaxed);
        Ok(count)
    }
}

impl Seek for Counted {
    fn seek(&mut self, to: std::io::SeekFrom) -> std::io::Result<u64> {
        self.0.seek(to)
    }
}

#[test]
fn only_what_is_played_is_read() {
    let read = Arc::new(AtomicUsize::new(0));
    let source = Counted(Cursor::new(tiny().bytes()), read.clone());
    let font = SoundFont::open(source).unwrap();
    let regions = font.regions(PIANO).unwrap();
    let before = read.load(Ordering::Relaxed);
    assert_eq!(font.samples(&regions[0].sample, 7).unwrap().len(), 7);
    assert_eq!(read.load(Ordering::Relaxed) - before, 14);
    let all = font.samples(&regions[0].sample, usize::MAX).unwrap();
    assert_eq!(all.len(), (regions[0].sample.end - regions[0].sample.start) as usize);
}
