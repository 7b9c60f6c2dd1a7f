//! What people say of a car leads to the tree for it.

use faultwalk::library::Library;
use faultwalk::terms::Complaint;

/// What is said, and the tree that is offered first for it.
const SAID: [(&str, &str); 58] = [
    ("my car smokes black", "runs-rich"),
    ("black smoke out of the tailpipe", "runs-rich"),
    ("there is a gas smell in the garage", "runs-rich"),
    ("it smells of petrol", "runs-rich"),
    ("the plugs are black and wet", "runs-rich"),
    ("it keeps fouling plugs", "runs-rich"),
    ("it floods when I start it", "runs-rich"),
    ("terrible mileage since the conversion", "runs-rich"),
    ("it stinks of fuel", "runs-rich"),
    ("soot on the bumper", "runs-rich"),
    ("it bogs", "runs-lean"),
    ("hesitates when I touch the pedal", "runs-lean"),
    ("it stumbles off the line", "runs-lean"),
    ("it surges on the level", "runs-lean"),
    ("it backfires through the intake", "runs-lean"),
    ("bucking and jerking", "runs-lean"),
    ("it coughs and spits", "runs-lean"),
    ("there is a flat spot", "runs-lean"),
    ("it sputters", "runs-lean"),
    ("cranks but won't fire", "no-pressure"),
    ("cranks but won’t start", "no-pressure"),
    ("it wont start", "no-pressure"),
    ("turns over but nothing happens", "no-pressure"),
    ("it refuses to start", "no-pressure"),
    ("the pump is dead", "no-pressure"),
    ("I can't hear the pump", "no-pressure"),
    ("there is no fuel pressure", "no-pressure"),
    ("the pump does not prime", "no-pressure"),
    ("low fuel pressure", "low-pressure"),
    ("the pressure drops", "low-pressure"),
    ("the fuel pressure is too low: not enough pressure", "low-pressure"),
    ("high fuel pressure", "high-pressure"),
    ("the pressure climbs when the line warms", "high-pressure"),
    ("no power up hills", "falls-under-load"),
    ("falls on its face at full throttle", "falls-under-load"),
    ("it loses power when towing", "falls-under-load"),
    ("noses over at high rpm", "falls-under-load"),
    ("goes flat in boost", "lean-in-boost"),
    ("leans out when the turbo comes in", "lean-in-boost"),
    ("it stalls at traffic lights", "load-sensing"),
    ("dies when it is hot", "hot-restart"),
    ("vapor lock in summer", "hot-restart"),
    ("it quits once warm", "hot-restart"),
    ("hard to start in the morning", "leaks-down"),
    ("it cranks forever", "leaks-down"),
    ("takes ages to start after it stood overnight", "leaks-down"),
    ("the pump is noisy", "pump-noise"),
    ("the pump howls", "pump-noise"),
    ("where does the gauge go", "placement"),
    ("I don't trust the gauge", "gauge-doubtful"),
    ("the needle jumps", "gauge-doubtful"),
    ("I switched to E85", "ethanol"),
    ("one cylinder is dead", "one-cylinder"),
    ("it misfires", "one-cylinder"),
    ("I hear a hiss at the manifold", "load-sensing"),
    ("it idles too high", "load-sensing"),
    ("I doubt the wideband", "false-mixture"),
    ("all I have is a multimeter", "electrical-only"),
];

#[test]
fn what_people_say_leads_to_the_tree_for_it() {
    let library = Library::embedded();
    let mut wrong = Vec::new();
    for (said, tree) in SAID {
        let first = library.answering(&Complaint::in_sentence(said)).into_iter().next();
        if first.as_ref().map(|a| a.id.as_str()) != Some(tree) {
            wrong.push(format!("{said:?}: {:?} not {tree}", first.map(|a| a.id)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_tree_and_every_kind_of_complaint_is_among_what_is_said() {
    for heading in Library::embedded().trees() {
        let id = heading.heading.tree.unwrap();
        assert!(SAID.iter().any(|(_, tree)| *tree == id), "nothing said leads to {id}");
    }
    for kind in Complaint::ALL {
        assert!(
            SAID.iter().any(|(said, _)| Complaint::in_sentence(said).contains(kind)),
            "{kind} is never said"
        );
    }
}

#[test]
fn what_says_nothing_of_a_fault_points_to_nothing() {
    for said in ["see the photo, it is humid", "my car is red", "it has a new bonnet"] {
        assert!(Complaint::in_sentence(said).is_empty(), "{said}: {:?}", Complaint::in_sentence(said));
    }
}
