//! The findings report: what another person needs to act on a case and to check it.
//!
//! In: the journal's lines, the tree and the rig. Out: one [`Report`], and from it Markdown or JSON. The same three give the same
//! bytes, wherever and whenever it is made. Notes for the agent alone never come in. This room knows no screens.

mod build;
mod markdown;

pub use build::{Caution, Conclusion, Fact, Report, Row, RuledOut, Share, build};
pub use markdown::{markdown, scale};
