//! Text from outside, made harmless before anybody reads it.
//!
//! A terminal obeys control characters, a reader is fooled by characters that reorder or hide text, a browser runs
//! markup, a spreadsheet runs formulas. In: any text. Out: the same text with every such character shown instead of
//! obeyed ([`visible()`], [`visible_lines`], [`one_line`]), escaped for the place it goes to ([`html`], [`markdown`],
//! [`markdown_block`], [`csv_cell`]), or with what points to a person replaced by stable tokens ([`Redactor`]).
//! Every escaper makes its text visible first, so a sink needs one call.
//!
//! This room knows nothing of cars, trees, cases, files or screens, and uses no other room.

mod escape;
mod redact;
mod shapes;
#[cfg(test)]
mod tests;
mod visible;

pub use escape::{csv_cell, csv_defused, html, is_plain_number, markdown, markdown_block};
pub use redact::{Personal, Redactor, redact};
pub use visible::{is_hidden, one_line, visible, visible_lines};
