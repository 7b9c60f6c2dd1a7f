//! `trees [TREE]…`: every tree in a line; of those named also what they answer and find.

use super::car::complaint_of;
use super::walk::{library, no_such_tree};
use super::{Done, Failure, Output, note};
use crate::lint::{Summary, summary};
use crate::quantity::figures;
use crate::terms::Complaint;
use crate::tree::render_all;
use serde_json::json;
use std::path::PathBuf;

/// Arguments of `trees`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  faultwalk trees\n  faultwalk trees runs-lean           what one tree answers and finds\n  faultwalk trees --complaint lean --json"
)]
pub struct Args {
    /// Trees to show whole, by id; without one each stands in a line.
    #[arg(value_name = "TREE")]
    ids: Vec<String>,
    /// Only trees that answer this complaint; an id that is none lists them all.
    #[arg(long, value_name = "COMPLAINT", value_parser = complaint_of)]
    complaint: Option<Complaint>,
    /// Trees from this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    trees: Option<PathBuf>,
}

/// Prints the list.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let library = library(args.trees.as_deref())?;
    let mut all: Vec<Summary> = Vec::new();
    let listed = library.trees();
    let known = |id: &String| listed.iter().any(|l| l.path == *id);
    if let Some(odd) = args.ids.iter().find(|id| !known(id)) {
        return Err(no_such_tree(&library, odd));
    }
    for listed in listed.iter().filter(|l| args.ids.is_empty() || args.ids.contains(&l.path)) {
        if args.complaint.is_some_and(|c| !listed.heading.complaints.contains(&c)) {
            continue;
        }
        match library.tree(&listed.path) {
            Ok(tree) => all.push(summary(&tree)),
            Err(problems) => note(format!(
                "the tree {} cannot be used; 'faultwalk check' says why\n{}",
                listed.path,
                render_all(&problems)
            )),
        }
    }
    if out.wants_json() {
        out.json(&json!({ "trees": all }))?;
        return Ok(Done::Fine);
    }
    if args.ids.is_empty() {
        return table(&all, out);
    }
    for tree in &all {
        out.line(format!("{}: {}", tree.id, tree.title))?;
        let complaints: Vec<&str> = tree.complaints.iter().map(|c| c.name()).collect();
        out.line(format!("    for: {}", complaints.join("; ")))?;
        let finds: Vec<&str> = tree.finds.iter().map(|f| f.name()).collect();
        out.line(format!("    finds {}: {}", finds.len(), finds.join("; ")))?;
        if let (Some(fewest), Some(most), Some(least), Some(longest)) =
            (tree.fewest_steps, tree.most_steps, tree.fewest_minutes, tree.most_minutes)
        {
            out.line(format!("    to a finding: {fewest} to {most} steps, {least} to {longest} minutes"))?;
        }
    }
    Ok(Done::Fine)
}

/// Each tree in a line.
fn table(all: &[Summary], out: &mut Output) -> Result<Done, Failure> {
    let wide = |of: fn(&Summary) -> usize| all.iter().map(of).max().unwrap_or(0);
    let id = wide(|t| t.id.chars().count()).max(4);
    let title = wide(|t| t.title.chars().count()).max(5);
    out.line(format!(
        "{:<id$}  {:<title$}  {:>5}  {:>9}  {:>11}",
        "tree", "title", "finds", "steps", "minutes"
    ))?;
    for tree in all {
        let range = |least: Option<String>, most: Option<String>| match (least, most) {
            (Some(least), Some(most)) => format!("{least} to {most}"),
            _ => "-".to_owned(),
        };
        let steps = range(tree.fewest_steps.map(|n| n.to_string()), tree.most_steps.map(|n| n.to_string()));
        let minutes = |m: f64| figures(m, 3);
        let minutes = range(tree.fewest_minutes.map(minutes), tree.most_minutes.map(minutes));
        out.line(format!(
            "{:<id$}  {:<title$}  {:>5}  {steps:>9}  {minutes:>11}",
            tree.id,
            tree.title,
            tree.finds.len()
        ))?;
    }
    out.line("Steps and minutes are the fewest and the most to a finding.")?;
    out.line("'faultwalk trees TREE' lists what a tree answers and finds.")?;
    Ok(Done::Fine)
}
