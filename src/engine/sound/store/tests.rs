//! What the store keeps, and for how long.

use std::sync::atomic::{AtomicUsize, Ordering};

use super::*;
use crate::performance::Instrument;
use crate::sound::block_float::BlockFloat;
use crate::sound::envelope::Held;
use crate::sound::note::Sound;
use crate::sound::preset::Preset;
use crate::sound::tests::tiny_font::TinyFont;
use crate::units::SampleRate;

fn key(key: u8) -> NoteKey {
    let instrument = Instrument { bank: 0, program: 0 };
    NoteKey { instrument, key, strand: 0, velocity: None, release_block: None }
}

/// A waveform of so many samples, all silent.
fn wave(samples: usize) -> impl Fn(usize) -> Result<NoteWave, SoundError> {
    let font = TinyFont::of(vec![0; 10], 44_100, 60).open();
    let instrument = Instrument { bank: 0, program: 0 };
    let preset = Preset::new(&font.regions(instrument).unwrap(), SampleRate::Hz44100);
    let envelope = preset.key(60).unwrap().strands[0].envelope.clone();
    move |blocks| {
        let sound = Sound::Mono {
            samples: BlockFloat::of(&vec![0.0; samples], &vec![1.0; samples]),
            left: 1.0,
            right: 1.0,
        };
        Ok(NoteWave { sound, levels: Held::new(&envelope, 0).kept(0), blocks })
    }
}

fn weight(samples: usize) -> usize {
    wave(samples)(1).unwrap().bytes()
}

#[test]
fn a_note_is_made_once_and_again_only_to_be_longer() {
    let store = NoteStore::new(StoreBudget(100_000));
    let made = AtomicUsize::new(0);
    let get = |blocks| {
        store
            .get(key(60), blocks, blocks, |blocks| {
                made.fetch_add(1, Ordering::Relaxed);
                wave(10)(blocks)
            })
            .unwrap()
    };
    assert_eq!(get(10).blocks, STEP);
    get(STEP);
    assert_eq!(made.load(Ordering::Relaxed), 1);
    assert_eq!(get(STEP + 1).blocks, 2 * STEP);
    get(10);
    assert_eq!(made.load(Ordering::Relaxed), 2);
    assert_eq!(store.entries().bytes, weight(10), "the shorter one is gone");
}

#[test]
fn the_least_recently_used_goes_first_and_the_budget_is_kept() {
    let store = NoteStore::new(StoreBudget(3 * weight(10) + 5));
    for pitch in [1, 2, 3] {
        store.get(key(pitch), 1, 1, wave(10)).unwrap();
    }
    store.get(key(1), 1, 1, |_| panic!("it is kept")).unwrap();
    store.get(key(4), 1, 1, wave(10)).unwrap();
    assert_eq!(store.entries().bytes, 3 * weight(10));
    store.get(key(1), 1, 1, |_| panic!("it was used last but one")).unwrap();
    let mut again = false;
    store
        .get(key(2), 1, 1, |blocks| {
            again = true;
            wave(10)(blocks)
        })
        .unwrap();
    assert!(again, "2 was the least recently used");
    store.get(key(5), 1, 1, wave(100_000)).unwrap();
    assert_eq!(store.entries().bytes, 0, "what is larger than the budget is not kept");
}

#[test]
fn threads_that_want_the_same_note_share_one() {
    let store = NoteStore::new(StoreBudget(100_000));
    let made = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..8 {
            scope.spawn(|| {
                store.get(key(60), 5, 5, |blocks| {
                    made.fetch_add(1, Ordering::Relaxed);
                    std::thread::yield_now();
                    wave(10)(blocks)
                })
            });
        }
    });
    assert_eq!(made.load(Ordering::Relaxed), 1);
}

#[test]
fn a_note_that_fails_can_be_tried_again() {
    let store = NoteStore::new(StoreBudget(100_000));
    let failing = |_| Err(SoundError::Damaged("a test".to_owned()));
    assert!(store.get(key(60), 5, 5, failing).is_err());
    assert!(store.get(key(60), 5, 5, wave(10)).is_ok());
}
