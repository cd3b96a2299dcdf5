//! Faults of the program itself.

/// A state that the program's own rules exclude came about: a fault of the program, not of what it
/// was given. It ends the work, so that nothing wrong is made of it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("internal error: {0}. This is a fault of the program: please report it, with the lesson")]
pub struct InternalError(pub String);

impl InternalError {
    /// The error for what should not be.
    #[must_use]
    pub fn new(what: impl Into<String>) -> InternalError {
        InternalError(what.into())
    }
}
