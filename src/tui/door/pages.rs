//! Pages of text about the open case or the car.

use super::super::desk::{Page, Para};
use super::super::plan;
use super::cars;
use super::reckoning::Made;
use super::step;
use crate::instrument::Verdict;
use crate::quantity::{Dimension, UnitSystem, figures, show};
use crate::report::{self, Report};
use crate::rig::{Rig, label};
use crate::session::{self, Ask, Outlook, Session, Suspect, twentieths};
use crate::terms::Condition;
use crate::tree::StepKind;
use std::path::Path;

fn text(t: impl Into<String>) -> Para {
    Para::Text(t.into())
}

fn pair(name: impl Into<String>, value: impl Into<String>) -> Para {
    Para::Pair(name.into(), value.into())
}

/// A page of a case.
pub fn of_case(session: &Session, page: Page, units: UnitSystem, outlook: Option<&Outlook>) -> Vec<Para> {
    match page {
        Page::Why => why(session),
        Page::Standing => standing(session, outlook),
        page => of_car(session.rig(), page, units),
    }
}

/// A page of a car.
pub fn of_car(rig: &Rig, page: Page, units: UnitSystem) -> Vec<Para> {
    match page {
        Page::Ledger => ledger(rig),
        _ => car(rig, units),
    }
}

fn why(session: &Session) -> Vec<Para> {
    let (Ask::Step(view) | Ask::Confirm(_, view) | Ask::Undo(_, view)) = session.ask() else {
        return vec![text("No step is open now.")];
    };
    let tree = session.tree();
    let mut paras = vec![Para::Head(view.step.name().to_owned())];
    paras.push(text(
        view.step.why.clone().unwrap_or_else(|| "It is part of doing the next step safely.".to_owned()),
    ));
    paras.extend(view.cautions.iter().map(|caution| Para::Caution(*caution)));
    if let StepKind::Read(read) = &view.step.kind {
        if let Some(expected) = step::expected(session, &view.step.id, view.place) {
            paras.push(Para::Head("What is expected, and why".into()));
            for (what, value, source) in &expected.sum {
                paras.push(pair(value.clone(), format!("{what} ({source})")));
            }
            paras.push(text(expected.sentence.clone()));
            paras.push(pair("instrument", expected.instrument.clone()));
        }
        paras.push(Para::Head("What each outcome means".into()));
        let edges =
            [(Verdict::Low, read.low), (Verdict::Within, Some(read.within)), (Verdict::High, read.high)];
        for (verdict, target) in edges {
            if let Some(target) = target {
                paras
                    .push(Para::Judged(verdict, format!("{}: {}", verdict.word(), session.leads_to(target))));
            }
        }
    }
    if let StepKind::Observe { observation, answers } = &view.step.kind {
        paras.push(Para::Head("What each answer means".into()));
        for answer in answers {
            let words = observation.outcome(answer.outcome.id).map_or(answer.outcome.id, |o| o.name);
            paras.push(Para::Item(format!("{words}: {}", session.leads_to(answer.next))));
        }
    }
    if !tree.finds.is_empty() {
        let names: Vec<&str> = tree.finds.iter().map(|f| f.name()).collect();
        paras.push(Para::Head("This walk can find".into()));
        paras.push(text(names.join(", ")));
    }
    paras
}

/// How many faults the report's page names with their odds; the saved report names all.
const MOST_ODDS: usize = 12;

fn standing(session: &Session, outlook: Option<&Outlook>) -> Vec<Para> {
    let Some(outlook) = outlook else {
        let mut paras = vec![text("The odds are being reckoned.")];
        paras.push(Para::Head("What was seen so far".into()));
        paras.extend(seen(session));
        return paras;
    };
    let mut paras = Vec::new();
    paras.extend(outlook.misfit_words().map(|words| Para::Judged(Verdict::Undecided, words)));
    paras.extend(outlook.again.as_ref().map(|a| text(format!("{} R does it again now.", a.words()))));
    paras.extend(outlook.odd_words().filter(|_| outlook.again.is_none()).map(text));
    paras.extend(outlook.fragile.iter().filter(|_| outlook.again.is_none()).map(|h| text(h.words())));
    if let Some(conclusion) = &outlook.conclusion {
        paras.push(text(format!("{} N names it now.", conclusion.words())));
    }
    let named = matches!(session.ask(), Ask::Finding(_));
    paras.extend(outlook.unnamed.as_ref().filter(|_| !named).map(|u| text(u.words("R does it again now."))));
    if let Some(session::Advice { what, minutes, step, not_now }) = &outlook.next {
        let offer = if *step == outlook.before.as_ref().and_then(|b| b.step.clone()) && step.is_some() {
            " T does it now, before its turn.".to_owned()
        } else {
            not_now.as_ref().map_or_else(String::new, |why| format!(" {why}"))
        };
        paras.push(text(format!(
            "What would tell most for its time now: {what}, about {} min.{offer}",
            figures(*minutes, 2)
        )));
    }
    if let Some(session::Advice { what, minutes, step: Some(step), .. }) = &outlook.before
        && outlook.next.as_ref().is_none_or(|next| next.step.as_ref() != Some(step))
    {
        paras.push(text(format!(
            "Of the tests that may be done as the car stands: {what}, about {} min. T does it now, before its turn.",
            figures(*minutes, 2)
        )));
    }
    if let Some(words) = outlook.may_wait_words() {
        paras.push(text(format!("{words} L puts it off; it is offered again once it would tell.")));
    }
    paras.push(Para::Head("By the odds of everything seen".into()));
    for suspect in outlook.still_standing() {
        paras.push(pair(twentieths(suspect.probability), line_of(suspect)));
    }
    paras.push(pair(twentieths(outlook.other), "something in no catalogue"));
    for (head, suspects) in [
        ("Less likely: a single slip would bring it back", outlook.less_likely().collect::<Vec<_>>()),
        ("Set aside: no single slip would bring it back", outlook.set_aside().collect()),
    ] {
        if !suspects.is_empty() {
            paras.push(Para::Head(head.into()));
            paras.extend(suspects.into_iter().map(|s| Para::Item(line_of(s))));
        }
    }
    paras
}

