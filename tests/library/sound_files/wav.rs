//! WAV files read back by readers that know nothing of ours.

use std::io::{Cursor, ErrorKind, Seek, SeekFrom, Write};

use countoff::codec::wav::{SampleFormat, WavHead};
use countoff::deliver::{DeliverError, FileFormat, SoundFile, encoder};
use countoff::units::{Frames, SampleRate};
use symphonia::core::formats::probe::Hint;
use symphonia::core::io::MediaSourceStream;

use super::{encoded, sound, wave};

const FORMATS: [SampleFormat; 3] =
    [SampleFormat::Int16, SampleFormat::Int24, SampleFormat::Float32];

fn written(sound: &SoundFile, format: SampleFormat) -> Vec<u8> {
    encoded(sound, FileFormat::Wav(format))
}

/// The content of a chunk; `list` names the kind of a `LIST`.
fn chunk<'a>(bytes: &'a [u8], id: &[u8; 4], list: Option<&[u8; 4]>) -> &'a [u8] {
    assert_eq!((&bytes[..4], &bytes[8..12]), (&b"RIFF"[..], &b"WAVE"[..]));
    assert_eq!(u32::from_le_bytes(bytes[4..8].try_into().unwrap()) as usize, bytes.len() - 8);
    let mut at = 12;
    while at < bytes.len() {
        let size = u32::from_le_bytes(bytes[at + 4..at + 8].try_into().unwrap()) as usize;
        let content = &bytes[at + 8..at + 8 + size];
        if &bytes[at..at + 4] == id && list.is_none_or(|kind| content.starts_with(kind)) {
            return content;
        }
        at += 8 + size + size % 2;
    }
    panic!("no {} chunk", String::from_utf8_lossy(id));
}

fn numbers(bytes: &[u8]) -> Vec<u32> {
    bytes.chunks_exact(4).map(|four| u32::from_le_bytes(four.try_into().unwrap())).collect()
}

#[test]
fn hound_reads_every_format_and_the_samples_are_those_written() {
    for rate in [SampleRate::Hz44100, SampleRate::Hz48000] {
        for format in FORMATS {
            let bytes = written(&sound(1_001, rate), format);
            let mut reader = hound::WavReader::new(Cursor::new(bytes)).unwrap();
            let spec = reader.spec();
            assert_eq!((spec.channels, spec.sample_rate), (2, rate.hz()));
            assert_eq!(spec.bits_per_sample, format.bits());
            assert_eq!(reader.duration(), 1_001);
            let [left, right] = wave(1_001);
            let both = left.iter().zip(&right).flat_map(|(left, right)| [*left, *right]);
            let full = f64::from(1_u32 << (format.bits() - 1));
            let read: Vec<f64> = if format == SampleFormat::Float32 {
                reader.samples::<f32>().map(|sample| f64::from(sample.unwrap())).collect()
            } else {
                reader.samples::<i32>().map(|sample| f64::from(sample.unwrap()) / full).collect()
            };
            // Dither and rounding: one step and a half; rounding alone, half a step.
            let step = match format {
                SampleFormat::Int16 => 1.5 / full,
                SampleFormat::Int24 => 0.5001 / full,
                SampleFormat::Float32 => 0.0,
            };
            for (read, written) in read.iter().zip(both) {
                assert!((read - f64::from(written)).abs() <= step, "{format:?}");
            }
        }
    }
}

#[test]
fn symphonia_reads_every_format() {
    for format in FORMATS {
        let bytes = written(&sound(1_001, SampleRate::Hz44100), format);
        let stream = MediaSourceStream::new(Box::new(Cursor::new(bytes)), Default::default());
        let mut hint = Hint::new();
        hint.with_extension("wav");
        let reader = symphonia::default::get_probe()
            .probe(&hint, stream, Default::default(), Default::default())
            .unwrap();
        let track = reader.tracks().first().unwrap();
        let parameters = track.codec_params.as_ref().unwrap().audio().unwrap();
        assert_eq!(parameters.sample_rate, Some(44_100));
        assert_eq!(track.num_frames, Some(1_001), "{format:?}");
    }
}

