//! A pump, filter or regulator is named as the fault without a pressure reading or a look at the part.
//!
//! Why: volts, amps and sounds cannot tell a worn pump from a blocked filter. A person with only a multimeter ends in
//! "narrowed to …; measure pressure before buying parts", never in a confirmed pump, filter or regulator.
//!
//! Remedy: read a fuel pressure on every path to the finding, or look at the part itself, or end in a hand-over that names
//! what is left. In a tree without a pressure gauge such a finding has no place at all.
use crate::lint::flow::{Flow, Spot};
use crate::lint::held::Marks;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::{Fault, Part, Tool};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "parts-without-pressure",
    level: Level::Error,
    source: include_str!("parts_without_pressure.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    let gauge = flow.tree.steps.iter().any(|s| s.tools.contains(&Tool::PressureGauge));
    for (i, finding) in flow.tree.findings.iter().enumerate() {
        let judged = matches!(
            finding.fault.part(),
            Part::Pump | Part::FeedFilter | Part::Regulator | Part::RegulatorSetting
        );
        if !judged {
            continue;
        }
        // A pump that draws its stalled current in silence is proved stuck by that current, where a gauge could be had.
        let by_current = finding.fault == Fault::PumpSeized && gauge;
        let proved = |marks: Marks| marks.has(Marks::PRESSURE) || (gauge && marks.has(Marks::SHOWN));
        let entry = flow.at(Spot::Finding(i)).find(|e| !by_current && !proved(e.held.marks));
        if let Some(entry) = entry {
            let message = format!(
                "'{}' names {} without a pressure reading {}",
                finding.id,
                finding.fault,
                flow.path_to(entry)
            );
            found.in_tree(flow.tree, "findings", &finding.origin, "fault", message);
        }
    }
}
