//! Many files as one `.zip`.

use std::io::{Error, Read, Seek, SeekFrom, Write};

use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// Endings of files that are compressed within the archive; sound is stored as it is, since it
/// would shrink little and cost much time.
const TEXTS: [&str; 7] = ["mid", "csv", "json", "html", "musicxml", "svg", "txt"];

/// Writes files into an archive, in the order in which they are added. The same files give the
/// same bytes: every file carries the format's first day, 1 January 1980, and plain permissions.
#[derive(Debug)]
pub struct Archive<W: Write + Seek> {
    zip: ZipWriter<FirstFailure<W>>,
    folder: String,
}

impl<W: Write + Seek> Archive<W> {
    /// An archive whose files all lie in one folder, so that they do not scatter when they are
    /// unpacked.
    pub fn begin(out: W, folder: &str) -> Archive<W> {
        let out = FirstFailure { out, at: 0, has_failed: false };
        Archive { zip: ZipWriter::new(out), folder: folder.to_owned() }
    }

    /// Adds a file of so many bytes under its path from the folder, with `/` between folders.
    ///
    /// # Errors
    /// It cannot be read, or the archive cannot be written.
    pub fn add(&mut self, path: &str, bytes: u64, mut content: impl Read) -> std::io::Result<()> {
        let is_text = path.rsplit_once('.').is_some_and(|(_, ending)| TEXTS.contains(&ending));
        let method = if is_text { CompressionMethod::Deflated } else { CompressionMethod::Stored };
        let options = SimpleFileOptions::default()
            .compression_method(method)
            .last_modified_time(DateTime::default())
            .unix_permissions(0o644)
            .large_file(bytes >= u64::from(u32::MAX));
        let name = format!("{}/{path}", self.folder);
        self.zip.start_file(name, options).map_err(failed)?;
        std::io::copy(&mut content, &mut self.zip)?;
        Ok(())
    }

    /// Ends the archive and gives the writer back.
    ///
    /// # Errors
    /// The list of its files cannot be written.
    pub fn finish(self) -> std::io::Result<W> {
        self.zip.finish().map(|first| first.out).map_err(failed)
    }
}

/// What the writer of archives says; what the disk says is not wrapped once more.
fn failed(error: ZipError) -> Error {
    match error {
        ZipError::Io(error) => error,
        error => Error::other(error),
    }
}

/// A writer that fails once and swallows what comes after. An archive that is given up is ended
/// all the same by the writer of archives, which would report every later failure on standard error.
#[derive(Debug)]
struct FirstFailure<W> {
    out: W,
    /// Where the next byte goes, or would go.
    at: u64,
    has_failed: bool,
}

impl<W> FirstFailure<W> {
    fn watch<T>(&mut self, result: std::io::Result<T>) -> std::io::Result<T> {
        let is_failure = |error: &Error| error.kind() != std::io::ErrorKind::Interrupted;
        self.has_failed |= result.as_ref().err().is_some_and(is_failure);
        result
    }
}

impl<W: Write> Write for FirstFailure<W> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let mut count = bytes.len();
        if !self.has_failed {
            let written = self.out.write(bytes);
            count = self.watch(written)?;
        }
        self.at = self.at.saturating_add(count as u64);
        Ok(count)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        if self.has_failed {
            return Ok(());
        }
        let flushed = self.out.flush();
        self.watch(flushed)
    }
}

impl<W: Seek> Seek for FirstFailure<W> {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.at = if self.has_failed {
            match to {
                SeekFrom::Start(at) => at,
                SeekFrom::Current(by) | SeekFrom::End(by) => self.at.saturating_add_signed(by),
            }
        } else {
            let place = self.out.seek(to);
            self.watch(place)?
        };
        Ok(self.at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    #[test]
    fn the_same_files_give_the_same_bytes_and_only_texts_are_compressed() {
        let made = || {
            let mut archive = Archive::begin(Cursor::new(Vec::new()), "set");
            archive.add("a/a.wav", 4_000, &[7_u8; 4_000][..]).unwrap();
            archive.add("a/a.mid", 4_000, &[7_u8; 4_000][..]).unwrap();
            archive.finish().unwrap().into_inner()
        };
        let bytes = made();
        assert!((4_000..4_600).contains(&bytes.len()), "{}", bytes.len());
        std::thread::sleep(std::time::Duration::from_millis(20));
        assert!(made() == bytes);
    }
}
