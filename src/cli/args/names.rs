//! Names that a shell can complete: of styles and techniques.

use std::ffi::OsStr;

use clap::builder::{PossibleValue, StringValueParser, TypedValueParser};
use clap::{Arg, Command, Error};

use crate::melody::Technique;
use crate::style::{Library, Shelf};

/// Takes any name, since a teacher may have styles of her own, and whoever looks for it says what
/// is wrong with it. It knows the names that are built in.
#[derive(Clone)]
pub(super) struct Names(fn() -> Vec<String>);

impl Names {
    pub(super) const COMP: Names = Names(|| of_styles(&[Shelf::Comp]));
    pub(super) const BASS: Names = Names(|| of_styles(&[Shelf::Bass]));
    pub(super) const DRUMS: Names = Names(|| of_styles(&[Shelf::Drums]));
    pub(super) const STYLES: Names = Names(|| of_styles(&Shelf::ALL));
    pub(super) const TECHNIQUES: Names =
        Names(|| Technique::ALL.iter().map(|technique| technique.name().to_owned()).collect());
}

fn of_styles(shelves: &[Shelf]) -> Vec<String> {
    let library = Library::built_in();
    let files = shelves.iter().flat_map(|shelf| library.files(*shelf));
    let mut names: Vec<String> = files.map(|file| file.name.clone()).collect();
    // A style of one name may be there for several players.
    names.sort();
    names.dedup();
    names
}

impl TypedValueParser for Names {
    type Value = String;

    fn parse_ref(
        &self,
        command: &Command,
        argument: Option<&Arg>,
        value: &OsStr,
    ) -> Result<String, Error> {
        StringValueParser::new().parse_ref(command, argument, value)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        Some(Box::new((self.0)().into_iter().map(PossibleValue::new)))
    }
}
