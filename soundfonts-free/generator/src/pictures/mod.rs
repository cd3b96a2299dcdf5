//! Pictures of how notes of a SoundFont sound: spectrograms as PNG files.

mod player;
mod spectrogram;

use crate::dsp::RATE;
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What is drawn: file name, bank, program, key, velocity, seconds.
const SUBJECTS: [(&str, i32, i32, i32, i32, f64); 7] = [
    ("piano-c2", 0, 0, 36, 90, 4.0),
    ("piano-c4", 0, 0, 60, 90, 4.0),
    ("piano-c6", 0, 0, 84, 90, 4.0),
    ("electric-piano-c4", 0, 4, 60, 110, 4.0),
    ("bass-a1", 0, 32, 33, 90, 4.0),
    ("vibraphone-c5", 0, 11, 72, 90, 4.0),
    ("ride", 128, 0, 51, 90, 4.0),
];

/// Why a picture was not drawn.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PictureError {
    /// The SoundFont could not be read or the picture not written.
    #[error("{path}: {source}")]
    File {
        /// Which file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The SoundFont could not be played.
    #[error("{path} cannot be played: {reason}")]
    Unplayable {
        /// Which file.
        path: PathBuf,
        /// What the synthesiser said.
        reason: String,
    },
    /// The picture could not be encoded.
    #[error("{path}: {source}")]
    Png {
        /// Which file.
        path: PathBuf,
        /// What the encoder said.
        source: png::EncodingError,
    },
}

/// Draws all subjects from the SoundFont `font` into the directory `to`, and
/// gives the files' paths.
///
/// # Errors
/// [`PictureError`] if the SoundFont cannot be read or played or a picture not
/// be written.
pub fn draw(font: &Path, to: &Path) -> Result<Vec<PathBuf>, PictureError> {
    let file_error = |path: &Path| {
        let path = path.to_path_buf();
        move |source| PictureError::File { path, source }
    };
    let bytes = std::fs::read(font).map_err(file_error(font))?;
    let unplayable = |reason: String| PictureError::Unplayable { path: font.to_path_buf(), reason };
    let loaded = rustysynth::SoundFont::new(&mut bytes.as_slice())
        .map_err(|error| unplayable(error.to_string()))?;
    let loaded = Arc::new(loaded);
    std::fs::create_dir_all(to).map_err(file_error(to))?;
    let mut written = Vec::with_capacity(SUBJECTS.len());
    for (name, bank, program, key, velocity, seconds) in SUBJECTS {
        let note = player::Note { bank, program, key, velocity };
        let sound = player::play(&loaded, note, seconds).map_err(&unplayable)?;
        let picture = spectrogram::of(&sound, RATE);
        let path = to.join(format!("{name}.png"));
        let file = std::fs::File::create(&path).map_err(file_error(&path))?;
        let png_error = |source| PictureError::Png { path: path.clone(), source };
        let mut encoder =
            png::Encoder::new(BufWriter::new(file), spectrogram::WIDTH, spectrogram::HEIGHT);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::High);
        let mut writer = encoder.write_header().map_err(png_error)?;
        writer.write_image_data(&picture).map_err(png_error)?;
        writer.finish().map_err(png_error)?;
        written.push(path);
    }
    Ok(written)
}
