//! What a sound file says of itself.

use id3::TagLike;

use crate::codec::wav::Info;
use crate::theory::{Key, Mode};
use crate::units::Bpm;

/// The program that makes the files, as it is named in them.
pub(super) const SOFTWARE: &str = concat!("Countoff ", env!("CARGO_PKG_VERSION"));

/// What a sound file says of itself. Empty texts are left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tags {
    /// The track's title, such as "band, without bass".
    pub title: String,
    /// The lesson's title.
    pub album: String,
    /// Who teaches.
    pub teacher: String,
    /// The copyright line.
    pub copyright: String,
    /// The year, where the lesson says one: a clock would make every run different.
    pub year: Option<i32>,
    /// The track's number, and how many there are.
    pub track: Option<(u32, u32)>,
    /// The key, where there is only one.
    pub key: Option<Key>,
    /// The tempo, where there is only one.
    pub tempo: Option<Bpm>,
}

impl Tags {
    /// As texts of `LIST INFO`.
    #[must_use]
    pub fn info(&self) -> Vec<Info> {
        let track = self.track.map(|(number, _)| number.to_string()).unwrap_or_default();
        let year = self.year.map(|year| year.to_string()).unwrap_or_default();
        let texts = [
            (*b"INAM", self.title.clone()),
            (*b"IPRD", self.album.clone()),
            (*b"IART", self.teacher.clone()),
            (*b"ICOP", self.copyright.clone()),
            (*b"ICRD", year),
            (*b"ITRK", track),
            (*b"ICMT", self.comment()),
            (*b"ISFT", SOFTWARE.to_owned()),
        ];
        texts
            .into_iter()
            .filter(|(_, text)| !text.is_empty())
            .map(|(id, text)| Info { id, text })
            .collect()
    }

    /// As a whole ID3v2.3 tag, the version that most players and phones read.
    ///
    /// # Errors
    /// Where the tag cannot be encoded.
    pub fn id3(&self) -> Result<Vec<u8>, id3::Error> {
        encode_id3(&self.id3_tag())
    }

    /// The ID3 tag before it is encoded.
    pub(super) fn id3_tag(&self) -> id3::Tag {
        let mut tag = id3::Tag::new();
        let texts = [
            ("TIT2", self.title.clone()),
            ("TALB", self.album.clone()),
            ("TPE1", self.teacher.clone()),
            ("TCOP", self.copyright.clone()),
            ("TKEY", self.key.map(key_text).unwrap_or_default()),
            ("TBPM", self.tempo.map(|tempo| format!("{:.0}", tempo.get())).unwrap_or_default()),
            ("TSSE", SOFTWARE.to_owned()),
        ];
        for (id, text) in texts.into_iter().filter(|(_, text)| !text.is_empty()) {
            tag.set_text(id, text);
        }
        if let Some(year) = self.year {
            tag.set_year(year);
        }
        if let Some((number, total)) = self.track {
            tag.set_track(number);
            tag.set_total_tracks(total);
        }
        tag
    }

    /// Key and tempo in words, for readers that know no tags for them.
    pub(super) fn comment(&self) -> String {
        let key = self.key.map(|key| format!("key {key}"));
        let tempo = self.tempo.map(|tempo| format!("{tempo} beats per minute"));
        key.into_iter().chain(tempo).collect::<Vec<_>>().join(", ")
    }
}

/// A tag as bytes, an even number of them.
pub(super) fn encode_id3(tag: &id3::Tag) -> Result<Vec<u8>, id3::Error> {
    let encoder = || id3::Encoder::new().version(id3::Version::Id3v23);
    let mut bytes = Vec::new();
    encoder().encode(tag, &mut bytes)?;
    if bytes.len() % 2 == 1 {
        // RIFF pads odd chunks, which some readers (hound 3.5) forget to skip.
        bytes.clear();
        encoder().padding(1).encode(tag, &mut bytes)?;
    }
    Ok(bytes)
}

/// ID3 writes a key as its tonic with `b` or `#`, and `m` for minor: at most three characters.
pub(super) fn key_text(key: Key) -> String {
    let minor = if key.mode == Mode::Minor { "m" } else { "" };
    format!("{}{minor}", key.tonic)
}
