//! The sound files of one mix, written side by side.

use std::io::{BufWriter, Error};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::deliver::{
    AtomicFile, DeliverError, Encoder, Folder, Hashed, LevelPicture, SoundFile, encoder,
};
use crate::mix::BlockSink;
use crate::plan::SoundPlan;
use crate::units::Frames;

/// Bytes gathered before they go to the system. What is gathered already, as a WAV file is, goes there
/// without being copied.
const WRITE_BUFFER: usize = 1 << 15;

/// Takes the frames of one mix into a file for each format that is to be made; none where all are
/// there already, since other mixes may still need its take to be played.
pub(super) struct MixFiles<'a> {
    files: Vec<OpenFile<'a>>,
    picture: LevelPicture,
    /// Frames of the take that are yet to go by before the files begin.
    before: u64,
    folder: &'a Folder,
    stop: &'a AtomicBool,
}

/// A file on its way.
struct OpenFile<'a> {
    sound: &'a SoundPlan,
    encoder: Box<dyn Encoder<BufWriter<Hashed<AtomicFile>>>>,
}

/// A file that is written, but not yet in its place.
pub(super) struct Written<'a> {
    pub(super) sound: &'a SoundPlan,
    pub(super) file: AtomicFile,
    /// BLAKE3 of the content, in hexadecimal digits.
    pub(super) hash: String,
    /// How loud it is over time.
    pub(super) picture: String,
}

impl<'a> MixFiles<'a> {
    /// Begins the files of a mix.
    pub(super) fn begin(
        folder: &'a Folder,
        sounds: impl Iterator<Item = &'a SoundPlan>,
        content: &SoundFile,
        before: Frames,
        stop: &'a AtomicBool,
    ) -> Result<MixFiles<'a>, DeliverError> {
        let mut files = Vec::new();
        for sound in sounds {
            content.fits(sound.format)?;
            let out = folder.create(Path::new(&sound.path))?;
            let out = if sound.format.goes_back() { out.kept_at_hand() } else { out };
            let out = BufWriter::with_capacity(WRITE_BUFFER, Hashed::new(out));
            files.push(OpenFile { sound, encoder: encoder(sound.format, content, out)? });
        }
        let picture = LevelPicture::new(content.frames.0);
        Ok(MixFiles { files, picture, before: before.0, folder, stop })
    }

    /// Ends the files.
    pub(super) fn finish(self) -> Result<Vec<Written<'a>>, DeliverError> {
        let picture = self.picture.letters();
        let finish = |file: OpenFile<'a>| {
            let failed =
                |source| DeliverError::write(self.folder.root().join(&file.sound.path), source);
            let out = file.encoder.finish().map_err(failed)?;
            let hashed = out.into_inner().map_err(|error| failed(error.into_error()))?;
            let (out, hash) = hashed.finish().map_err(failed)?;
            Ok(Written { sound: file.sound, file: out, hash, picture: picture.clone() })
        };
        self.files.into_iter().map(finish).collect()
    }
}

impl BlockSink for MixFiles<'_> {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()> {
        if self.stop.load(Ordering::Relaxed) {
            return Err(Error::from(std::io::ErrorKind::Interrupted));
        }
        let passing = usize::try_from(self.before).map_or(left.len(), |all| all.min(left.len()));
        self.before -= passing as u64;
        let (left, right) = (&left[passing..], &right[passing..]);
        self.picture.add(left, right);
        for file in &mut self.files {
            file.encoder.write_block(left, right).map_err(|source| {
                let path = self.folder.root().join(&file.sound.path);
                Error::other(DeliverError::write(path, source))
            })?;
        }
        Ok(())
    }
}
