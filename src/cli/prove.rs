//! `prove [TREE…]`: inject every fault into every rig, walk every tree, count.

use super::car::{fault_of, read_rig, tool_of};
use super::output::read_text;
use super::walk::{library, load_tree};
use super::{Done, Failure, Output};
use crate::faults::applies;
use crate::prove::{self, Effort, End, Figures, Outcome, Person, Reader, Tally, fine};
use crate::rig::Rig;
use crate::terms::{Fault, Tool};
use crate::tree::Tree;
use serde_json::{Map, Value, json};
use std::io::{IsTerminal, Write};
use std::path::PathBuf;
use std::sync::Arc;

/// Arguments of `prove`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    faultwalk prove runs-lean --rigs cars             every rig file in the folder cars\n  \
    faultwalk prove runs-lean --list --paths          the walks that did not end right, step by step\n  \
    faultwalk prove runs-lean --list --cars 4         the same on proof cars, four a fault\n  \
    faultwalk prove --shard 1/4 --samples 20 --json   a quarter of a longer proof\n  \
    faultwalk prove --merge part-1.json part-2.json   shards added up\n  \
    faultwalk prove --walks 100 --reader slipping     where the walks of the whole library end on very many cars")]
pub struct Args {
    /// Trees; all of the library when none is named.
    trees: Vec<String>,
    /// Folder of rig files.
    #[arg(long, default_value = "fixtures/rigs")]
    rigs: PathBuf,
    /// Only the first so many rigs, in the order of their files.
    #[arg(long, value_name = "N")]
    most_rigs: Option<usize>,
    /// Trees from this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    library: Option<PathBuf>,
    /// Proof cars a fault and rig; 0 leaves out everything with noise.
    #[arg(long, default_value_t = 2)]
    samples: u64,
    /// Seed of all draws.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Only the i-th of n equal shares of the work, to be merged afterwards.
    #[arg(long, value_name = "I/N", value_parser = parse_shard)]
    shard: Option<(usize, usize)>,
    /// Add up the JSON of shards instead of proving.
    #[arg(long, value_name = "FILE", num_args = 1.., conflicts_with_all = ["shard", "trees"])]
    merge: Option<Vec<PathBuf>>,
    /// Only the walks, without the odds and without mishaps, on so many proof cars of every fault; a hundred take about a minute.
    #[arg(long, value_name = "N", conflicts_with_all = ["merge", "shard", "list", "paths", "cars", "fault", "all_faults"])]
    walks: Option<u64>,
    /// Only list, per tree and rig, the walks without noise that did not end right.
    #[arg(long)]
    list: bool,
    /// With the list: also faults the tree does not claim.
    #[arg(long)]
    all_faults: bool,
    /// With the list: only this fault; of a car without it, why.
    #[arg(long, value_parser = fault_of)]
    fault: Option<Fault>,
    /// With the list: so many proof cars a fault instead of the model's own cars.
    #[arg(long, value_name = "N")]
    cars: Option<u64>,
    #[command(flatten)]
    person: Walks,
    /// With the list: the whole path of each walk.
    #[arg(long)]
    paths: bool,
}

/// Who walks the proof cars of a list or of the walks.
#[derive(Debug, clap::Args)]
struct Walks {
    /// With the list or the walks: only tools with these ids.
    #[arg(long, value_delimiter = ',', value_parser = tool_of)]
    tools: Option<Vec<Tool>>,
    /// With the proof cars of a list or of the walks: who reads them.
    #[arg(long, value_name = "WHO", value_parser = ["careful", "slipping"], default_value = "careful")]
    reader: String,
    /// With the proof cars of a list or of the walks: take every offer of the odds, instead of following the tree alone.
    #[arg(long)]
    advised: bool,
}

impl Walks {
    fn person(&self) -> Person<'_> {
        let reader = if self.reader == "slipping" { Reader::Slipping } else { Reader::Careful };
        Person { reader, advised: self.advised, tools: self.tools.as_deref() }
    }
}

