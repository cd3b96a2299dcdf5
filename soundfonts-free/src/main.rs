//! Writes the SoundFont, or checks that a file is what these sources give.

use std::path::Path;
use std::process::ExitCode;

const USAGE: &str = "\
usage: soundfonts-free write FILE.sf2    compute the SoundFont and write it
       soundfonts-free check FILE.sf2    compute it again and compare";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let done = match arguments.as_slice() {
        ["write", file] => write(Path::new(file)),
        ["check", file] => check(Path::new(file)),
        _ => {
            say(USAGE);
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(words) => {
            say(&words);
            ExitCode::SUCCESS
        }
        Err(words) => {
            say(&format!("error: {words}"));
            ExitCode::FAILURE
        }
    }
}

#[expect(clippy::print_stderr, reason = "the shell speaks")]
fn say(words: &str) {
    eprintln!("{words}");
}

fn write(file: &Path) -> Result<String, String> {
    let bytes = soundfonts_free::bank::trio().map_err(|e| e.to_string())?;
    std::fs::write(file, &bytes).map_err(|e| format!("cannot write {}: {e}", file.display()))?;
    Ok(format!("{}: {} bytes", file.display(), bytes.len()))
}

fn check(file: &Path) -> Result<String, String> {
    let kept = std::fs::read(file).map_err(|e| format!("cannot read {}: {e}", file.display()))?;
    let computed = soundfonts_free::bank::trio().map_err(|e| e.to_string())?;
    if kept == computed {
        return Ok(format!("{}: as computed", file.display()));
    }
    let first = kept.iter().zip(&computed).position(|(a, b)| a != b);
    Err(format!(
        "{} differs from what the sources give ({} bytes against {}, first at {:?}); write it again",
        file.display(),
        kept.len(),
        computed.len(),
        first
    ))
}
