//! The line dialogue: a whole walk by lines alone ends where the same walk without a person ends.

mod again;
mod asked;
mod called;
mod conclude;
mod elsewhere;
mod ends;
mod instrument;
mod reasons;
mod vacuum;

use faultwalk::library::Library;
use faultwalk::plain::{Ended, run};
use faultwalk::quantity::UnitSystem;
use faultwalk::rig::Rig;
use faultwalk::session::{FaultyCar, Session, Simulated, drive, end_id};
use faultwalk::terms::Fault;
use faultwalk::walk::Given;
use std::io::Cursor;
use std::sync::Arc;

fn rig(name: &str) -> Arc<Rig> {
    let path = format!("{}/fixtures/rigs/{name}.yaml", env!("CARGO_MANIFEST_DIR"));
    Arc::new(Rig::parse(name, &std::fs::read_to_string(path).unwrap()).unwrap())
}

fn session(rig: &Arc<Rig>, tree: &str) -> Session {
    let tree = Arc::new(Library::embedded().tree(tree).unwrap());
    Session::begin(rig.clone(), tree, None, UnitSystem::Metric).unwrap()
}

/// A walk as it stood after its first `n` events.
fn after(walked: &Session, n: usize) -> Session {
    let events = walked.events()[..n].iter().cloned();
    Session::replay(walked.rig().clone(), walked.tree().clone(), events).unwrap()
}

/// A walk as it stood after each event, the first first.
fn stages(walked: &Session) -> impl Iterator<Item = Session> {
    (1..=walked.events().len()).map(|n| after(walked, n))
}

/// A case of a tree that knows of one fault alone: the odds have nothing else to name, on a sound car as well.
fn knowing_one_fault(rig: &Arc<Rig>) -> Session {
    let mut tree = (**session(rig, "runs-lean").tree()).clone();
    tree.priors = vec![(Fault::UnevenDistribution, 1.0)];
    Session::begin(rig.clone(), Arc::new(tree), None, UnitSystem::Metric).unwrap()
}

/// What a person would type to take the way that `walked` took.
fn lines(walked: &Session) -> Vec<String> {
    let tree = walked.tree();
    let mut lines = Vec::new();
    let mut left = false;
    for (index, given) in walked.state().record() {
        let step = &tree.steps[index];
        if step.undoes.is_some() && !left {
            lines.push("leave".to_owned());
            left = true;
        }
        if !step.cautions.is_empty() && !matches!(given, Given::Cannot { .. }) {
            lines.push("understood".to_owned());
        }
        lines.push(match given {
            Given::Done => "done".to_owned(),
            Given::Read { taken } => taken.typed.clone(),
            Given::Answered { outcome, .. } => outcome.clone(),
            Given::Cannot { reason, .. } => format!("cannot {reason}"),
        });
    }
    if !left {
        lines.push("leave".to_owned());
    }
    lines.push("close".to_owned());
    lines
}

fn talk(session: &mut Session, lines: &[String]) -> (Ended, String) {
    let mut input = Cursor::new(lines.join("\n") + "\n");
    let mut out = Vec::new();
    let ended = run(session, &mut input, &mut out).unwrap();
    (ended, String::from_utf8(out).unwrap())
}

fn model(rig: &Arc<Rig>, tree: &str, fault: Fault, severity: f64) -> Session {
    let mut walked = session(rig, tree);
    let car = FaultyCar::new(rig, &[(fault, severity)]).unwrap();
    drive(&mut walked, &Simulated { bench: &car, tools: None, repaired: None }).unwrap();
    walked
}

#[test]
fn a_walk_by_lines_ends_where_the_same_walk_without_a_person_ends() {
    for (name, tree, fault) in [
        ("orchard-pickup", "runs-lean", Fault::FeedFilterBlocked),
        ("harbour-coupe", "no-pressure", Fault::PumpSeized),
        ("mill-road-sedan", "electrical-only", Fault::ChargingVoltageLow),
    ] {
        let rig = rig(name);
        let walked = model(&rig, tree, fault, 0.8);
        let mut by_lines = session(&rig, tree);
        let (ended, text) = talk(&mut by_lines, &lines(&walked));
        assert_eq!(ended, Ended::Closed, "{name}: {text}");
        assert_eq!(end_id(&by_lines), end_id(&walked), "{name}");
        assert!(!text.contains("Error:"), "{name}: {text}");
        assert_eq!(by_lines.state().minutes(), walked.state().minutes());
    }
}

