//! The induction path: where the injector tip, the regulator's reference and the load sensor sit, and what the pressure is
//! there.

use super::super::look::Sign;
use super::super::sheet::{Sheet, wrap};
use super::super::theme::Role;

/// One station of the path.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StationView {
    /// Its name.
    pub name: String,
    /// What sits there: tip, reference, sensor.
    pub points: Vec<String>,
    /// Pressure by condition, as text.
    pub pressures: Vec<(String, String)>,
}

/// The path in the order the air flows: parts, and between them numbered stations.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct InductionPath {
    /// Names of the parts, in order; a station is written `(1)`, `(2)` and so on.
    pub chain: Vec<String>,
    /// The stations, in the order of their numbers.
    pub stations: Vec<StationView>,
}

impl InductionPath {
    /// Lays out the row and the stations under it.
    pub fn lay(&self, sheet: &mut Sheet) {
        let pipe = sheet.look.sign(Sign::Pipe);
        let row = self.chain.join(&format!(" {pipe} "));
        for line in wrap(&sheet.look.text(&row), sheet.width) {
            let span = sheet.span(Role::Text, &line);
            sheet.line(vec![span]);
        }
        for (i, station) in self.stations.iter().enumerate() {
            let sign = format!("({})", i + 1);
            let mut text = station.name.clone();
            if !station.points.is_empty() {
                text.push_str(": ");
                text.push_str(&station.points.join(", "));
            }
            let role = if station.points.is_empty() { Role::Muted } else { Role::Strong };
            sheet.item(&sign, role, &text);
            if !station.pressures.is_empty() {
                let values: Vec<String> =
                    station.pressures.iter().map(|(at, value)| format!("{at} {value}")).collect();
                sheet.hanging(4, "", Role::Text, &values.join(", "));
            }
        }
    }
}
