//! Sound files read back by readers that know nothing of ours.

mod flac;
mod wav;

use std::io::Cursor;

use countoff::codec::wav::{Marker, SampleLoop};
use countoff::deliver::{FileFormat, SoundFile, Tags, encoder};
use countoff::theory::Key;
use countoff::units::{Bpm, Frames, SampleRate};

/// A file with everything that a file can say.
fn sound(frames: u64, rate: SampleRate) -> SoundFile {
    let marker = |at, label: &str| Marker { at: Frames(at), label: label.to_owned() };
    SoundFile {
        name: "02-band_g-minor_080".to_owned(),
        rate,
        frames: Frames(frames),
        tags: Tags {
            title: "Band, chorus of Ärger".to_owned(),
            album: "The minor cadence".to_owned(),
            teacher: "Ada Quill".to_owned(),
            copyright: "Copyright 2026 Ada Quill".to_owned(),
            year: Some(2026),
            track: Some((2, 8)),
            key: Some("Gm".parse::<Key>().unwrap()),
            tempo: Some(Bpm::new(80.0).unwrap()),
        },
        markers: vec![marker(0, "count-in"), marker(100, "chorus 1"), marker(200, "A")],
        sample_loop: Some(SampleLoop { from: Frames(0), to: Frames(frames) }),
    }
}

/// Two channels that differ.
fn wave(frames: u64) -> [Vec<f32>; 2] {
    let left = (0..frames).map(|frame| (frame as f32 * 0.05).sin() * 0.8).collect();
    let right = (0..frames).map(|frame| (frame as f32 * 0.07).cos() * 0.3).collect();
    [left, right]
}

/// The wave as a file's bytes, written in blocks of no particular length.
fn encoded(sound: &SoundFile, format: FileFormat) -> Vec<u8> {
    encoded_wave(sound, format, &wave(sound.frames.0))
}

fn encoded_wave(sound: &SoundFile, format: FileFormat, wave: &[Vec<f32>; 2]) -> Vec<u8> {
    sound.fits(format).unwrap();
    let mut file = encoder(format, sound, Cursor::new(Vec::new())).unwrap();
    let [left, right] = wave;
    for (left, right) in left.chunks(777).zip(right.chunks(777)) {
        file.write_block(left, right).unwrap();
    }
    file.finish().unwrap().into_inner()
}
