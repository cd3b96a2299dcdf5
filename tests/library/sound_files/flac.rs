//! FLAC files.

use std::io::Cursor;

use countoff::codec::flac::FlacDepth;
use countoff::codec::wav::SampleFormat;
use countoff::deliver::{DeliverError, FileFormat, encoder};
use countoff::units::SampleRate;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatReader, SeekMode, SeekTo, TrackType};
use symphonia::core::io::MediaSourceStream;
use symphonia::core::units::Timestamp;

use super::{encoded, encoded_wave, sound, wave};

/// The two depths, and the WAV format with the same samples.
const DEPTHS: [(FlacDepth, SampleFormat); 2] =
    [(FlacDepth::Sixteen, SampleFormat::Int16), (FlacDepth::TwentyFour, SampleFormat::Int24)];

fn opened(bytes: Vec<u8>) -> Box<dyn FormatReader> {
    let stream = MediaSourceStream::new(Box::new(Cursor::new(bytes)), Default::default());
    let mut hint = Hint::new();
    hint.with_extension("flac");
    symphonia::default::get_probe()
        .probe(&hint, stream, Default::default(), Default::default())
        .unwrap()
}

/// The samples from where the reader is, in turn left and right, and whether the MD5 in the file
/// is theirs (where everything was read).
fn samples(reader: &mut Box<dyn FormatReader>, bits: u32) -> (Vec<i32>, Option<bool>) {
    let track = reader.default_track(TrackType::Audio).unwrap();
    let parameters = track.codec_params.as_ref().unwrap().audio().unwrap().clone();
    let mut options = symphonia::core::codecs::audio::AudioDecoderOptions::default();
    options.verify = true;
    let mut decoder =
        symphonia::default::get_codecs().make_audio_decoder(&parameters, &options).unwrap();
    let (mut all, mut block) = (Vec::new(), Vec::<i32>::new());
    while let Some(packet) = reader.next_packet().unwrap() {
        decoder.decode(&packet).unwrap().copy_to_vec_interleaved(&mut block);
        // Samples stand at the top of their 32 bits.
        all.extend(block.iter().map(|sample| sample >> (32 - bits)));
    }
    (all, decoder.finalize().verify_ok)
}

fn wav_samples(bytes: Vec<u8>) -> Vec<i32> {
    hound::WavReader::new(Cursor::new(bytes)).unwrap().samples().map(Result::unwrap).collect()
}

#[test]
fn every_sample_is_that_of_the_wav_file() {
    for rate in [SampleRate::Hz44100, SampleRate::Hz48000] {
        for (depth, format) in DEPTHS {
            // Less than a block, as little as can be; a block; several and a rest.
            for frames in [1, 2, 15, 16, 1_001, 4_096, 4_097, 3 * 4_096 + 17] {
                let sound = sound(frames, rate);
                let mut flac = opened(encoded(&sound, FileFormat::Flac(depth)));
                let wav = wav_samples(encoded(&sound, FileFormat::Wav(format)));
                let track = flac.default_track(TrackType::Audio).unwrap();
                let parameters = track.codec_params.as_ref().unwrap().audio().unwrap();
                assert_eq!(parameters.sample_rate, Some(rate.hz()));
                assert_eq!(parameters.bits_per_sample, Some(u32::from(depth.bits())));
                let (samples, md5) = samples(&mut flac, u32::from(depth.bits()));
                assert!(samples == wav, "{depth:?}, {frames} frames");
                assert_eq!(md5, Some(true), "{depth:?}, {frames} frames: the hash in the file");
            }
        }
    }
}

/// What is hard to predict: silence, full scale, noise, single strokes, channels alike and opposed.
#[test]
fn waves_of_every_kind_come_back_to_the_bit() {
    let noise = |seed: u32| {
        let mut state = seed;
        let next = move |_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            #[expect(clippy::cast_possible_truncation, reason = "noise, whatever its rounding")]
            let single = f64::from(state) as f32;
            single / 2_147_483_648.0 - 1.0
        };
        (0..9_000).map(next).collect::<Vec<f32>>()
    };
    let silence = vec![0.0; 9_000];
    let full = vec![1.0; 9_000];
    let square: Vec<f32> =
        (0..9_000).map(|frame| if frame % 100 < 50 { 1.0 } else { -1.0 }).collect();
    let opposed: Vec<f32> = square.iter().map(|sample| -sample).collect();
    let strokes: Vec<f32> =
        (0..9_000).map(|frame| if frame % 1_000 == 7 { 0.9 } else { 0.0 }).collect();
    let waves = [
        [silence.clone(), silence.clone()],
        [full.clone(), silence],
        [square.clone(), opposed],
        [noise(1), noise(2)],
        [strokes, full],
        [noise(3), square],
    ];
    for (number, wave) in waves.iter().enumerate() {
        for (depth, format) in DEPTHS {
            let sound = sound(9_000, SampleRate::Hz44100);
            let bytes = encoded_wave(&sound, FileFormat::Flac(depth), wave);
            let most = 9_000 * 2 * usize::from(depth.bits()) / 8 + 1_000;
            assert!(bytes.len() <= most, "wave {number}, {depth:?}: {} bytes", bytes.len());
            let mut flac = opened(bytes);
            let wav = wav_samples(encoded_wave(&sound, FileFormat::Wav(format), wave));
            let (samples, md5) = samples(&mut flac, u32::from(depth.bits()));
            assert!(samples == wav && md5 == Some(true), "wave {number}, {depth:?}");
        }
    }
}

