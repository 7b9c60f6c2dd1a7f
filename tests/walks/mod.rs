//! The main job without a person: answers files, made by the model with a fault in it or written by hand, walk to the right
//! finding. No step knows the fault; the answers hold what every instrument would show, and the tree picks what it asks for.

use faultwalk::faults::likeliest;
use faultwalk::rig::Rig;
use faultwalk::session::{Bench, FaultyCar, typed};
use faultwalk::terms::{Condition, Fault, Observation, Reading, Tool};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Tree, rig, fault, severity: at least twenty faults on at least four rigs.
const MADE: &[(&str, &str, Fault, f64)] = &[
    ("runs-lean", "orchard-pickup", Fault::FeedFilterBlocked, 0.7),
    ("runs-lean", "orchard-pickup", Fault::PumpWorn, 0.8),
    ("runs-lean", "orchard-pickup", Fault::RegulatorSetLow, 0.7),
    ("runs-lean", "orchard-pickup", Fault::PumpFeedVoltageLow, 0.8),
    ("runs-lean", "orchard-pickup", Fault::ConfiguredPressureWrong, 0.8),
    ("runs-lean", "mill-road-sedan", Fault::PumpGroundPoor, 0.8),
    ("runs-lean", "mill-road-sedan", Fault::InletStrainerBlocked, 0.8),
    ("runs-lean", "mill-road-sedan", Fault::InjectorsFouled, 0.8),
    ("runs-lean", "mill-road-sedan", Fault::ExhaustLeakBeforeSensor, 0.8),
    ("runs-lean", "mill-road-sedan", Fault::EthanolContentMismatch, 0.8),
    ("runs-lean", "harbour-coupe", Fault::FeedLineRestricted, 0.9),
    ("runs-lean", "harbour-coupe", Fault::ReferenceHoseOff, 1.0),
    ("runs-lean", "lighthouse-hotrod", Fault::MapWrongStation, 1.0),
    ("runs-lean", "lighthouse-hotrod", Fault::ConfiguredInjectorFlowWrong, -0.8),
    ("runs-rich", "mill-road-sedan", Fault::RegulatorSetHigh, 0.8),
    ("runs-rich", "mill-road-sedan", Fault::ReturnLineRestricted, 0.6),
    ("runs-rich", "high-pasture-wagon", Fault::ReferenceHoseOff, 1.0),
    ("runs-rich", "mill-road-sedan", Fault::RegulatorDiaphragmRuptured, 0.8),
    ("runs-rich", "orchard-pickup", Fault::CoolantSensorReadsCold, 0.8),
    ("runs-rich", "mill-road-sedan", Fault::InjectorLeaking, 0.8),
    ("no-pressure", "orchard-pickup", Fault::PumpFuseOpen, 1.0),
    ("no-pressure", "mill-road-sedan", Fault::PumpRelayOpen, 1.0),
    ("no-pressure", "harbour-coupe", Fault::PumpSeized, 1.0),
    ("no-pressure", "lighthouse-hotrod", Fault::PumpConnectorOpen, 1.0),
    ("electrical-only", "orchard-pickup", Fault::PumpGroundPoor, 0.9),
    ("electrical-only", "mill-road-sedan", Fault::ChargingVoltageLow, 0.9),
];

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn rig(name: &str) -> Rig {
    let path = root(&format!("fixtures/rigs/{name}.yaml"));
    Rig::parse(name, &std::fs::read_to_string(path).unwrap()).unwrap()
}

/// What every instrument and every look would give on the faulty car.
fn answers(rig: &Rig, fault: Fault, severity: f64) -> String {
    let car = FaultyCar::new(rig, &[(fault, severity)]).unwrap();
    let mut text = format!(
        "# Made by the model: {} with {fault} at {severity} in it. Invented data.\nreadings:\n",
        rig.name
    );
    for &at in Condition::ALL {
        for &reading in Reading::ALL {
            if let Some(si) = car.read(reading, at, Tool::PressureGauge, None) {
                writeln!(text, "  {reading}@{at}: {}", typed(reading, si)).unwrap();
            }
        }
    }
    text.push_str("observations:\n");
    for &observation in Observation::ALL {
        let shown = likeliest(rig, fault, severity, observation).id;
        if observation.is_percentage() {
            writeln!(text, "  {observation}: {:.1} %", car.ethanol() * 100.0).unwrap();
        } else {
            writeln!(text, "  {observation}: '{shown}'").unwrap();
        }
    }
    text
}

fn file_of(tree: &str, rig: &str, fault: Fault) -> PathBuf {
    root(&format!("fixtures/answers/{tree}--{rig}--{fault}.yaml"))
}

fn walk(tree: &str, rig: &str, answers: &Path) -> serde_json::Value {
    let cases = tempfile::tempdir().unwrap();
    let rig = root(&format!("fixtures/rigs/{rig}.yaml"));
    let (out, _) = crate::commands::run(
        &[
            "walk",
            tree,
            "--rig",
            rig.to_str().unwrap(),
            "--answers",
            answers.to_str().unwrap(),
            "--cases",
            cases.path().to_str().unwrap(),
            "--json",
        ],
        0,
    );
    serde_json::from_str(&out).unwrap()
}

#[test]
fn answers_made_by_the_model_are_what_is_shipped() {
    let mut drifted = Vec::new();
    for &(tree, name, fault, severity) in MADE {
        let made = answers(&rig(name), fault, severity);
        let path = file_of(tree, name, fault);
        if std::env::var_os("FAULTWALK_WRITE").is_some() {
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(&path, &made).unwrap();
        }
        if std::fs::read_to_string(&path).ok().as_deref() != Some(&made) {
            drifted.push(path.display().to_string());
        }
    }
    assert!(
        drifted.is_empty(),
        "run the test with FAULTWALK_WRITE=1 and look at what changed:\n{}",
        drifted.join("\n")
    );
}

