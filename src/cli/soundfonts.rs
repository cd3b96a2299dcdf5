//! `countoff soundfonts`

use std::fmt::Write;
use std::path::Path;

use serde::Serialize;

use super::args::Soundfonts;
use super::failure::Failure;
use super::{output, sounds};

#[derive(Serialize)]
struct Contents {
    source: String,
    name: String,
    copyright: String,
    comment: String,
    presets: Vec<Preset>,
}

#[derive(Serialize)]
struct Preset {
    bank: u16,
    program: u16,
    name: String,
}

/// Tells what a SoundFont holds.
pub(super) fn run(options: &Soundfonts) -> Result<(), Failure> {
    let source = sounds::choose(options.file.as_deref(), None);
    let font = sounds::open(&source).map_err(|error| sounds::failure(&source, &error))?;
    let info = font.info();
    let contents = Contents {
        source: source.to_string(),
        name: info.name.clone(),
        copyright: info.copyright.clone(),
        comment: info.comment.clone(),
        presets: font
            .presets()
            .into_iter()
            .map(|preset| Preset {
                bank: preset.instrument.bank,
                program: u16::from(preset.instrument.program) + 1,
                name: preset.name,
            })
            .collect(),
    };
    if options.json {
        output::json(&contents)
    } else {
        output::text(&table(&contents, options.file.as_deref()))
    }
}

fn table(contents: &Contents, file: Option<&Path>) -> String {
    let mut text = format!("{}: {}\n", contents.source, contents.name);
    let licence = match contents.copyright.as_str() {
        "" => "it does not say; ask its maker before you publish",
        said => said,
    };
    let _ = writeln!(text, "licence   {licence}");
    if !contents.comment.is_empty() {
        let _ = writeln!(text, "comment   {}", contents.comment);
    }
    text.push_str("\n bank  program\n");
    for preset in &contents.presets {
        let bank = if preset.bank == 128 { "drums".to_owned() } else { preset.bank.to_string() };
        let _ = writeln!(text, "{bank:>5}  {:>7}  {}", preset.program, preset.name);
    }
    if file.is_none() {
        text.push_str(
            "\nTo use another: --soundfont FILE, or soundfont = \"FILE\" in a lesson, or the\n\
             environment variable COUNTOFF_SOUNDFONT. `countoff soundfonts FILE` looks into one.\n",
        );
    }
    text
}
