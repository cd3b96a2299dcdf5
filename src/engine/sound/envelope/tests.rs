//! The envelope alone; against the synthesiser it is measured with whole notes.

use super::*;

fn shape() -> EnvelopeShape {
    EnvelopeShape {
        delay: -12_000,
        attack: -12_000,
        hold: -12_000,
        hold_by_key: 0,
        decay: 1_200,
        decay_by_key: 0,
        sustain: 1_000,
        release: 0,
    }
}

#[test]
fn decay_and_release_fall_80_db_in_their_time() {
    let envelope = Envelope::new(&shape(), 60, SampleRate::Hz44100);
    // Decay: 2 s. After a quarter of it, 20 dB.
    let blocks = 44_100 / 2 / BLOCK;
    let fallen = 20.0 * (envelope.held(blocks + 2) / envelope.held(2)).log10();
    assert!((fallen + 20.0).abs() < 0.1, "{fallen}");
    // Release: 1 s. After a quarter of it, 20 dB.
    let blocks = 44_100 / 4 / BLOCK;
    let fallen = 20.0 * envelope.released(10 + blocks, 10, 1.0).log10();
    assert!((fallen + 20.0).abs() < 0.2, "{fallen}");
}

#[test]
fn an_envelope_ends_where_its_level_does() {
    for sustain in [0, 300, 1_440] {
        for release in [-12_000, -3_000, 0, 2_400] {
            let shape = EnvelopeShape { sustain, release, ..shape() };
            let envelope = Envelope::new(&shape, 60, SampleRate::Hz44100);
            for release_block in [2, 50, 700, 5_000] {
                let end = envelope.end(release_block);
                let from = envelope.held(release_block - 1);
                let level = |block: usize| {
                    if block < release_block {
                        envelope.held(block)
                    } else {
                        envelope.released(block, release_block, from)
                    }
                };
                assert!(level(end) <= 0.0, "{shape:?} let go at {release_block} ends at {end}");
                assert!(level(end - 1) > 0.0, "{shape:?} let go at {release_block} ends at {end}");
                assert!(end <= envelope.longest(usize::MAX - 1));
            }
        }
    }
}

#[test]
fn higher_keys_decay_faster_where_the_file_says_so() {
    let shape = EnvelopeShape { decay_by_key: 100, ..shape() };
    let low = Envelope::new(&shape, 36, SampleRate::Hz44100).held_end(100_000);
    let high = Envelope::new(&shape, 84, SampleRate::Hz44100).held_end(100_000);
    // 100 timecents a key: 48 keys are a factor of 2^(48 / 12) = 16.
    let ratio = low as f64 / high as f64;
    assert!((15.5..16.5).contains(&ratio), "{ratio}");
}
