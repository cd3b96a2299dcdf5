//! Writes the SoundFont, checks that a file is what these sources give, or draws
//! pictures of one.

use std::path::Path;
use std::process::ExitCode;

const USAGE: &str = "\
usage: soundfonts-free write FILE.sf2    compute the SoundFont and write it
       soundfonts-free check FILE.sf2    compute it again and compare
       soundfonts-free pictures FILE.sf2 DIRECTORY
                                         draw spectrograms of some of its notes";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let done = match arguments.as_slice() {
        ["write", file] => write(Path::new(file)),
        ["check", file] => check(Path::new(file)),
        ["pictures", file, to] => pictures(Path::new(file), Path::new(to)),
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

fn pictures(file: &Path, to: &Path) -> Result<String, String> {
    let drawn = soundfonts_free::pictures::draw(file, to).map_err(|e| e.to_string())?;
    Ok(drawn.iter().map(|path| path.display().to_string()).collect::<Vec<_>>().join("\n"))
}
