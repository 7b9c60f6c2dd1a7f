//! The places for the gauge do not fit the reading.
//!
//! Why: the expected band depends on where the gauge sits. Without a place the program does not know it, and a wrong place
//! measures something else.
//!
//! Remedy: name where this reading can be taken: rail-tap, inlet-adapter or remote-regulator for the rail, before-filter for
//! the pump's outlet, after-filter behind the filter; none for what is not read with a fuel pressure gauge.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::{Place, Reading, Tool};
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "places-unfit",
    level: Level::Error,
    source: include_str!("places_unfit.rs"),
    check: Check::File(check),
};

fn fit(reading: Reading) -> &'static [Place] {
    match reading {
        Reading::RailPressure | Reading::HeldPressure | Reading::InjectorPressure => {
            &[Place::RailTap, Place::InletAdapter, Place::RemoteRegulator]
        }
        Reading::PumpOutletPressure => &[Place::BeforeFilter],
        Reading::FilterOutletPressure => &[Place::AfterFilter],
        _ => &[],
    }
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Read(read) = &step.kind else { continue };
        let fit = fit(read.reading);
        let gauge = read.with == Tool::PressureGauge;
        let ids: Vec<&str> = fit.iter().map(|p| p.id()).collect();
        if gauge && read.places.is_empty() && !fit.is_empty() {
            let message = format!("'{}' does not say where the gauge may sit", step.id);
            found
                .in_file(view, step_path(&step.id, ""), message)
                .hint(format!("add 'places: [{}]'", ids.join(", ")));
        }
        for (i, place) in read.places.iter().enumerate() {
            if !fit.contains(place) {
                let message = format!("{place} is no place to read {}", read.reading.name());
                let hint = if ids.is_empty() {
                    "remove 'places'".to_owned()
                } else {
                    format!("use {}", ids.join(", "))
                };
                found.in_file(view, step_path(&step.id, &format!("places/{i}")), message).hint(hint);
            }
        }
    }
}
