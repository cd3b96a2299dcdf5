//! Tags, markers and loops as Vorbis comments, which FLAC files carry.

use super::encoder::SoundFile;
use super::tags::key_text;
use crate::units::{Frames, SampleRate};

/// The chapter extension counts in three digits.
const MOST_CHAPTERS: usize = 1_000;

impl SoundFile {
    /// All that the file says of itself, as fields and texts.
    ///
    /// Field names: the Xiph recommendation "Ogg Vorbis comment field" for title, album, artist,
    /// copyright, date and track number; `TRACKTOTAL`, `BPM` and `INITIALKEY` as players have them
    /// by common practice. Markers are chapters after the Xiph "chapter extension", since a FLAC
    /// `CUESHEET` has numbers only, no names, and means the tracks of a disc. Loops are
    /// `LOOPSTART` and `LOOPLENGTH` in frames, common practice in samplers and games.
    pub(super) fn comments(&self) -> Vec<(String, String)> {
        let tags = &self.tags;
        let (number, total) = tags.track.unzip();
        let text = |number: Option<u32>| number.map(|n| n.to_string()).unwrap_or_default();
        let mut comments: Vec<(String, String)> = [
            ("TITLE", tags.title.clone()),
            ("ALBUM", tags.album.clone()),
            ("ARTIST", tags.teacher.clone()),
            ("COPYRIGHT", tags.copyright.clone()),
            ("DATE", tags.year.map(|year| year.to_string()).unwrap_or_default()),
            ("TRACKNUMBER", text(number)),
            ("TRACKTOTAL", text(total)),
            ("INITIALKEY", tags.key.map(key_text).unwrap_or_default()),
            ("BPM", tags.tempo.map(|tempo| tempo.to_string()).unwrap_or_default()),
            ("DESCRIPTION", tags.comment()),
        ]
        .into_iter()
        .filter(|(_, text)| !text.is_empty())
        .map(|(field, text)| (field.to_owned(), text))
        .collect();
        for (index, marker) in self.markers.iter().take(MOST_CHAPTERS).enumerate() {
            let field = format!("CHAPTER{index:03}");
            comments.push((field.clone(), timecode(marker.at, self.rate)));
            comments.push((format!("{field}NAME"), marker.label.clone()));
        }
        if let Some(sample_loop) = self.sample_loop {
            let length = sample_loop.to - sample_loop.from;
            comments.push(("LOOPSTART".to_owned(), sample_loop.from.0.to_string()));
            comments.push(("LOOPLENGTH".to_owned(), length.0.to_string()));
        }
        comments
    }
}

/// Hours, minutes, seconds and thousandths: `00:01:02.345`.
pub(super) fn timecode(at: Frames, rate: SampleRate) -> String {
    let hz = u64::from(rate.hz());
    // The nearest thousandth.
    let thousandths = (at.0.saturating_mul(1_000) + hz / 2) / hz;
    let (seconds, thousandths) = (thousandths / 1_000, thousandths % 1_000);
    let (minutes, seconds) = (seconds / 60, seconds % 60);
    format!("{:02}:{:02}:{seconds:02}.{thousandths:03}", minutes / 60, minutes % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn timecodes_are_to_the_nearest_thousandth() {
        let shown = |frames| timecode(Frames(frames), SampleRate::Hz44100);
        assert_eq!(shown(0), "00:00:00.000");
        assert_eq!(shown(512), "00:00:00.012");
        assert_eq!(shown(44_100 * 3_661 + 22_050), "01:01:01.500");
        assert_eq!(timecode(Frames(47_999), SampleRate::Hz48000), "00:00:01.000");
    }
}
