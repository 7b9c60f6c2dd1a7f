//! `odds TABLE`: what a table of faults, tests and outcomes says after some evidence, and what to test next.

use super::walk::load_tree;
use super::{Done, Failure, Output, note, read_text};
use crate::faults::entry;
use crate::library::Library;
use crate::quantity::figures;
use crate::table::{Evidence, Optimum, Plan, Posterior, Ranking, Table, TableError, Test};
use crate::terms::Fault;
use crate::text::one_line;
use crate::tree::Key;
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;
use std::path::PathBuf;
use unicode_width::UnicodeWidthStr;

/// Arguments of `odds`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "The table is JSON: {\"faults\": [{\"id\", \"prior\"}], \"tests\": [{\"id\", \"cost\", \"outcomes\": [...], \
\"p\": {fault: [P(outcome | fault), ...]}}]}.\n\nExamples:\n  faultwalk example table > table.json\n  faultwalk odds table.json\n  \
faultwalk odds table.json --evidence fuse=good --evidence pump-voltage=none --json"
)]
pub struct Args {
    /// The table file, or a tree file (.yaml) whose steps state likelihoods; - reads standard input.
    table: PathBuf,
    /// What has been seen, a test and its outcome; may be given more than once.
    #[arg(long, value_name = "TEST=OUTCOME", num_args = 1.., action = clap::ArgAction::Append)]
    evidence: Vec<String>,
    /// Also the cheapest order of tests, for a table in which every outcome is certain.
    #[arg(long)]
    optimum: bool,
}

/// A table with remarks, or all that is wrong with it.
type Made = Result<(Table, Vec<String>), Vec<TableError>>;

/// What was worked out.
struct Answer {
    table: Table,
    posterior: Posterior,
    ranking: Ranking,
    optimum: Option<Optimum>,
}

/// Prints odds, ranking and, if asked, the optimum.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let is_tree = args.table.extension().is_some_and(|e| e == "yaml" || e == "yml");
    let made = if is_tree { of_tree(args)? } else { Table::from_json(&read_text(&args.table)?) };
    let (table, remarks) = made.map_err(|errors| refused(args, &errors))?;
    for remark in remarks {
        note(format!("{}: {remark}", args.table.display()));
    }
    let evidence = Evidence::parse(&table, &args.evidence).map_err(Failure::input)?;
    let posterior = table.posterior(&evidence).map_err(Failure::input)?;
    let ranking = table.ranking(&posterior.p, &evidence);
    let optimum = args.optimum.then(|| table.optimum(&evidence)).transpose().map_err(Failure::input)?;
    let answer = Answer { table, posterior, ranking, optimum };
    if out.wants_json() {
        out.json(&answer.as_json())?;
    } else {
        answer.as_text(out)?;
    }
    Ok(Done::Fine)
}

/// What a tree states of priors and likelihoods as a table: a test a step, its minutes as the cost. Of steps that ask the same thing the
/// first counts, as in a walk.
fn of_tree(args: &Args) -> Result<Made, Failure> {
    let tree = load_tree(&Library::embedded(), &args.table.to_string_lossy())?;
    let of_catalogue = |fault: &Fault| (*fault, entry(*fault).prior);
    let priors = match &tree.priors[..] {
        [] => tree.finds.iter().map(of_catalogue).filter(|(_, p)| *p > 0.0).collect(),
        stated => stated.to_vec(),
    };
    let sum: f64 = priors.iter().map(|(_, p)| p).sum();
    let mut asked = BTreeSet::new();
    let mut tests = Vec::new();
    for step in &tree.steps {
        let (Some(likelihood), Some(key)) = (&step.likelihood, Key::of(&step.kind)) else { continue };
        if asked.insert(key) {
            let rows = priors.iter().map(|(fault, _)| likelihood.of(*fault).to_vec()).collect();
            tests.push(Test::new(step.id.clone(), step.minutes.max(0.1), likelihood.outcomes.clone(), rows));
        }
    }
    if tests.is_empty() {
        return Err(Failure::Input(format!(
            "expected a tree whose steps state a 'likelihood:', found none in '{}'; the odds of a walk on it come from the model: \
             'faultwalk walk {} --rig RIG --answers FILE --json'",
            tree.id, tree.id
        )));
    }
    let faults = priors.into_iter().map(|(fault, p)| (fault.id().to_owned(), p / sum)).collect();
    Ok(Table::new(faults, tests))
}

/// Every mistake in the table, one a line, under the name of the file.
fn refused(args: &Args, errors: &[TableError]) -> Failure {
    let many = if errors.len() == 1 { "1 mistake".to_owned() } else { format!("{} mistakes", errors.len()) };
    let lines: Vec<String> = errors.iter().map(ToString::to_string).collect();
    Failure::Input(format!(
        "{} is not taken as a table, {many}:\n  {}",
        args.table.display(),
        lines.join("\n  ")
    ))
}

impl Answer {
    fn test(&self, test: usize) -> &str {
        self.table.tests()[test].id()
    }