/// The Xiph field names, and chapters after the Xiph chapter extension.
#[test]
fn tags_and_markers_are_read_back() {
    let bytes = encoded(&sound(1_001, SampleRate::Hz44100), FileFormat::Flac(FlacDepth::Sixteen));
    // symphonia 0.6 keeps the chapters of a FLAC file to itself; ffprobe reads them in
    // tests/outside.
    let text = String::from_utf8_lossy(&bytes[..1_024]);
    for chapter in ["CHAPTER001=00:00:00.002", "CHAPTER001NAME=chorus 1", "CHAPTER002NAME=A"] {
        assert!(text.contains(chapter), "{chapter} in {text}");
    }
    let mut reader = opened(bytes);
    let mut metadata = reader.metadata();
    let revision = metadata.skip_to_latest().unwrap();
    let tag = |key: &str| {
        let tags = &revision.media.tags;
        let found = tags.iter().find(|tag| tag.raw.key.eq_ignore_ascii_case(key));
        found.map(|tag| tag.raw.value.to_string())
    };
    for (key, text) in [
        ("TITLE", "Band, chorus of Ärger"),
        ("ALBUM", "The minor cadence"),
        ("ARTIST", "Ada Quill"),
        ("COPYRIGHT", "Copyright 2026 Ada Quill"),
        ("DATE", "2026"),
        ("TRACKNUMBER", "2"),
        ("TRACKTOTAL", "8"),
        ("INITIALKEY", "Gm"),
        ("BPM", "80"),
        ("LOOPSTART", "0"),
        ("LOOPLENGTH", "1001"),
    ] {
        assert_eq!(tag(key).as_deref(), Some(text), "{key}");
    }
}

/// A seek table that led astray would give other samples.
#[test]
fn a_player_that_jumps_lands_where_it_should() {
    let frames = 35 * 44_100;
    let sound = sound(frames, SampleRate::Hz44100);
    let wave = wave(frames);
    let bytes = encoded_wave(&sound, FileFormat::Flac(FlacDepth::Sixteen), &wave);
    let wav = wav_samples(encoded_wave(&sound, FileFormat::Wav(SampleFormat::Int16), &wave));
    // The second metadata block is the seek table (RFC 9639, 8.5): points of 18 bytes.
    assert_eq!(bytes[42], 3);
    let length = usize::from(bytes[44]) * 256 + usize::from(bytes[45]);
    let points: Vec<u64> = bytes[46..46 + length]
        .chunks_exact(18)
        .map(|point| u64::from_be_bytes(point[..8].try_into().unwrap()))
        .collect();
    let nearest = |seconds: u64| seconds * 44_100 / 4_096 * 4_096;
    assert_eq!(points, [nearest(0), nearest(10), nearest(20), nearest(30)]);
    for second in [31, 10, 29, 0, 34] {
        let mut reader = opened(bytes.clone());
        let track_id = reader.default_track(TrackType::Audio).unwrap().id;
        let ts = Timestamp::from(second * 44_100);
        let landed = reader.seek(SeekMode::Accurate, SeekTo::Timestamp { ts, track_id }).unwrap();
        let first = usize::try_from(landed.actual_ts.get()).unwrap();
        let (samples, _) = samples(&mut reader, 16);
        assert!(samples == wav[2 * first..], "from second {second}");
    }
}

#[test]
fn a_file_that_gets_other_frames_than_announced_is_not_finished() {
    let sound = sound(1_000, SampleRate::Hz44100);
    let format = FileFormat::Flac(FlacDepth::Sixteen);
    let mut file = encoder(format, &sound, Cursor::new(Vec::new())).unwrap();
    file.write_block(&[0.0; 10], &[0.0; 10]).unwrap();
    assert!(file.finish().is_err());
    // 36 bits of frames are the most that the format counts.
    let endless = super::sound(1 << 36, SampleRate::Hz44100);
    assert!(matches!(endless.fits(format), Err(DeliverError::TooLongForFlac(_))));
}
