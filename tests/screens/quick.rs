//! How long the program itself keeps a person who takes its offers: the keys they press and the screens they have to read, to a finding.

use super::people::{begin, one_step, rig_text};
use faultwalk::library::Library;
use faultwalk::rig::Rig;
use faultwalk::session::FaultyCar;
use faultwalk::terms::Fault;
use faultwalk::tui::{Key, Offered, Prompt};
use std::collections::BTreeSet;
use std::fmt::Write;

/// What one takes for a group of keys: a reading with Enter, an answer with Enter, Y, the letter of an offer. As a newcomer was
/// timed.
const GROUP: f64 = 3.0;
/// For a screen that was not read yet.
const SCREEN: f64 = 5.0;
/// The start: the sentence, the walk, the car, the site.
const START: (usize, usize) = (5, 4);

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Groups of keys and screens up to the finding, and which fault it names.
fn counted(
    rig_name: &str,
    sentence: &str,
    tree_id: &str,
    fault: Fault,
    severity: f64,
) -> (usize, usize, Fault) {
    let rig = Rig::parse(rig_name, &rig_text(rig_name)).unwrap();
    let broken = FaultyCar::new(&rig, &[(fault, severity)]).unwrap();
    let sound = FaultyCar::new(&rig, &[]).unwrap();
    let tree = Library::embedded().tree(tree_id).unwrap();
    let mut b = begin(rig_name, sentence, tree_id, 80, 24);
    let (mut groups, mut screens) = START;
    let mut again: BTreeSet<String> = BTreeSet::new();
    for _ in 0..400 {
        b.odds_come();
        let step = match b.app.model().prompt.clone() {
            Prompt::Step(step) => step,
            Prompt::Finding(found) => {
                let found = tree.findings.iter().find(|f| f.id == found.id).unwrap();
                return (groups, screens + 1, found.fault);
            }
            other => panic!("{rig_name}, {fault}: came to {other:?}"),
        };
        // A thing seen again once is enough here: the car shows the same once more.
        let free =
            |o: &Offered| *o != Offered::Again || again.insert(step.offers.again.clone().unwrap_or_default());
        let offered = [Offered::Again, Offered::Named, Offered::Better, Offered::Later];
        let offer = offered.into_iter().filter(|o| step.offers.act(*o).is_some()).find(free);
        let due = b.app.model().caution_due();
        screens += 1;
        if let Some(offer) = offer.filter(|_| !step.typed() || due.is_none()) {
            // Where letters are typed the page of what still stands comes between.
            screens += usize::from(step.typed());
            groups += 1 + usize::from(step.typed());
            b.keys(if step.typed() { "<c-s>" } else { "" });
            b.press(Key::Char(offer.letter().to_ascii_lowercase()));
            continue;
        }
        while let Some(due) = b.app.model().caution_due() {
            // The task stands whole below the last caution: no new screen.
            let screen = flat(&b.screen());
            let whole = due.last && screen.contains(&flat(&step.action)) && !screen.contains("Then:");
            b.press(Key::Char('y'));
            groups += 1;
            screens += usize::from(!whole);
        }
        one_step(&mut b, &tree, &broken, &sound);
        groups += 1;
    }
    panic!("{rig_name}, {fault}: no finding in 400 steps");
}

#[test]
fn on_three_cars_a_finding_is_under_five_minutes_of_keys_and_screens_away() {
    let cars = [
        ("orchard-pickup", "it does not start, the pump is silent", "no-pressure", Fault::PumpRelayOpen, 1.0),
        ("quarry-sedan", "runs lean at idle", "runs-lean", Fault::VacuumLeak, 0.6),
        (
            "harbour-roadster",
            "runs rich since the tank was out",
            "runs-rich",
            Fault::ReturnLineRestricted,
            0.8,
        ),
    ];
    let mut told = String::new();
    let mut most: f64 = 0.0;
    for (rig, sentence, tree, fault, severity) in cars {
        let (groups, screens, found) = counted(rig, sentence, tree, fault, severity);
        assert_eq!(found, fault, "{rig}");
        let seconds = GROUP * groups as f64 + SCREEN * screens as f64;
        writeln!(told, "{rig}, {fault}: {groups} groups of keys, {screens} screens, {seconds} s").unwrap();
        most = most.max(seconds);
    }
    println!("{told}");
    assert!(most < 300.0, "{told}");
}
