//! What is wrong or doubtful, and what to type instead.

use crate::{Code, Edit, Severity, Span};

/// One thing that is wrong or doubtful.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Diagnostic {
    /// Its stable code.
    pub code: Code,
    /// Where it was typed.
    pub span: Span,
    /// What is the matter, in a sentence.
    pub message: String,
    /// What to type instead, or where to look.
    pub help: Option<String>,
    /// Other places that belong to it.
    pub related: Vec<(Span, String)>,
    /// The change that mends it, where that is mechanical.
    pub fix: Option<Edit>,
}

impl Diagnostic {
    /// A diagnostic without help.
    pub fn new(code: Code, span: Span, message: impl Into<String>) -> Diagnostic {
        let message = message.into();
        Diagnostic { code, span, message, help: None, related: Vec::new(), fix: None }
    }

    /// The same with what to do about it.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Diagnostic {
        self.help = Some(help.into());
        self
    }

    /// The same with another place that belongs to it.
    #[must_use]
    pub fn related(mut self, span: Span, label: impl Into<String>) -> Diagnostic {
        self.related.push((span, label.into()));
        self
    }

    /// The same with a mechanical change that mends it.
    #[must_use]
    pub fn fix(mut self, span: Span, text: impl Into<String>) -> Diagnostic {
        self.fix = Some(Edit::new(span, text));
        self
    }

    /// All places that belong to it, the first first.
    pub fn spans(&self) -> impl Iterator<Item = Span> {
        [self.span].into_iter().chain(self.related.iter().map(|(span, _)| *span))
    }

    /// Whether it is an error.
    pub fn is_error(&self) -> bool {
        self.code.severity() == Severity::Error
    }
}