fn line_of(suspect: &Suspect) -> String {
    let named = |raised: bool| -> Vec<&str> {
        suspect.moved.iter().filter(|(_, up)| *up == raised).map(|(t, _)| t.as_str()).collect()
    };
    let mut line = suspect.fault.name().to_owned();
    let (up, down) = (named(true), named(false));
    if !up.is_empty() {
        line = format!("{line}; raised by {}", up.join(" and "));
    }
    if !down.is_empty() {
        line = format!("{line}; lowered by {}", down.join(" and "));
    }
    line
}

fn seen(session: &Session) -> Vec<Para> {
    let lines = step::record(session);
    let mut paras: Vec<Para> = lines
        .iter()
        .filter(|l| l.verdict.is_some() || l.gave != "done")
        .map(|l| {
            let expected = l.expected.as_ref().map_or(String::new(), |e| format!(", expected {e}"));
            match l.verdict {
                Some(v) => Para::Judged(v, format!("{}: {} {}{expected}", l.title, l.gave, v.word())),
                None => Para::Item(format!("{}: {}", l.title, l.gave)),
            }
        })
        .collect();
    if paras.is_empty() {
        paras.push(text("Nothing yet."));
    }
    paras
}

fn ledger(rig: &Rig) -> Vec<Para> {
    let mut paras = vec![text(
        "Each cause of lean or rich on its own line, for this car when nothing is wrong. 1 means it changes nothing; \
         fuel lines below 1 lean the mixture, air not metered above 1 does.",
    )];
    for at in [Condition::Idle, Condition::Raised, Condition::Cruise, Condition::Load] {
        paras.push(Para::Head(at.name().to_owned()));
        match session::ledger(rig, at) {
            Ok(Some(ledger)) => {
                paras.push(pair("target lambda", figures(ledger.target, 3)));
                for (what, ratio) in ledger.lines() {
                    paras.push(pair(what, figures(ratio, 4)));
                }
                paras.push(pair("lambda without trim", figures(ledger.open, 4)));
                if ledger.closed_loop {
                    paras.push(pair("trim", format!("{} %", figures(ledger.trim * 100.0, 2))));
                } else {
                    paras.push(pair("trim", "none here, open loop"));
                }
                paras.push(pair("lambda as read", figures(ledger.lambda, 4)));
                let points = figures(ledger.explained_by_pressure() * 100.0, 2);
                paras.push(pair("pressure alone explains", format!("{points} % of trim")));
            }
            Ok(None) => paras.push(text("The engine does not run here.")),
            Err(error) => paras.push(text(error.to_string())),
        }
    }
    paras
}

fn car(rig: &Rig, units: UnitSystem) -> Vec<Para> {
    let mut paras = vec![text(rig.name.clone()), text(session::reference_advice(rig))];
    let unit = units.unit_for(Dimension::Pressure);
    paras.push(Para::Head("Fuel, when nothing is wrong".into()));
    let row: Vec<&str> = plan::spots(rig, None).into_iter().map(plan::Spot::name).collect();
    paras.push(text(row.join(" - ")));
    let value = |reading, v: f64| {
        let own = session::bare_unit(reading, units);
        let vacuum = session::vacuum(reading, v, own, &rig.car, 3).filter(|_| v < 0.0);
        vacuum.unwrap_or_else(|| show(v, unit, None, 3))
    };
    for point in session::points(rig) {
        let values: Vec<String> = session::OVERVIEW
            .iter()
            .zip(point.values)
            .filter_map(|(at, v)| v.map(|v| format!("{} {}", at.id(), value(point.reading, v))))
            .collect();
        paras.push(pair(point.reading.name(), values.join(", ")));
    }
    paras.push(Para::Head("Air, absolute".into()));
    for (at, values) in session::station_pressures(rig) {
        let names = ["open air", "before plates", "behind plates", "plenum"];
        let parts: Vec<String> =
            names.iter().zip(values).map(|(n, v)| format!("{n} {}", figures(unit.from_si(v), 3))).collect();
        paras.push(pair(at.id(), format!("{} {unit}", parts.join(", "))));
    }
    paras.push(Para::Head("Facts".into()));
    for fact in &rig.facts {
        let mark = if fact.default { "default" } else { "" };
        let value = match (cars::in_units(&fact.path, &fact.text, units), mark) {
            (Some(value), "") => format!("{value} (stated as {})", fact.text),
            (Some(value), mark) => format!("{value} ({mark})"),
            (None, "") => fact.text.clone(),
            (None, mark) => format!("{} ({mark})", fact.text),
        };
        paras.push(pair(label(&fact.path), value));
    }
    paras
}