#[test]
fn cautions_come_before_the_action_and_have_to_be_confirmed() {
    let rig = rig("orchard-pickup");
    let mut one = session(&rig, "runs-lean");
    let (ended, text) = talk(&mut one, &["none".to_owned(), "understood".to_owned(), "none".to_owned()]);
    assert_eq!(ended, Ended::Left);
    let caution = text.find("WARNING").or_else(|| text.find("DANGER")).unwrap();
    let action = text.find("Walk round the car").unwrap();
    assert!(caution < action, "{text}");
    assert!(text.contains("'none' is not taken yet: first the cautions above."), "{text}");
    assert!(text.contains("type understood; then give the answer"), "{text}");
    assert_eq!(one.state().record().len(), 1, "only the answer after the caution counts: {text}");
}

#[test]
fn every_word_of_the_help_works_and_no_line_holds_a_hidden_character() {
    let rig = rig("orchard-pickup");
    let words = ["help", "why", "record", "note wet carpet", "place rail-tap", "nonsense", "pause", "resume"];
    let words = words.iter().chain(&["understood", "none", "back", "back", "quit"]);
    let words: Vec<String> = words.map(|w| (*w).to_owned()).collect();
    let mut one = session(&rig, "runs-lean");
    let (ended, text) = talk(&mut one, &words);
    assert_eq!(ended, Ended::Left);
    assert!(!text.contains("{U+"), "{text}");
    assert!(text.contains("cannot REASON: no-tool, unsafe, no-access or later"), "{text}");
    assert!(text.contains("'nonsense'"), "{text}");
}

#[test]
fn why_says_where_each_outcome_leads_in_words() {
    let rig = rig("orchard-pickup");
    let walked = model(&rig, "runs-lean", Fault::NoFault, 0.0);
    let at = |s: &Session| s.state().open_step().map(|i| s.tree().steps[i].id.clone());
    let mut all = (0..walked.events().len()).map(|n| {
        Session::replay(rig.clone(), walked.tree().clone(), walked.events()[..n].iter().cloned()).unwrap()
    });
    let mut one = all.find(|s| at(s).as_deref() == Some("steady/prime")).unwrap();
    let (_, text) = talk(&mut one, &["why".to_owned()]);
    assert!(
        text.contains("  low: next, supply pressure") && text.contains("  within: on, by what"),
        "{text}"
    );
    for step in one.tree().steps.iter().filter(|s| s.id.contains('/')) {
        assert!(!text.contains(&step.id), "{} is an id\n{text}", step.id);
    }
    let mut looks = session(&rig, "runs-lean");
    let (_, text) = talk(&mut looks, &["why".to_owned()]);
    assert!(text.contains("as far as it goes, Fuel is leaking"), "{text}");
}

#[test]
fn the_figures_of_the_car_stand_at_a_look_and_at_a_remedy() {
    let rig = rig("mill-road-sedan");
    let walked = model(&rig, "runs-rich", Fault::RegulatorSetHigh, 0.8);
    let mut words = lines(&walked);
    words.truncate(words.iter().position(|w| w == "leave").unwrap());
    let mut one = session(&rig, "runs-rich");
    let (_, text) = talk(&mut one, &words);
    assert!(text.contains("This car: set pressure, reference open "), "{text}");
    let remedy = text.lines().skip_while(|l| !l.starts_with("Remedy: Set the regulator")).nth(1).unwrap();
    let expected = one.expected(one.tree().step_index("regulator/prime").unwrap(), None).unwrap().unwrap();
    let kilopascal = faultwalk::quantity::figures(expected.band.expected.unwrap() / 1e3, 3);
    let name = one.tree().step("regulator/prime").unwrap().name();
    assert!(remedy.starts_with(&format!("On this car, {name}: {kilopascal} kPa, from ")), "{remedy}");
}

#[test]
fn the_help_says_what_is_waited_for_and_a_question_mark_is_help() {
    let rig = rig("orchard-pickup");
    let words = ["?", "understood", "help", "none", "understood", "?"].map(str::to_owned);
    let mut one = session(&rig, "runs-lean");
    let (_, text) = talk(&mut one, &words);
    let now: Vec<&str> = text.lines().filter_map(|l| l.split_once("now: ").map(|(_, now)| now)).collect();
    assert_eq!(
        now,
        [
            "understood, once you have read each caution above and it is so",
            "none or leak",
            "normal or silent or strained or cycling"
        ],
        "{text}"
    );
    assert!(text.contains("  leak: ") && text.contains("help or ?"), "each answer has its words: {text}");
}

#[test]
fn what_still_stands_and_the_report_are_a_word_away() {
    let rig = rig("orchard-pickup");
    let walked = model(&rig, "runs-lean", Fault::FeedFilterBlocked, 0.8);
    let mut words: Vec<String> = lines(&walked);
    words.truncate(words.iter().position(|w| w == "leave").unwrap());
    words.extend(["standing", "report"].map(str::to_owned));
    let mut one = session(&rig, "runs-lean");
    let (_, text) = talk(&mut one, &words);
    assert!(text.contains("Still standing"), "{text}");
    assert!(text.contains("feed filter blocked: ") && text.contains("raised by"), "{text}");
    assert!(text.contains("not kept on disk, so it has no report"), "{text}");
}