fn parse_shard(text: &str) -> Result<(usize, usize), String> {
    let wrong = || format!("expected I/N with I from 1 to N, such as 2/4, found '{text}'");
    let (i, n) = text.split_once('/').ok_or_else(wrong)?;
    let (i, n): (usize, usize) = (i.parse().map_err(|_| wrong())?, n.parse().map_err(|_| wrong())?);
    if (1..=n).contains(&i) { Ok((i, n)) } else { Err(wrong()) }
}

/// Proves.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    if let Some(files) = &args.merge {
        return tell(&merged(files)?, out);
    }
    let library = library(args.library.as_deref())?;
    let names: Vec<String> = if args.trees.is_empty() {
        library.trees().into_iter().filter_map(|l| l.heading.tree).collect()
    } else {
        args.trees.clone()
    };
    let mut trees = Vec::new();
    for name in names {
        let tree = Arc::new(load_tree(&library, &name)?);
        trees.push((name, tree));
    }
    let rigs = rigs(args)?;
    if let Some(cars) = args.walks {
        return super::walks::run(&trees, &rigs, (cars, args.seed), args.person.person(), out);
    }
    if args.list
        || args.paths
        || args.cars.is_some()
        || args.fault.is_some()
        || args.all_faults
        || args.person.tools.is_some()
    {
        return list(args, &trees, &rigs, out);
    }
    let effort = Effort { samples: args.samples, seed: args.seed, particles: 64 };
    let mut tally = Tally { seed: args.seed, samples: args.samples, ..Tally::default() };
    let units: Vec<_> = trees.iter().flat_map(|t| rigs.iter().map(move |r| (t, r))).collect();
    let (i, n) = args.shard.unwrap_or((1, 1));
    let mine: Vec<_> = units.into_iter().skip(i - 1).step_by(n).collect();
    let progress = std::io::stderr().is_terminal();
    for (done, ((name, tree), rig)) in mine.iter().enumerate() {
        if progress {
            let _ =
                write!(std::io::stderr(), "\r\x1b[K{} of {}: {name} on {}", done + 1, mine.len(), rig.name);
        }
        let shard = Tally {
            trees: [(name.clone(), prove::prove(tree, rig, effort))].into(),
            ..Tally { seed: args.seed, samples: args.samples, ..Tally::default() }
        };
        tally.merge(&shard).map_err(Failure::Input)?;
    }
    if progress {
        let _ = write!(std::io::stderr(), "\r\x1b[K");
    }
    tell(&tally, out)
}

fn rigs(args: &Args) -> Result<Vec<Arc<Rig>>, Failure> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(&args.rigs)
        .map_err(|e| Failure::file("read", &args.rigs, &e))?
        .filter_map(Result::ok)
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "yaml"))
        .collect();
    files.sort();
    files.truncate(args.most_rigs.unwrap_or(files.len()));
    if files.is_empty() {
        return Err(Failure::Input(format!(
            "expected rig files (*.yaml) in {}, found none; name another folder with --rigs",
            args.rigs.display()
        )));
    }
    files.iter().map(|f| read_rig(f).map(Arc::new)).collect()
}

fn merged(files: &[PathBuf]) -> Result<Tally, Failure> {
    let mut all: Option<Tally> = None;
    for file in files {
        let wrong = |why: String| {
            Failure::Input(format!("expected the JSON of a proof in {}, found {why}", file.display()))
        };
        let mut value: Value = serde_json::from_str(&read_text(file)?).map_err(|e| wrong(e.to_string()))?;
        let counts = value.get_mut("tally").map(Value::take);
        let shard: Tally = serde_json::from_value(counts.unwrap_or(Value::Null))
            .map_err(|e| wrong(format!("no counts under \"tally\": {e}")))?;
        match &mut all {
            Some(all) => all.merge(&shard).map_err(Failure::Input)?,
            None => all = Some(shard),
        }
    }
    all.ok_or_else(|| Failure::Input("expected at least one file to merge, found none".into()))
}

