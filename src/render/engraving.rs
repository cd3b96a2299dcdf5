//! Sheets as pictures, by [Verovio](https://www.verovio.org), which engraves as publishers do. Only in
//! programs that were built with the feature `engraving`: it is C++, and takes minutes to build.

use verovio::Toolkit;

/// One long page of a good reading size, without the score's own heading: the practice page has
/// one. Lengths are in Verovio's units, hundredths of a millimetre at scale 100.
const OPTIONS: &str = r#"{
    "pageWidth": 2400, "pageHeight": 60000, "adjustPageHeight": true,
    "pageMarginLeft": 20, "pageMarginRight": 20, "pageMarginTop": 20, "pageMarginBottom": 20,
    "scale": 40, "breaks": "auto", "header": "none", "footer": "none", "xmlIdChecksum": true,
    "svgViewBox": true, "svgRemoveXlink": true
}"#;

/// A MusicXML file as an SVG picture. The same sheet gives the same picture.
///
/// # Errors
/// What Verovio cannot read or draw, as a message.
pub(super) fn svg(musicxml: &[u8]) -> Result<String, String> {
    let text = str::from_utf8(musicxml).map_err(|error| error.to_string())?;
    let mut toolkit = Toolkit::new();
    let drawn = toolkit
        .set_options(OPTIONS)
        .and_then(|()| toolkit.load_data(text))
        .and_then(|()| toolkit.render_to_svg(1));
    drawn.map_err(|error| format!("it cannot be engraved: {error}"))
}
