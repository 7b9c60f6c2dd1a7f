//! What is asked and offered at a step: answers that this car can show, cautions, slips of the unit that could be.

use super::ends::walked;
use super::{after, model, rig, session, stages, talk};
use faultwalk::library::Library;
use faultwalk::session::{Ask, Session};
use faultwalk::terms::{Condition, Fault, Observation, Reading, WORDS};
use faultwalk::tree::StepKind;
use faultwalk::walk::Event;

/// The first stage of a walk at which `wanted` holds.
fn stage(walked: &Session, wanted: impl Fn(&Session) -> bool) -> Session {
    stages(walked).find(wanted).expect("the walk never comes to it")
}

fn looks_at(wanted: Observation) -> impl Fn(&Session) -> bool {
    move |s| {
        s.state().open_step().is_some_and(|i| {
            matches!(s.tree().steps[i].kind, StepKind::Observe { observation, .. } if observation == wanted)
        })
    }
}

#[test]
fn a_car_without_a_return_is_not_asked_whether_feed_and_return_are_swapped() {
    for (name, returns) in [("orchard-pickup", true), ("depot-van", false)] {
        let rig = rig(name);
        assert_eq!(rig.car.regulator.style.has_return(), returns, "{name}");
        let mut at = stage(&model(&rig, "runs-lean", Fault::NoFault, 0.0), looks_at(Observation::HosesByEye));
        let words = ["understood", "?", "swapped"].map(str::to_owned);
        let (_, text) = talk(&mut at, &words);
        assert_eq!(text.contains("  swapped: feed and return swapped"), returns, "{name}: {text}");
        assert_eq!(text.contains("sound or kinked or collapsed >"), !returns, "{name}: {text}");
        assert_eq!(text.contains("now: sound or kinked or collapsed\n"), !returns, "{name}: {text}");
        let refused = text.contains(
            "Error: 'swapped' is no answer to fuel hoses by eye; expected sound, kinked, collapsed.",
        );
        assert_eq!(refused, !returns, "{name}: {text}");
    }
}

#[test]
fn cautions_are_confirmed_at_each_step_that_has_them_whatever_was_confirmed_before() {
    let mut at = stage(
        &model(&rig("orchard-pickup"), "runs-lean", Fault::NoFault, 0.0),
        looks_at(Observation::HosesByEye),
    );
    let first = at.state().open_step().unwrap();
    at.confirm_cautions().unwrap();
    at.answer("kinked").unwrap();
    let open = at.state().open_step().unwrap();
    let step = at.tree().steps[open].clone();
    assert!(open != first && !step.cautions.is_empty() && step.cautions == at.tree().steps[first].cautions);
    let Ask::Step(view) = at.ask() else { panic!() };
    assert_eq!(
        view.cautions_due, step.cautions,
        "the same ones, confirmed a moment ago, are due all the same"
    );
    assert!(at.answer("sound").is_err(), "and nothing is kept before");
    let confirmed =
        at.events().iter().any(|e| matches!(e, Event::CautionConfirmed { step: s, .. } if *s == step.id));
    assert!(!confirmed, "the journal says nothing that nobody did");
}

#[test]
fn no_slip_is_suggested_that_no_gauge_shows() {
    let whole = walked(Fault::FeedFilterBlocked, 0.8, &[], &[]);
    let (mut seen, mut hints) = (std::collections::BTreeSet::new(), 0);
    for at in stages(&whole) {
        let Some(open) = at.state().open_step() else { continue };
        if !matches!(at.tree().steps[open].kind, StepKind::Read(_)) || !seen.insert(open) {
            continue;
        }
        for number in ["-45", "-58", "-18", "45", "58", "400", "4", "-4", "-0.2"] {
            for unit in ["psi", "kPa", "bar", "inHg"] {
                let mut one = after(&at, at.events().len());
                let Err(error) = one.read(&format!("{number} {unit}"), None) else { continue };
                let text = error.to_string();
                let said = text.split("would fit").next().unwrap_or_default();
                let Some(hint) = text.contains("would fit").then(|| said.rsplit(['.', ',']).next().unwrap())
                else {
                    continue;
                };
                hints += 1;
                assert!(!hint.contains('-'), "{number} {unit}: {text}");
                let gauge = !hint.contains("vacuum") && !hint.contains("inHg");
                let reading = &at.tree().steps[open].id;
                assert!(gauge || text.contains("vacuum"), "{reading}: {text}");
            }
        }
    }
    assert!(hints > 5, "{hints} hints at {seen:?}");
}

#[test]
fn the_words_of_the_trade_are_explained_in_order_and_each_is_one_that_is_used() {
    let mut at = session(&rig("orchard-pickup"), "runs-lean");
    let (_, text) = talk(&mut at, &["words".to_owned()]);
    let words: Vec<&str> = WORDS.iter().map(|(word, _)| *word).collect();
    assert!(words.is_sorted_by_key(|w| w.to_lowercase()), "{words:?}");
    let library = Library::embedded();
    let mut said: String =
        library.paths().iter().map(|p| library.file(p).unwrap().text.to_string()).collect();
    said.extend(faultwalk::rig::FIELDS.iter().map(|f| format!("{} {} {}\n", f.path, f.label, f.default)));
    said.extend(Reading::ALL.iter().map(|r| format!("{}\n", r.name())));
    said.extend(Condition::ALL.iter().map(|c| format!("{}\n", c.name())));
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    said.push_str(&std::fs::read_to_string(root.join("src/tui/door/supply.rs")).unwrap());
    let said = said.to_lowercase();
    for (word, means) in WORDS {
        assert!(text.contains(&format!("{word}: {means}")), "{word} is not said");
        assert!(said.contains(&word.to_lowercase()), "{word} is used nowhere");
    }
}