#[test]
fn a_repair_waits_for_its_cautions() {
    let rig = rig("orchard-pickup");
    let walked = model(&rig, "runs-lean", Fault::FeedFilterBlocked, 0.8);
    let mut words: Vec<String> = lines(&walked);
    words.truncate(words.iter().position(|w| w == "leave").unwrap());
    words.extend(["repaired", "understood", "repaired"].map(str::to_owned));
    let mut one = session(&rig, "runs-lean");
    let (_, text) = talk(&mut one, &words);
    // After its cautions the line is made safe, before "repaired" is taken.
    assert_eq!(text.matches("Error: first the cautions above").count(), 1, "{text}");
    assert!(text.contains("Before the repair: pump disabled"), "{text}");
    let at = one.state().aim();
    assert!(matches!(at, Some(faultwalk::walk::Aim::Repair(_))), "{text}");
}

#[test]
fn a_case_that_lay_for_long_asks_the_cautions_of_its_open_step_again() {
    use faultwalk::case::{Case, CaseFolder, Entry, Header, rechained};
    use faultwalk::walk::Event;
    let rig = rig("orchard-pickup");
    let tree = session(&rig, "runs-lean").tree().clone();
    let id = "20260101-0800";
    let header = Header {
        id: id.into(),
        tree: tree.id.clone(),
        tree_digest: tree.digest.clone(),
        ..Header::default()
    };
    let mut begun = session(&rig, "runs-lean");
    begun.confirm_cautions().unwrap();
    let due_after = |minutes: i64| {
        let folder = tempfile::tempdir().unwrap();
        let cases = CaseFolder::open(Some(folder.path())).unwrap();
        let time = jiff::Timestamp::now() - jiff::SignedDuration::from_mins(minutes);
        let walked = begun.events().iter().cloned().map(Entry::Walk);
        let entries = std::iter::once(Entry::Header(header.clone())).chain(walked);
        let bytes = rechained(entries.map(|e: Entry<Event>| (e, time))).unwrap();
        std::fs::write(folder.path().join(format!("{id}.jsonl")), bytes).unwrap();
        let case: Case = cases.resume(id).unwrap();
        let mut one = Session::resume(rig.clone(), tree.clone(), case, UnitSystem::Metric).unwrap();
        let taken = one.answer("none").is_ok();
        if !taken {
            one.confirm_cautions().unwrap();
            one.answer("none").unwrap();
        }
        // What the journal holds now reads back as it stands.
        let again = Session::replay(rig.clone(), tree.clone(), one.events().to_vec()).unwrap();
        assert_eq!(again.state(), one.state());
        !taken
    };
    assert_eq!((due_after(2), due_after(60)), (false, true));
}

#[test]
fn a_leak_stops_everything_until_it_is_mended() {
    let rig = rig("orchard-pickup");
    let words: Vec<String> =
        ["leak at the filter", "done", "mended new seal"].iter().map(|w| (*w).to_owned()).collect();
    let mut one = session(&rig, "runs-lean");
    let (_, text) = talk(&mut one, &words);
    assert!(text.contains("Key off") || text.contains("key off"), "{text}");
    assert!(text.contains("Error:"), "nothing is taken while it leaks: {text}");
}

#[test]
fn what_stands_in_the_way_after_a_correction_is_put_back_by_a_word() {
    use faultwalk::terms::State;
    use faultwalk::walk::{Event, Reason};
    let rig = rig("orchard-pickup");
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/trees-small");
    let tree = Arc::new(Library::open(&folder).unwrap().tree("small-lean").unwrap());
    let mut one = Session::begin(rig, tree, None, UnitSystem::Metric).unwrap();
    one.answer("none").unwrap();
    one.done().unwrap();
    let given = Given::Cannot { reason: Reason::NoTool, note: None };
    one.send(Event::Changed { step: "fit/pump-off".into(), given }).unwrap();
    let words = ["?", "12.1 V", "put-back", "done", "understood", "12.1 V"].map(str::to_owned);
    let (_, text) = talk(&mut one, &words);
    assert!(text.contains("must be put back: pump disabled. As it is, the pump cannot run."), "{text}");
    assert!(text.contains("now: put-back") && text.contains("Type: put-back"), "{text}");
    assert!(!one.state().held().contains(State::PumpDisabled), "{text}");
    assert_eq!(text.matches("Kept.").count(), 1, "the reading counts once the pump is back: {text}");
}
