#![allow(warnings)]
use countoff::mix::*;
use std::time::Instant;
fn main() {
    let seconds = 180;
    let frames = 44100 * seconds;
    // pseudo music: decaying sine bursts + noise
    let mut left = vec![0f32; frames];
    let mut right = vec![0f32; frames];
    let mut state = 1u32;
    for (i, (l, r)) in left.iter_mut().zip(&mut right).enumerate() {
        let t = (i % 16000) as f32 / 44100.0;
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        let noise = (state as i32 as f32) / 2147483648.0;
        let v = (-6.0 * t).exp()
            * ((t * 220.0 * 6.283).sin() * 0.3 + (t * 880.0 * 6.283).sin() * 0.1)
            + noise * 0.25 * (-60.0 * t).exp();
        *l = v;
        *r = v * 0.8;
    }
    let time = |name: &str, mut f: Box<dyn FnMut() -> String + '_>| {
        let mut best = f64::MAX;
        let mut s = String::new();
        for _ in 0..5 {
            let t = Instant::now();
            s = f();
            best = best.min(t.elapsed().as_secs_f64());
        }
        println!("{name:24} {best:.4} s  {s}");
    };
    time(
        "loudness",
        Box::new(|| {
            let mut m = LoudnessMeter::new(Default::default());
            for (l, r) in left.chunks(4096).zip(right.chunks(4096)) {
                m.add(l, r);
            }
            format!("{:?}", m.integrated())
        }),
    );
    time(
        "true peak",
        Box::new(|| {
            let mut m = TruePeakMeter::new();
            for (l, r) in left.chunks(4096).zip(right.chunks(4096)) {
                m.add(l, r);
            }
            format!("{:?}", 20.0 * m.finish().log10())
        }),
    );
    for gain in [0.5f32, 1.0, 1.8] {
        let mut share = 0.0;
        time(
            &format!("limiter {gain}"),
            Box::new(|| {
                let mut m = Limiter::new(countoff::units::Decibels(-1.1));
                let mut a = vec![0f32; 4096];
                let mut b = vec![0f32; 4096];
                for (l, r) in left.chunks_exact(4096).zip(right.chunks_exact(4096)) {
                    for (x, y) in a.iter_mut().zip(l) {
                        *x = y * gain;
                    }
                    for (x, y) in b.iter_mut().zip(r) {
                        *x = y * gain;
                    }
                    m.limit(&mut a, &mut b);
                }
                format!("{:?} share {}", m.report(), m.report().frames.0 as f64 / frames as f64)
            }),
        );
    }
    time(
        "dither bytes",
        Box::new(|| {
            let mut m = Dither::named("x");
            let mut bytes = Vec::new();
            for (l, r) in left.chunks(4096).zip(right.chunks(4096)) {
                bytes.clear();
                m.stereo_bytes(l, r, &mut bytes);
            }
            format!("{}", bytes.len())
        }),
    );
    time(
        "int24",
        Box::new(|| {
            let mut bytes = Vec::new();
            for (l, r) in left.chunks(4096).zip(right.chunks(4096)) {
                bytes.clear();
                for (a, b) in l.iter().zip(r) {
                    bytes.extend_from_slice(&to_int24(*a));
                    bytes.extend_from_slice(&to_int24(*b));
                }
            }
            format!("{}", bytes.len())
        }),
    );
    time(
        "ebur128",
        Box::new(|| {
            let mut meter =
                ebur128::EbuR128::new(2, 44100, ebur128::Mode::I | ebur128::Mode::TRUE_PEAK)
                    .unwrap();
            let mut both = Vec::new();
            for (l, r) in left.chunks(4096).zip(right.chunks(4096)) {
                both.clear();
                for (a, b) in l.iter().zip(r) {
                    both.push(*a);
                    both.push(*b);
                }
                meter.add_frames_f32(&both).unwrap();
            }
            format!(
                "{} {}",
                meter.loudness_global().unwrap(),
                20.0 * meter.true_peak(0).unwrap().log10()
            )
        }),
    );
}
