//! Tier A: no noise, a careful reader, one fault at a time.

use super::walker::Walker;
use crate::faults::{applies, entry, noticed};
use crate::rig::Rig;
use crate::terms::{Fault, Part, Tool};
use crate::tree::Tree;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;

/// A fault put into a car.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Injected {
    /// The fault.
    pub fault: Fault,
    /// Its severity.
    pub severity: f64,
}

/// Where a walk ended.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// In a finding.
    Finding {
        /// Its id.
        id: String,
        /// Its fault and those it can't be parted from.
        faults: Vec<Fault>,
    },
    /// In a hand-over.
    Handover {
        /// Its id.
        id: String,
        /// The faults left.
        narrowed: Vec<Fault>,
    },
    /// In an error: a dead end, an unsafe step, an answer that was refused.
    Failed(String),
}

/// One walk.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// What was put in.
    pub injected: Injected,
    /// Where it ended.
    pub end: End,
    /// Minutes by the tree's figures.
    pub minutes: f64,
    /// Steps in order with what they gave.
    pub path: Vec<(String, String)>,
}

impl Outcome {
    /// The parts the end names.
    pub fn parts(&self) -> BTreeSet<Part> {
        match &self.end {
            End::Finding { faults, .. } => faults.iter().map(|f| f.part()).collect(),
            End::Handover { narrowed, .. } => narrowed.iter().map(|f| f.part()).collect(),
            End::Failed(_) => BTreeSet::new(),
        }
    }

    /// Whether the end names the part at fault.
    pub fn right(&self) -> bool {
        self.parts().contains(&self.injected.fault.part())
    }

    /// Whether the end is a finding that names only sound parts.
    pub fn wrong(&self) -> bool {
        matches!(&self.end, End::Finding { faults, .. } if faults[0] != Fault::NoFault) && !self.right()
    }

    /// Whether something was found to be wrong at all.
    pub fn detected(&self) -> bool {
        match &self.end {
            End::Finding { faults, .. } => faults[0] != Fault::NoFault,
            End::Handover { narrowed, .. } => !narrowed.is_empty(),
            End::Failed(_) => false,
        }
    }
}

/// The faults to put into a car: each at its least, middle and greatest severity, to both sides where it has two, as far as
/// anybody would notice.
pub fn injected(rig: &Rig, faults: &[Fault]) -> Vec<Injected> {
    let mut all = Vec::new();
    for &fault in faults.iter().filter(|f| applies(rig, **f).is_ok()) {
        let row = entry(fault);
        let (least, most) = row.severity;
        let mut severities = vec![most];
        if fault == Fault::NoFault {
            severities = vec![0.0];
        } else if least < most {
            severities.extend([least, f64::midpoint(least, most)]);
        }
        for severity in severities {
            all.push(Injected { fault, severity });
            if row.two_sided {
                all.push(Injected { fault, severity: -severity });
            }
        }
    }
    all.retain(|i| noticed(rig, i.fault, i.severity));
    all
}

/// Walks one tree on one faulty car.
pub fn walk_one(tree: &Arc<Tree>, rig: &Arc<Rig>, injected: Injected, tools: Option<&[Tool]>) -> Outcome {
    Walker::new(tree, rig).free(injected, tools)
}

/// Walks a tree on a rig with every fault in `faults`, in parallel.
pub fn run(tree: &Arc<Tree>, rig: &Arc<Rig>, faults: &[Fault], tools: Option<&[Tool]>) -> Vec<Outcome> {
    injected(rig, faults)
        .into_par_iter()
        .map_init(|| Walker::new(tree, rig), |walker, i| walker.free(i, tools))
        .collect()
}
