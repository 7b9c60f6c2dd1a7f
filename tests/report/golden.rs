//! Golden reports. Odds, what they set aside and the doubt are left out: they move whenever the catalogue grows, and have their
//! own tests.

use super::{Case, FILTER, FILTER_GAUGE_ONLY, HOSE, walked};
use faultwalk::case::{Candidate, Entry, Odds};
use faultwalk::report::{Report, html, markdown};
use faultwalk::walk::Event;

/// The report of a case with odds as kept in its journal, so that no number of it comes from the catalogue.
fn golden(case: Case<'_>) -> Report {
    let odds = |p: f64| {
        let candidate = |fault: &str, probability| Candidate { fault: fault.into(), probability };
        let candidates = vec![candidate("feed-filter-blocked", p), candidate("pump-worn", 1.0 - p)];
        Entry::Odds(Odds { model: "1".into(), candidates })
    };
    let note = Event::NoteAdded { step: None, text: "tank half full".into(), private: false };
    let mut report = walked(case, vec![odds(0.25), Entry::Walk(note), odds(0.75)]).report();
    assert_eq!(report.odds[0].name, "feed filter blocked");
    assert!((report.odds[0].before - 0.25).abs() < 1e-12 && (report.odds[0].after - 0.75).abs() < 1e-12);
    report.ruled_out.clear();
    report.less_likely.clear();
    report.misfit = None;
    report.conclusion.sure = None;
    report
}

#[test]
fn markdown_of_three_cases() {
    insta::assert_snapshot!("filter-md", markdown(&golden(FILTER)));
    insta::assert_snapshot!("filter-gauge-only-md", markdown(&golden(FILTER_GAUGE_ONLY)));
    insta::assert_snapshot!("hose-md", markdown(&golden(HOSE)));
}

#[test]
fn html_and_json_of_a_case() {
    let report = golden(FILTER);
    let page = html(&report).unwrap();
    // The style sheet is a file of its own; the golden page is what stands after it.
    let body = page.split("</style>").nth(1).unwrap();
    insta::assert_snapshot!("filter-html", body);
    insta::assert_snapshot!("filter-json", serde_json::to_string_pretty(&report).unwrap());
}

#[test]
fn without_odds_in_the_journal_they_are_reckoned_and_that_is_said() {
    let report = walked(FILTER, Vec::new()).report();
    assert!(report.odds_from.starts_with("none were kept"), "{}", report.odds_from);
    let sum: f64 = report.odds.iter().map(|o| o.after).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    assert!(report.odds.windows(2).all(|w| w[0].after >= w[1].after));
}
