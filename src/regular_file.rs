//! Files that come in: only regular ones are opened, and only up to a size.
//!
//! A pipe without a writer would be waited for, and a device may never end.

use std::fs::{File, OpenOptions};
use std::io::{Error, ErrorKind, Read, Result};
use std::path::Path;

/// Opens a regular file, or one that a link leads to, for reading.
///
/// # Errors
/// It cannot be opened, or is something else: a folder, a pipe, a device.
pub(crate) fn open(path: &Path) -> Result<File> {
    let mut options = OpenOptions::new();
    options.read(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        // Without it, opening a pipe waits for somebody to write. For a regular file it means nothing.
        options.custom_flags(rustix::fs::OFlags::NONBLOCK.bits().cast_signed());
    }
    let file = options.open(path)?;
    let kind = file.metadata()?.file_type();
    if kind.is_file() {
        Ok(file)
    } else if kind.is_dir() {
        Err(Error::new(ErrorKind::IsADirectory, "it is a folder"))
    } else {
        Err(Error::new(ErrorKind::InvalidInput, "it is not a regular file"))
    }
}

/// Reads a regular file of no more than so many bytes.
///
/// # Errors
/// It cannot be read, is no regular file, or is larger ([`ErrorKind::FileTooLarge`]).
pub(crate) fn read(path: &Path, most: u64) -> Result<Vec<u8>> {
    let file = open(path)?;
    let size = file.metadata()?.len();
    let mut bytes = Vec::new();
    if size <= most {
        // It may grow meanwhile.
        file.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
    }
    if size > most || bytes.len() as u64 > most {
        let message = format!("it is larger than {}", shown(most));
        return Err(Error::new(ErrorKind::FileTooLarge, message));
    }
    Ok(bytes)
}

/// Reads a regular file of no more than so many bytes as UTF-8.
///
/// # Errors
/// As [`read`]; or it is no text ([`ErrorKind::InvalidData`]).
pub(crate) fn read_text(path: &Path, most: u64) -> Result<String> {
    let text = String::from_utf8(read(path, most)?);
    text.map_err(|_| Error::new(ErrorKind::InvalidData, "it is not a text in UTF-8"))
}

/// A size for people.
fn shown(bytes: u64) -> String {
    match bytes {
        0..1024 => format!("{bytes} bytes"),
        1024..1_048_576 => format!("{} KB", bytes >> 10),
        _ => format!("{} MB", bytes >> 20),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_up_to_its_limit() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("a.txt");
        std::fs::write(&path, "four").unwrap();
        assert_eq!(read_text(&path, 4).unwrap(), "four");
        assert_eq!(read(&path, 3).unwrap_err().kind(), ErrorKind::FileTooLarge);
        std::fs::write(&path, [0xff]).unwrap();
        assert_eq!(read_text(&path, 4).unwrap_err().kind(), ErrorKind::InvalidData);
        assert_eq!(read(&home.path().join("b"), 4).unwrap_err().kind(), ErrorKind::NotFound);
        assert_eq!(read(home.path(), 4).unwrap_err().kind(), ErrorKind::IsADirectory);
    }

    /// Both would keep a reader for ever.
    #[cfg(target_os = "linux")]
    #[test]
    fn pipes_and_devices_are_refused() {
        let home = tempfile::tempdir().unwrap();
        let pipe = home.path().join("pipe");
        let mode = rustix::fs::Mode::RWXU;
        rustix::fs::mknodat(rustix::fs::CWD, &pipe, rustix::fs::FileType::Fifo, mode, 0).unwrap();
        for path in [pipe.as_path(), Path::new("/dev/zero")] {
            let error = read(path, u64::MAX).unwrap_err();
            assert_eq!(error.to_string(), "it is not a regular file", "{}", path.display());
        }
    }
}
