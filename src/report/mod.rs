//! The findings report: what another person needs to act on a case and to check it.
//!
//! In: the journal's lines, the tree and the rig. Out: one [`Report`], and from it Markdown, HTML or JSON ([`schema`]). The same
//! three give the same bytes, wherever and whenever it is made. Notes for the agent alone, names, phones and plates never
//! come in. This room reads and writes no file and knows no screens.

mod build;
mod html;
mod markdown;
mod model;
mod odds;
mod pictures;
mod rows;
mod statistics;
mod svg;
mod table;
mod units;

pub use build::{FORMAT, build};
pub use html::html;
pub use markdown::{markdown, scale};
pub use model::{
    Against, BeforeAfter, Conclusion, Fact, LedgerAt, LedgerLine, Phase, Report, Row, RuledOut, Share, Slope,
    SlopePoint, Station, Warned, schema,
};
pub use statistics::{Counted, Found, Skipped, Statistics, count};
pub use table::{COLUMNS, CaseRow, Outcome, case_rows, outcome};

/// A share in percent; never "100 %" for what is not certain.
pub(crate) fn percent(share: f64) -> String {
    if share >= 0.9995 {
        "over 99.9 %".to_owned()
    } else if share > 0.0 && share < 0.0005 {
        "under 0.1 %".to_owned()
    } else {
        format!("{:.1} %", share * 100.0)
    }
}