/// The report, or that it is being made, or why there is none.
pub fn report_page(made: Option<&Made>) -> Vec<Para> {
    match made {
        Some(Ok(report)) => report_paras(report),
        Some(Err(error)) => vec![text(error)],
        None => vec![text("The report is being made.")],
    }
}

fn report_paras(r: &Report) -> Vec<Para> {
    let mut paras = Vec::new();
    if r.simulated {
        paras.push(text("SIMULATED CAR"));
    }
    paras.push(Para::Head("Finding".into()));
    paras.push(text(r.conclusion.says.clone()));
    if let Some(sure) = r.conclusion.sure {
        paras.push(pair("odds", twentieths(sure)));
    }
    if !r.conclusion.also.is_empty() {
        paras.push(pair("not told apart from it", r.conclusion.also.join(", ")));
    }
    if !r.conclusion.to_do.is_empty() {
        paras.push(pair("what to do", r.conclusion.to_do.clone()));
    }
    match r.conclusion.confirmed {
        Some(true) => paras.push(text("Measured again after the repair: it is cured.")),
        Some(false) => paras.push(text("Measured again after the repair: it is not cured.")),
        None => {}
    }
    for report::BeforeAfter { before, after } in &r.before_after {
        paras.push(pair("before the repair", format!("{} {}", before.title, before.given)));
        paras.push(pair("after the repair", format!("{} {}", after.title, after.given)));
    }
    paras.extend(r.misfit.iter().chain(&r.against).map(text));
    paras.push(Para::Head("Car".into()));
    paras.push(text(r.car.clone()));
    if let Some(complaint) = &r.complaint {
        paras.push(pair("complaint", complaint.clone()));
    }
    paras.push(text(r.reference.clone()));
    if !r.ruled_out.is_empty() {
        paras.push(Para::Head("Set aside".into()));
        paras.extend(r.ruled_out.iter().map(|o| pair(o.by.clone(), o.faults.join(", "))));
    }
    if !r.less_likely.is_empty() {
        paras.push(Para::Head("Less likely".into()));
        paras.extend(r.less_likely.iter().map(|o| pair(o.by.clone(), o.faults.join(", "))));
    }
    paras.push(Para::Head("Every step".into()));
    for row in &r.steps {
        let expected = row.expected.as_ref().map_or(String::new(), |e| format!(", expected {e}"));
        let line = format!("{} {}: {}{expected}", row.number, row.title, row.given);
        paras.push(match row.verdict.as_deref().and_then(Verdict::from_id) {
            Some(verdict) => Para::Judged(verdict, format!("{line}, {}", verdict.word())),
            None => Para::Item(line),
        });
    }
    for (head, items) in
        [("Not tested", &r.not_tested), ("Not put back", &r.not_put_back), ("Notes", &r.notes)]
    {
        if !items.is_empty() {
            paras.push(Para::Head(head.into()));
            paras.extend(items.iter().cloned().map(Para::Item));
        }
    }
    paras.push(Para::Head("Odds before and after".into()));
    for odds in r.odds.iter().take(MOST_ODDS) {
        paras.push(pair(
            odds.name.clone(),
            format!("{}, then {}", twentieths(odds.before), twentieths(odds.after)),
        ));
    }
    paras.push(Para::Head("Record".into()));
    paras.push(pair("minutes of work", figures(r.minutes, 3)));
    paras.push(pair("records", r.records.to_string()));
    paras.push(pair("digest", r.digest.clone()));
    paras.push(Para::Head("First of all".into()));
    paras.push(text(r.first_word.clone()));
    paras
}

/// Writes the report beside the case whose journal lies at `path`, as a page, as Markdown and as JSON; says where.
pub fn save_report(report: &Report, path: &Path) -> Result<String, String> {
    let page = path.with_extension("html");
    let json = serde_json::to_string_pretty(report).map_err(|e| e.to_string())?;
    let write = |path: &Path, text: &str| {
        std::fs::write(path, text)
            .map_err(|e| format!("could not write the report at {}: {e}", path.display()))
    };
    write(&page, &report::html(report)?)?;
    write(&path.with_extension("md"), &report::markdown(report))?;
    write(&path.with_extension("json"), &json)?;
    Ok(format!("{}, a page to read and print; .md for a ticket and .json beside it", page.display()))
}
