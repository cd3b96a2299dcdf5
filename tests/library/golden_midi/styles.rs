//! Every built-in style, by itself.

use std::fmt::Write as _;

use countoff::performance::Part;
use countoff::style::{Library, Shelf, StyleFile};
use countoff::units::Meter;

use super::{assert_golden, chart, hash, notes, takes};

/// Hashes in every meter, alone and with what else a lesson can ask of its players; the notes in
/// the first meter that the style's name or the trade gives it.
fn golden(shelf: Shelf, name: &str) -> String {
    let more: &[&str] = match shelf {
        Shelf::Comp => &["reach = 12", "start = '7'", "ending = 'short'", "drums = 'ride'"],
        Shelf::Bass => &["ending = 'short'", "practice = { shape = 'loop' }"],
        Shelf::Drums => &["intensity = 'light'", "intensity = 'full'", "ending = 'short'"],
    };
    let part = match shelf {
        Shelf::Comp => Part::Comp,
        Shelf::Bass => Part::Bass,
        Shelf::Drums => Part::Drums,
    };
    let home = if name.contains("waltz") { Meter::ThreeFour } else { Meter::FourFour };
    let track = format!("{shelf} = '{name}'\nchoruses = 2");
    let mut text = String::new();
    // 2/4 is the other meters cut short.
    for meter in Meter::ALL.into_iter().filter(|meter| *meter != Meter::TwoFour) {
        let _ = writeln!(text, "{meter}: {}", hash(&takes(&chart(meter), &track)));
    }
    let twelve = format!("{track}\nkeys = 'semitones'");
    let _ = writeln!(text, "all keys: {}", hash(&takes(&chart(home), &twelve)));
    for more in more {
        let _ =
            writeln!(text, "{more}: {}", hash(&takes(&chart(home), &format!("{track}\n{more}"))));
    }
    let once = format!("{shelf} = '{name}'");
    text + &notes(&takes(&chart(home), &once)[0], &[part])
}

fn every_style_of(shelf: Shelf) {
    for StyleFile { name, .. } in Library::built_in().files(shelf) {
        assert_golden(&format!("{shelf} {name}"), &golden(shelf, name));
    }
}

#[test]
fn golden_comp_styles() {
    every_style_of(Shelf::Comp);
}

#[test]
fn golden_bass_styles() {
    every_style_of(Shelf::Bass);
}

#[test]
fn golden_drum_styles() {
    every_style_of(Shelf::Drums);
}
