//! A vacuum gauge is spoken of as it reads: so much below the atmosphere.

use super::{model, rig, session, talk};
use faultwalk::quantity::UnitSystem;
use faultwalk::session::{Session, on_vacuum_gauge, vacuum_limits};
use faultwalk::terms::{Condition, Fault, Reading};
use faultwalk::tree::StepKind;
use faultwalk::walk::{Event, Given, Taken};

/// Just before the step that reads the manifold, and what the simulated car gave there.
fn at_manifold(units: UnitSystem) -> (Session, Taken) {
    let walked = model(&rig("orchard-pickup"), "load-sensing", Fault::NoFault, 0.0);
    let manifold = |e: &Event| match e {
        Event::Read { taken, .. } if taken.reading == Reading::ManifoldPressure => {
            Some(taken.as_ref().clone())
        }
        _ => None,
    };
    let at = walked.events().iter().position(|e| manifold(e).is_some()).expect("the manifold was not read");
    let before = walked.events()[..at].iter().cloned();
    let mut one = Session::replay(walked.rig().clone(), walked.tree().clone(), before).unwrap();
    one.set_units(units);
    (one, manifold(&walked.events()[at]).unwrap())
}

#[test]
fn the_manifold_is_expected_as_vacuum_with_the_absolute_pressure_beside_it() {
    let (mut one, taken) = at_manifold(UnitSystem::Us);
    let (_, text) = talk(&mut one, &["quit".to_owned()]);
    let said = text.lines().find(|l| l.starts_with("Expected ")).unwrap();
    assert!(said.contains(" inHg vacuum (") && said.contains(" inHg abs)"), "{said}");
    assert!(vacuum_limits(taken.reading, &taken.band, &one.rig().car).is_some());
}

#[test]
fn a_bare_number_is_so_much_vacuum_and_absolute_stays_absolute() {
    let inches = 1.0 / 3_386.389;
    for minus in ["", "-"] {
        let (mut one, taken) = at_manifold(UnitSystem::Us);
        let below = (one.rig().car.site.atmosphere.0 - taken.si) * inches;
        let (_, text) = talk(&mut one, &[format!("{minus}{below:.2}"), "quit".to_owned()]);
        let of = |(_, given): (usize, &Given)| match given {
            Given::Read { taken } if taken.reading == Reading::ManifoldPressure => {
                Some(taken.as_ref().clone())
            }
            _ => None,
        };
        let now = one.state().path().find_map(of).unwrap_or_else(|| panic!("{text}"));
        assert!((now.si - taken.si).abs() < 50.0, "{} against {}", now.si, taken.si);
        assert_eq!(now.said(), format!("{below:.2} inHg vacuum"));
        assert!(text.contains("inHg vacuum is within"), "{text}");
    }
    let (one, taken) = at_manifold(UnitSystem::Metric);
    let absolute = one.preview(&format!("{:.2} kPa abs", taken.si / 1e3), None).unwrap();
    assert!((absolute.si - taken.si).abs() < 20.0);
}

#[test]
fn what_proves_a_repair_is_said_as_vacuum_too() {
    let one = session(&rig("mill-road-sedan"), "lean-in-boost");
    let mut said = 0;
    for finding in &one.tree().findings {
        let step = finding.confirm.as_ref().map(|c| &one.tree().steps[c.repeat]);
        let Some(StepKind::Read(read)) = step.map(|s| &s.kind) else { continue };
        if !on_vacuum_gauge(read.reading) || read.at != Condition::Idle {
            continue;
        }
        let aim = one.aim(finding, UnitSystem::Us).unwrap();
        assert!(aim.contains(" inHg vacuum, from ") && !aim.contains('-'), "{aim}");
        said += 1;
    }
    assert!(said > 0);
}
