//! What the store keeps, and for how long.

use std::sync::atomic::{AtomicUsize, Ordering};

use super::*;
use crate::part::Instrument;

fn key(key: u8) -> NoteKey {
    let instrument = Instrument { bank: 0, program: 0 };
    NoteKey { instrument, key, layer: 0, velocity: None, release_block: None }
}

fn wave(bytes: usize) -> impl Fn(usize) -> Result<NoteWave, SoundError> {
    move |blocks| Ok(NoteWave { layers: Vec::new(), blocks, bytes })
}

#[test]
fn a_note_is_made_once_and_again_only_to_be_longer() {
    let store = NoteStore::new(StoreBudget(1_000));
    let made = AtomicUsize::new(0);
    let get = |blocks| {
        store
            .get(key(60), blocks, |blocks| {
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
    assert_eq!(store.bytes(), 10, "the shorter one is gone");
}

#[test]
fn the_least_recently_used_goes_first_and_the_budget_is_kept() {
    let store = NoteStore::new(StoreBudget(35));
    for pitch in [1, 2, 3] {
        store.get(key(pitch), 1, wave(10)).unwrap();
    }
    store.get(key(1), 1, |_| panic!("it is kept")).unwrap();
    store.get(key(4), 1, wave(10)).unwrap();
    assert_eq!(store.bytes(), 30);
    store.get(key(1), 1, |_| panic!("it was used last but one")).unwrap();
    let mut again = false;
    store
        .get(key(2), 1, |blocks| {
            again = true;
            wave(10)(blocks)
        })
        .unwrap();
    assert!(again, "2 was the least recently used");
    store.get(key(5), 1, wave(1_000)).unwrap();
    assert_eq!(store.bytes(), 0, "what is larger than the budget is not kept");
}

#[test]
fn threads_that_want_the_same_note_share_one() {
    let store = NoteStore::new(StoreBudget(1_000));
    let made = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..8 {
            scope.spawn(|| {
                store.get(key(60), 5, |blocks| {
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
    let store = NoteStore::new(StoreBudget(1_000));
    let failing = |_| Err(SoundError::Damaged("a test".to_owned()));
    assert!(store.get(key(60), 5, failing).is_err());
    assert!(store.get(key(60), 5, wave(10)).is_ok());
}
