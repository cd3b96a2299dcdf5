//! The samples themselves: no seams, no offset, no cut ends.

use super::listen::font;
use super::none;
use rustysynth::LoopMode;
use std::collections::BTreeSet;

/// Numbers of the samples that are played looped (or not).
fn samples(looped: bool) -> BTreeSet<usize> {
    let font = font();
    font.get_instruments()
        .iter()
        .flat_map(|instrument| instrument.get_regions())
        .filter(|region| (region.get_sample_modes() != LoopMode::NoLoop) == looped)
        .map(|region| region.get_sample_id())
        .collect()
}

fn at(position: i32) -> usize {
    usize::try_from(position).unwrap()
}

/// Bend of the wave at the joint against the sharpest bend within the loop.
#[test]
fn loops_have_no_seam() {
    let font = font();
    let mut found = Vec::new();
    for id in samples(true) {
        let header = &font.get_sample_headers()[id];
        let (start, end) = (at(header.get_start_loop()), at(header.get_end_loop()));
        let wave: Vec<f64> =
            font.get_wave_data()[start..end].iter().map(|&x| f64::from(x)).collect();
        let bend = |a: f64, b: f64, c: f64| (a - 2.0 * b + c).abs();
        let inside = wave.windows(3).map(|w| bend(w[0], w[1], w[2])).fold(0.0, f64::max);
        let last = wave.len() - 1;
        let joint =
            bend(wave[last - 1], wave[last], wave[0]).max(bend(wave[last], wave[0], wave[1]));
        if joint > 1.05 * inside {
            found.push(format!("{}: {:.2} of the loop's own", header.get_name(), joint / inside));
        }
    }
    none(&found);
}

#[test]
fn samples_have_no_offset() {
    let font = font();
    let mut found = Vec::new();
    for header in font.get_sample_headers() {
        let wave = &font.get_wave_data()[at(header.get_start())..at(header.get_end())];
        if wave.is_empty() {
            continue;
        }
        let length = wave.len() as f64;
        let mean = wave.iter().map(|&x| f64::from(x)).sum::<f64>() / length;
        let rms = (wave.iter().map(|&x| f64::from(x).powi(2)).sum::<f64>() / length).sqrt();
        let level = 20.0 * (mean.abs() / rms).max(1e-9).log10();
        if level > -45.0 {
            found.push(format!("{}: offset {level:.1} dB", header.get_name()));
        }
    }
    none(&found);
}

/// The last 2 ms of a sound that is not looped.
#[test]
fn one_shots_end_in_silence() {
    let font = font();
    let mut found = Vec::new();
    for id in samples(false) {
        let header = &font.get_sample_headers()[id];
        let end = at(header.get_end());
        let tail = at(header.get_sample_rate()) / 500;
        let peak =
            font.get_wave_data()[end - tail..end].iter().map(|x| x.unsigned_abs()).max().unwrap();
        let level = 20.0 * (f64::from(peak) / 32_768.0).max(1e-9).log10();
        if level > -75.0 {
            found.push(format!("{}: ends at {level:.1} dBFS", header.get_name()));
        }
    }
    none(&found);
}

/// Silence that interpolators may read after each sample (specification 7.10).
#[test]
fn samples_are_followed_by_silence() {
    let font = font();
    for header in font.get_sample_headers() {
        let end = at(header.get_end());
        let after = &font.get_wave_data()[end..(end + 46).min(font.get_wave_data().len())];
        assert!(after.iter().all(|&x| x == 0), "{}", header.get_name());
    }
}