fn tell(tally: &Tally, out: &mut Output) -> Result<Done, Failure> {
    let of = |name: &str| prove::figures(&tally.trees[name], tally.seed, tally.samples);
    let each: Vec<(&String, Figures)> = tally.trees.keys().map(|name| (name, of(name))).collect();
    let fine = each.iter().all(|(_, f)| f.missed.is_empty());
    if out.wants_json() {
        let trees: Map<String, Value> = each.iter().map(|(name, f)| ((*name).clone(), json!(f))).collect();
        out.json(&json!({
            "seed": tally.seed, "samples": tally.samples,
            "trees": trees, "library": prove::library(tally), "tally": tally,
        }))?;
    } else {
        out.line(prove::summary(tally).trim_end())?;
    }
    Ok(if fine { Done::Fine } else { Done::NotInOrder })
}

fn list(
    args: &Args,
    trees: &[(String, Arc<Tree>)],
    rigs: &[Arc<Rig>],
    out: &mut Output,
) -> Result<Done, Failure> {
    let mut reports = Vec::new();
    let mut in_order = true;
    for (name, tree) in trees {
        for rig in rigs {
            let claimed = |f: &Fault| args.all_faults || *f == Fault::NoFault || tree.finds.contains(f);
            let faults: Vec<Fault> = match args.fault {
                Some(fault) => vec![fault],
                None => Fault::ALL.iter().copied().filter(claimed).collect(),
            };
            let outcomes = match args.cars {
                Some(cars) => prove::run_cars(tree, rig, &faults, (cars, args.seed), args.person.person()),
                None => prove::run(tree, rig, &faults, args.person.tools.as_deref()),
            };
            let bad: Vec<&Outcome> = outcomes.iter().filter(|o| !fine(o)).collect();
            in_order &= bad.is_empty();
            let wrong = outcomes.iter().filter(|o| o.wrong()).count();
            let (count, right) = (outcomes.len(), outcomes.len() - bad.len());
            if out.wants_json() {
                let of = |o: &&Outcome| {
                    json!({"fault": o.injected.fault, "severity": o.injected.severity, "end": end(o),
                        "minutes": o.minutes, "path": o.path})
                };
                let bad: Vec<Value> = bad.iter().map(of).collect();
                let absent = args.fault.filter(|_| count == 0).map(|fault| absent(rig, fault));
                reports.push(json!({"tree": name, "rig": rig.name, "walks": count, "right": right,
                    "wrong": wrong, "not_right": bad, "absent": absent}));
                continue;
            }
            out.line(format!("{name} on {}: {right} of {count} right, {wrong} wrong", rig.name))?;
            if let Some(why) = args.fault.filter(|_| count == 0).map(|fault| absent(rig, fault)) {
                out.line(format!("  {why}"))?;
            }
            let shown = if args.fault.is_some() { outcomes.iter().collect() } else { bad };
            for outcome in shown {
                show(outcome, args.paths, out)?;
            }
        }
    }
    if out.wants_json() {
        out.json(&json!({ "walks": reports }))?;
    }
    Ok(if in_order { Done::Fine } else { Done::NotInOrder })
}

/// Why a fault is put into no car of this rig.
fn absent(rig: &Rig, fault: Fault) -> String {
    match applies(rig, fault) {
        Err(why) => format!("cannot have it: {why}"),
        Ok(()) => {
            "nobody would notice it here: pressure and mixture stay near those of a sound car".to_owned()
        }
    }
}

fn end(outcome: &Outcome) -> String {
    match &outcome.end {
        End::Finding { id, .. } => format!("finding {id}"),
        End::Handover { id, narrowed } => {
            let left: Vec<&str> = narrowed.iter().map(|f| f.id()).collect();
            format!("hand-over {id} [{}]", left.join(", "))
        }
        End::Failed(why) => format!("broken off: {why}"),
    }
}

fn show(outcome: &Outcome, paths: bool, out: &mut Output) -> Result<(), Failure> {
    let Outcome { injected, minutes, path, .. } = outcome;
    out.line(format!(
        "  {}={:.2} -> {} ({minutes:.0} min)",
        injected.fault,
        injected.severity,
        end(outcome)
    ))?;
    if paths {
        for (step, what) in path {
            out.line(format!("      {step:<48} {what}"))?;
        }
    }
    Ok(())
}
