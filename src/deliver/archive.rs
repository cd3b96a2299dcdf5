//! Many files as one `.zip`.

use std::io::{Error, Read, Seek, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// Endings of files that are compressed within the archive; sound is stored as it is, since it
/// would shrink little and cost much time.
const TEXTS: [&str; 6] = ["mid", "csv", "json", "html", "musicxml", "txt"];

/// Writes files into an archive, in the order in which they are added. The same files give the
/// same bytes: every file carries the format's first day, 1 January 1980, and plain permissions.
#[derive(Debug)]
pub struct Archive<W: Write + Seek> {
    zip: ZipWriter<W>,
    folder: String,
}

impl<W: Write + Seek> Archive<W> {
    /// An archive whose files all lie in one folder, so that they do not scatter when they are
    /// unpacked.
    pub fn begin(out: W, folder: &str) -> Archive<W> {
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
        self.zip.start_file(name, options).map_err(Error::other)?;
        std::io::copy(&mut content, &mut self.zip)?;
        Ok(())
    }

    /// Ends the archive and gives the writer back.
    ///
    /// # Errors
    /// The list of its files cannot be written.
    pub fn finish(self) -> std::io::Result<W> {
        self.zip.finish().map_err(Error::other)
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