/// `tests/facts/standards.tsv`, rows RIFF: the layout of `cue `, its labels and `smpl`.
#[test]
fn markers_and_loops_are_laid_out_as_the_format_says() {
    for (rate, period) in [(SampleRate::Hz44100, 22_675), (SampleRate::Hz48000, 20_833)] {
        let bytes = written(&sound(1_001, rate), SampleFormat::Int16);
        let cue = chunk(&bytes, b"cue ", None);
        assert_eq!(cue.len(), 4 + 24 * 3);
        let data = u32::from_le_bytes(*b"data");
        assert_eq!(numbers(cue)[..7], [3, 1, 0, data, 0, 0, 0]);
        assert_eq!(numbers(cue)[7..13], [2, 100, data, 0, 0, 100]);
        let labels = chunk(&bytes, b"LIST", Some(b"adtl"));
        assert_eq!(&labels[4..8], b"labl");
        assert_eq!(numbers(&labels[8..16]), [13, 1]);
        assert_eq!(&labels[16..26], b"count-in\0\0");
        let smpl = numbers(chunk(&bytes, b"smpl", None));
        assert_eq!(smpl, [0, 0, period, 60, 0, 0, 0, 1, 0, 0, 0, 0, 1_000, 0, 0]);
    }
}

#[test]
fn tags_are_read_back() {
    let bytes = written(&sound(10, SampleRate::Hz44100), SampleFormat::Int16);
    let tag = id3::Tag::read_from2(Cursor::new(chunk(&bytes, b"id3 ", None))).unwrap();
    use id3::TagLike;
    assert_eq!(tag.title(), Some("Band, chorus of Ärger"));
    assert_eq!((tag.artist(), tag.album()), (Some("Ada Quill"), Some("The minor cadence")));
    assert_eq!((tag.track(), tag.total_tracks(), tag.year()), (Some(2), Some(8), Some(2026)));
    let text = |id: &str| tag.get(id).and_then(|frame| frame.content().text().map(str::to_owned));
    assert_eq!((text("TKEY").as_deref(), text("TBPM").as_deref()), (Some("Gm"), Some("80")));
    let info = chunk(&bytes, b"LIST", Some(b"INFO"));
    let info = String::from_utf8_lossy(info);
    for text in ["INAM", "Band, chorus of Ärger\0", "ICOP", "ITRK", "key Gm, 80 beats per minute"]
    {
        assert!(info.contains(text), "{text} in {info}");
    }
}

/// RIFF counts bytes in 32 bits.
#[test]
fn more_than_four_gigabytes_are_refused_before_work_begins() {
    let hours = |hours: u64| sound(hours * 3_600 * 44_100, SampleRate::Hz44100);
    let size = |hours_long: u64, format| hours(hours_long).fits(FileFormat::Wav(format));
    assert!(size(6, SampleFormat::Int16).is_ok());
    assert!(size(4, SampleFormat::Int24).is_ok());
    for (hours, format) in [(7, SampleFormat::Int16), (4, SampleFormat::Float32)] {
        let error = size(hours, format).unwrap_err();
        assert!(matches!(error, DeliverError::TooLong(_)), "{error}");
        assert!(error.to_string().contains("4,294,967,295"), "{error}");
    }
    let endless = WavHead { frames: Frames(u64::MAX), ..WavHead::default() };
    assert!(endless.file_size().is_err() && endless.to_bytes().is_err());
}

/// A disk with room for so many bytes.
struct SmallDisk {
    left: usize,
    written: Cursor<Vec<u8>>,
}

impl Write for SmallDisk {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        if self.left == 0 {
            return Err(ErrorKind::StorageFull.into());
        }
        let taken = bytes.len().min(self.left);
        self.left -= taken;
        self.written.write(&bytes[..taken])
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

impl Seek for SmallDisk {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.written.seek(to)
    }
}

#[test]
fn a_full_disk_is_an_error_wherever_it_fills_up() {
    let sound = sound(1_001, SampleRate::Hz44100);
    let size = written(&sound, SampleFormat::Int24).len();
    for left in 0..size {
        let disk = SmallDisk { left, written: Cursor::new(Vec::new()) };
        let result =
            encoder(FileFormat::Wav(SampleFormat::Int24), &sound, disk).and_then(|mut file| {
                let [left, right] = wave(1_001);
                file.write_block(&left, &right)
                    .and_then(|()| file.finish())
                    .map(drop)
                    .map_err(|source| DeliverError::write(&sound.name, source))
            });
        assert!(matches!(result, Err(DeliverError::Full { .. })), "room for {left} of {size}");
    }
}

#[test]
fn a_file_that_gets_other_frames_than_announced_is_not_finished() {
    let sound = sound(1_000, SampleRate::Hz44100);
    let mut file = encoder(FileFormat::default(), &sound, Cursor::new(Vec::new())).unwrap();
    file.write_block(&[0.0; 10], &[0.0; 10]).unwrap();
    assert!(file.finish().is_err());
}
