//! Makes control, bidi and zero-width characters visible, and escapes text for HTML, Markdown and CSV.