    fn as_json(&self) -> Value {
        let faults = self.table.faults().iter().zip(&self.posterior.p);
        let posterior: Map<String, Value> = faults.map(|((id, _), p)| (id.clone(), json!(p))).collect();
        let ranked = self.ranking.tests.iter().map(|r| {
            json!({
                "test": self.test(r.test),
                "gain_bits": r.gain_bits,
                "gain_per_cost": r.gain_per_cost,
            })
        });
        let mut object = Map::new();
        object.insert("posterior".into(), Value::Object(posterior));
        object.insert("entropy_bits".into(), json!(self.posterior.entropy_bits));
        object.insert("evidence_probability".into(), json!(self.posterior.log_evidence.exp()));
        object.insert("ranking".into(), ranked.collect());
        object.insert("best".into(), json!(self.ranking.best().map(|t| self.test(t))));
        if let Some(optimum) = &self.optimum {
            object.insert("expected_cost".into(), json!(optimum.expected_cost));
            object.insert("lower_bound".into(), json!(optimum.lower_bound));
            object.insert("entropy_bound".into(), json!(optimum.entropy_bound));
            object.insert("greedy_cost".into(), json!(optimum.greedy_cost));
            object.insert("plan".into(), self.plan_json(&optimum.plan));
        }
        Value::Object(object)
    }

    fn plan_json(&self, plan: &Plan) -> Value {
        match plan {
            Plan::Isolated(faults) => {
                let ids: Vec<&str> = faults.iter().map(|f| self.table.faults()[*f].0.as_str()).collect();
                json!({ "isolated": ids })
            }
            Plan::Test { test, branches } => {
                let outcomes = self.table.tests()[*test].outcomes();
                let branches: Map<String, Value> =
                    branches.iter().map(|(o, next)| (outcomes[*o].clone(), self.plan_json(next))).collect();
                json!({ "test": self.test(*test), "branches": branches })
            }
        }
    }

    fn as_text(&self, out: &mut Output) -> Result<(), Failure> {
        let ids = self.table.faults().iter().map(|(id, _)| id.as_str());
        let ids = ids.chain(self.table.tests().iter().map(crate::table::Test::id));
        let wide = ids.map(|id| one_line(id).width()).max().unwrap_or(0).max(8);

        out.line(format!("{}  {:>9}", pad("fault", wide), "odds"))?;
        let mut faults: Vec<usize> = (0..self.posterior.p.len()).collect();
        faults.sort_by(|a, b| self.posterior.p[*b].total_cmp(&self.posterior.p[*a]));
        for fault in faults {
            let id = &self.table.faults()[fault].0;
            out.line(format!("{}  {:>7.3} %", pad(id, wide), 100.0 * self.posterior.p[fault]))?;
        }
        out.line(format!(
            "{} bits of doubt; probability of the evidence {}",
            figures(self.posterior.entropy_bits, 4),
            figures(self.posterior.log_evidence.exp(), 4)
        ))?;
        out.line("")?;

        if !self.ranking.tests.is_empty() {
            out.line(format!(
                "{}  {:>10}  {:>8}  {:>13}",
                pad("test", wide),
                "gain, bits",
                "cost",
                "gain per cost"
            ))?;
        }
        for ranked in &self.ranking.tests {
            let cost = figures(self.table.tests()[ranked.test].cost(), 4);
            let id = pad(self.test(ranked.test), wide);
            let (gain, per_cost) = (figures(ranked.gain_bits, 4), figures(ranked.gain_per_cost, 4));
            out.line(format!("{id}  {gain:>10}  {cost:>8}  {per_cost:>13}"))?;
        }
        out.line(match self.ranking.best() {
            Some(test) => format!("next: {}", one_line(self.test(test))),
            None => "next: nothing; no test left tells the remaining faults apart".to_owned(),
        })?;
        if let Some(optimum) = &self.optimum {
            out.line("")?;
            self.optimum_text(optimum, out)?;
        }
        Ok(())
    }

    fn optimum_text(&self, optimum: &Optimum, out: &mut Output) -> Result<(), Failure> {
        out.line(format!("cheapest order, expected cost   {}", figures(optimum.expected_cost, 6)))?;
        out.line(format!("best gain per cost each time    {}", figures(optimum.greedy_cost, 6)))?;
        out.line(format!("no order costs less than        {}", figures(optimum.lower_bound, 6)))?;
        out.line("")?;
        self.plan_text(&optimum.plan, 0, "", out)
    }

    fn plan_text(&self, plan: &Plan, depth: usize, lead: &str, out: &mut Output) -> Result<(), Failure> {
        let indent = "  ".repeat(depth);
        match plan {
            Plan::Isolated(faults) => {
                let ids: Vec<String> = faults.iter().map(|f| one_line(&self.table.faults()[*f].0)).collect();
                out.line(format!("{indent}{lead}{}", ids.join(" or ")))
            }
            Plan::Test { test, branches } => {
                out.line(format!("{indent}{lead}test {}", one_line(self.test(*test))))?;
                let outcomes = self.table.tests()[*test].outcomes();
                branches.iter().try_for_each(|(o, next)| {
                    let lead = format!("{}: ", one_line(&outcomes[*o]));
                    self.plan_text(next, depth + 1, &lead, out)
                })
            }
        }
    }
}

/// `text` made visible and filled up to `width` columns.
fn pad(text: &str, width: usize) -> String {
    let text = one_line(text);
    let fill = width.saturating_sub(text.width());
    text + &" ".repeat(fill)
}
