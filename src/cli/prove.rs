//! `prove [TREE…]`: inject every fault into every rig, walk every tree, count.

use super::car::read_rig;
use super::walk::{library, load_tree};
use super::{Done, Failure, Output};
use crate::prove::{self, End, Outcome};
use crate::terms::{Fault, Tool};
use serde_json::json;
use std::path::PathBuf;
use std::sync::Arc;

/// Arguments of `prove`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  faultwalk prove runs-lean --rigs fixtures/rigs")]
pub struct Args {
    /// Trees; all of the library when none is named.
    trees: Vec<String>,
    /// Folder of rig files.
    #[arg(long, default_value = "fixtures/rigs")]
    rigs: PathBuf,
    /// Trees from this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    library: Option<PathBuf>,
    /// Also faults the tree does not claim.
    #[arg(long)]
    all_faults: bool,
    /// Only this fault.
    #[arg(long)]
    fault: Option<Fault>,
    /// Only tools with these ids.
    #[arg(long, value_delimiter = ',')]
    tools: Option<Vec<Tool>>,
    /// Show the whole path of walks that did not end right.
    #[arg(long)]
    paths: bool,
}

/// Proves.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let library = library(args.library.as_deref())?;
    let names: Vec<String> = if args.trees.is_empty() {
        library.trees().into_iter().filter_map(|l| l.heading.tree).collect()
    } else {
        args.trees.clone()
    };
    let mut files: Vec<PathBuf> = std::fs::read_dir(&args.rigs)
        .map_err(|e| Failure::file("read", &args.rigs, &e))?
        .filter_map(Result::ok)
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "yaml"))
        .collect();
    files.sort();
    let mut reports = Vec::new();
    let mut in_order = true;
    for name in &names {
        let tree = Arc::new(load_tree(&library, name)?);
        for file in &files {
            let rig = Arc::new(read_rig(file)?);
            let claimed = |f: &Fault| args.all_faults || *f == Fault::NoFault || tree.finds.contains(f);
            let faults: Vec<Fault> = match args.fault {
                Some(fault) => vec![fault],
                None => Fault::ALL.iter().copied().filter(claimed).collect(),
            };
            let outcomes = prove::run(&tree, &rig, &faults, args.tools.as_deref());
            let bad: Vec<&Outcome> = outcomes.iter().filter(|o| !fine(o)).collect();
            in_order &= bad.is_empty();
            if out.wants_json() {
                reports.push(json!({
                    "tree": name, "rig": rig.name, "walks": outcomes.len(),
                    "right": outcomes.iter().filter(|o| fine(o)).count(),
                    "wrong": outcomes.iter().filter(|o| o.wrong()).count(),
                }));
                continue;
            }
            let count = outcomes.len();
            let right = count - bad.len();
            let wrong = outcomes.iter().filter(|o| o.wrong()).count();
            out.line(format!("{name} on {}: {right} of {count} right, {wrong} wrong", rig.name))?;
            for outcome in bad {
                show(outcome, args.paths, out)?;
            }
        }
    }
    if out.wants_json() {
        out.json(&json!({ "tier_a": reports }))?;
    }
    Ok(if in_order { Done::Fine } else { Done::NotInOrder })
}

fn fine(outcome: &Outcome) -> bool {
    match &outcome.end {
        End::Finding { .. } | End::Handover { .. } if outcome.injected.fault == Fault::NoFault => {
            !outcome.detected()
        }
        _ => outcome.right(),
    }
}

fn show(outcome: &Outcome, paths: bool, out: &mut Output) -> Result<(), Failure> {
    let end = match &outcome.end {
        End::Finding { id, .. } => format!("finding {id}"),
        End::Handover { id, narrowed } => {
            let left: Vec<&str> = narrowed.iter().map(|f| f.id()).collect();
            format!("hand-over {id} [{}]", left.join(", "))
        }
        End::Failed(why) => format!("FAILED {why}"),
    };
    out.line(format!(
        "  {}={:.2} -> {end} ({:.0} min)",
        outcome.injected.fault, outcome.injected.severity, outcome.minutes
    ))?;
    if paths {
        for (step, what) in &outcome.path {
            out.line(format!("      {step:<48} {what}"))?;
        }
    }
    Ok(())
}
