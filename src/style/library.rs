//! The built-in styles and the user's, chained.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use include_dir::{Dir, include_dir};
use miette::NamedSource;

use super::{BassStyle, CompStyle, DrumStyle, StyleError, UnknownStyle};
use crate::problem::nearest;

static BUILT_IN: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/styles");

/// Which part a style is for; also the name of the folder that holds its files.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Shelf {
    /// Left hand or band piano.
    Comp,
    /// Bass.
    Bass,
    /// Drums.
    Drums,
}

impl Shelf {
    /// All shelves, in the order in which lists show them.
    pub const ALL: [Shelf; 3] = [Shelf::Comp, Shelf::Bass, Shelf::Drums];

    /// The folder's name: `comp`, `bass`, `drums`.
    #[must_use]
    pub const fn folder(self) -> &'static str {
        match self {
            Shelf::Comp => "comp",
            Shelf::Bass => "bass",
            Shelf::Drums => "drums",
        }
    }

    /// The JSON schema of its style files.
    #[must_use]
    pub fn schema(self) -> schemars::Schema {
        match self {
            Shelf::Comp => CompStyle::schema(),
            Shelf::Bass => BassStyle::schema(),
            Shelf::Drums => DrumStyle::schema(),
        }
    }
}

impl std::fmt::Display for Shelf {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.folder())
    }
}

/// The text of one style file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StyleFile {
    /// The style's name: the file's name without `.toml`.
    pub name: String,
    /// Where it comes from, as messages show it: a path, or `styles/comp/shells.toml (built in)`.
    pub origin: String,
    /// All of it.
    pub text: String,
}

impl StyleFile {
    /// An error that points at bytes of this file.
    #[must_use]
    pub fn error(
        &self,
        span: Range<usize>,
        message: impl Into<String>,
        help: Option<String>,
    ) -> StyleError {
        let text = NamedSource::new(&self.origin, self.text.clone()).with_language("TOML");
        let end = span.end.min(self.text.len());
        let start = span.start.min(end);
        StyleError {
            message: message.into(),
            text: Arc::new(text),
            span: (start..end).into(),
            help,
        }
    }
}

/// All styles that there are, by shelf and name. A file added later hides one of the same name,
/// so that a user's style overrides a built-in one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Library {
    files: BTreeMap<(Shelf, String), StyleFile>,
}

impl Library {
    /// The styles embedded in the program.
    #[must_use]
    pub fn built_in() -> Library {
        let mut library = Library { files: BTreeMap::new() };
        for shelf in Shelf::ALL {
            let files = BUILT_IN.get_dir(shelf.folder()).into_iter().flat_map(Dir::files);
            for file in files.filter(|file| file.path().extension().is_some_and(|e| e == "toml")) {
                let name = file.path().file_stem().map(|stem| stem.to_string_lossy().into_owned());
                if let (Some(name), Some(text)) = (name, file.contents_utf8()) {
                    let origin = format!("styles/{shelf}/{name}.toml (built in)");
                    library.add(shelf, StyleFile { name, origin, text: text.to_owned() });
                }
            }
        }
        library
    }

    /// Puts a file on a shelf, over one of the same name.
    pub fn add(&mut self, shelf: Shelf, file: StyleFile) {
        self.files.insert((shelf, file.name.clone()), file);
    }

    /// The files of a shelf, by name.
    pub fn files(&self, shelf: Shelf) -> impl Iterator<Item = &StyleFile> {
        self.files.iter().filter(move |((at, _), _)| *at == shelf).map(|(_, file)| file)
    }

    /// The file of a style.
    ///
    /// # Errors
    /// No style of this name is on the shelf; the error names those that are, and the nearest.
    pub fn find(&self, shelf: Shelf, name: &str) -> Result<&StyleFile, UnknownStyle> {
        self.files.get(&(shelf, name.to_owned())).ok_or_else(|| {
            let known: Vec<&str> = self.files(shelf).map(|file| file.name.as_str()).collect();
            let suggestion = nearest(name, known.iter().copied()).map(str::to_owned);
            let there_are = format!("{shelf} styles are: {}", known.join(", "));
            let help = match &suggestion {
                Some(right) => format!("did you mean `{right}`? {there_are}"),
                None => there_are,
            };
            UnknownStyle { shelf, name: name.to_owned(), help, suggestion }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(name: &str, text: &str) -> StyleFile {
        StyleFile { name: name.into(), origin: format!("{name}.toml"), text: text.into() }
    }

    #[test]
    fn a_later_file_hides_an_earlier_one_of_its_name_on_its_shelf_only() {
        let mut library = Library { files: BTreeMap::new() };
        library.add(Shelf::Comp, file("even", "1"));
        library.add(Shelf::Bass, file("even", "2"));
        library.add(Shelf::Comp, file("even", "3"));
        assert_eq!(library.find(Shelf::Comp, "even").unwrap().text, "3");
        assert_eq!(library.find(Shelf::Bass, "even").unwrap().text, "2");
        assert_eq!(library.files(Shelf::Comp).count(), 1);
    }

    #[test]
    fn an_unknown_name_gets_the_nearest_known_one() {
        let mut library = Library { files: BTreeMap::new() };
        library.add(Shelf::Comp, file("rootless", ""));
        let error = library.find(Shelf::Comp, "rotless").unwrap_err();
        assert_eq!(error.suggestion.as_deref(), Some("rootless"));
        assert!(error.to_string().contains("no comp style named `rotless`"));
        assert!(library.find(Shelf::Drums, "rootless").is_err());
    }

    #[test]
    fn every_embedded_file_is_a_named_text_with_a_heading() {
        let library = Library::built_in();
        for shelf in Shelf::ALL {
            for file in library.files(shelf) {
                let heading = file.heading().unwrap_or_else(|error| panic!("{file:?}: {error}"));
                assert!(heading.description.len() > 20, "{}", file.origin);
            }
        }
        assert!(library.files(Shelf::Comp).count() > 0);
    }
}