#[test]
fn answers_from_a_faulty_model_end_in_the_finding_of_that_fault() {
    let mut wrong = Vec::new();
    let mut faults = std::collections::BTreeSet::new();
    let mut rigs = std::collections::BTreeSet::new();
    for &(tree, name, fault, _) in MADE {
        let result = walk(tree, name, &file_of(tree, name, fault));
        faults.insert(fault);
        rigs.insert(name);
        if result["fault"] != fault.id() {
            wrong.push(format!(
                "{tree} on {name}, {fault}: ended in {} {}",
                result["finding"], result["handover"]
            ));
        }
        let sum: f64 = result["odds"].as_object().unwrap().values().map(|v| v.as_f64().unwrap()).sum();
        assert!((sum - 1.0).abs() < 1e-6, "odds sum to {sum}");
    }
    assert!(faults.len() >= 20 && rigs.len() >= 4, "{} faults on {} rigs", faults.len(), rigs.len());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Tree, rig, answers written by hand, fault: one of each layout that decides what a gauge should read.
const BY_HAND: &[(&str, &str, &str, Fault)] = &[
    ("runs-rich", "mill-road-sedan", "rich-reference-hose-off", Fault::ReferenceHoseOff),
    ("runs-lean", "orchard-pickup", "lean-poor-ground", Fault::PumpGroundPoor),
    ("lean-in-boost", "harbour-coupe", "boost-blocked-filter", Fault::FeedFilterBlocked),
    ("no-pressure", "lighthouse-hotrod", "no-pressure-fuse", Fault::PumpFuseOpen),
];

#[test]
fn answers_written_by_hand_end_in_the_finding_of_their_fault_on_every_layout() {
    use faultwalk::terms::{Induction, Station, Tip};
    let layouts: Vec<(Induction, Tip, Station)> = BY_HAND
        .iter()
        .map(|&(_, name, ..)| {
            let car = rig(name).car;
            (car.engine.induction, car.injection.tip, car.regulator.reference)
        })
        .collect();
    for wanted in [
        (Induction::Natural, Tip::AbovePlates, Station::Open),
        (Induction::Natural, Tip::Port, Station::Plenum),
        (Induction::BlowThrough, Tip::AbovePlates, Station::BeforePlates),
        (Induction::DrawThrough, Tip::AbovePlates, Station::Open),
    ] {
        assert!(layouts.contains(&wanted), "no answers for {wanted:?} in {layouts:?}");
    }
    for &(tree, name, answers, fault) in BY_HAND {
        let result = walk(tree, name, &root(&format!("fixtures/answers/by-hand-{answers}.yaml")));
        assert_eq!(result["fault"], fault.id(), "{answers}: {}", result["handover"]);
        let odds = result["odds"].as_object().unwrap();
        let likeliest =
            odds.iter().max_by(|a, b| a.1.as_f64().unwrap().total_cmp(&b.1.as_f64().unwrap())).unwrap();
        assert_eq!(likeliest.0, fault.id(), "{answers}: the odds disagree with the finding");
    }
}

/// The observations that anybody who writes answers knows of; ours has more.
const WELL_KNOWN: &[Observation] = &[
    Observation::FuelInTank,
    Observation::FuelSmellOrLeak,
    Observation::FuelAge,
    Observation::RecentWork,
    Observation::PrimeSound,
    Observation::ReferenceHoseInside,
    Observation::ReferenceHoseRouting,
    Observation::LoadSensorHose,
    Observation::HosesByEye,
    Observation::StrainerByEye,
    Observation::FilterByEye,
    Observation::CapOpened,
    Observation::InjectorDrip,
    Observation::InjectorClick,
    Observation::ExhaustJoint,
    Observation::SmokeTest,
    Observation::EthanolTest,
    Observation::PumpHotNoise,
    Observation::ConfiguredPressure,
    Observation::ConfiguredInjector,
    Observation::ConfiguredEngine,
    Observation::SensorFreeAir,
    Observation::CoolantAgainstAirCold,
    Observation::TimingLight,
    Observation::PlugsByEye,
    Observation::PumpPlaced,
    Observation::PumpFuse,
    Observation::InertiaSwitch,
    Observation::RelaySwap,
    Observation::TriggerAtRelay,
    Observation::AirFilter,
    Observation::EngineSpeedShown,
    Observation::OldPumpInLine,
];

#[test]
fn with_the_well_known_looks_alone_every_walk_still_ends_right() {
    let folder = tempfile::tempdir().unwrap();
    for &(tree, name, fault, severity) in MADE {
        let all = answers(&rig(name), fault, severity);
        let kept = |line: &str| {
            let id = line.trim().split(':').next().unwrap_or("");
            let look = id.parse::<Observation>().ok().filter(|_| line.starts_with("  "));
            look.is_none_or(|o| WELL_KNOWN.contains(&o))
        };
        let fewer: Vec<&str> = all.lines().filter(|l| kept(l)).collect();
        assert!(fewer.len() < all.lines().count());
        let path = folder.path().join("fewer.yaml");
        std::fs::write(&path, fewer.join("\n")).unwrap();
        let result = walk(tree, name, &path);
        assert_eq!(
            result["fault"],
            fault.id(),
            "{tree} on {name}: {} {}",
            result["finding"],
            result["handover"]
        );
    }
}
