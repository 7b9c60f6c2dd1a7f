//! `trees`: what each tree finds, and in how many steps and minutes.

use super::car::complaint_of;
use super::walk::library;
use super::{Done, Failure, Output, note};
use crate::lint::{Summary, summary};
use crate::terms::Complaint;
use crate::tree::render_all;
use serde_json::json;
use std::path::PathBuf;

/// Arguments of `trees`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  faultwalk trees\n  faultwalk trees --complaint lean --json")]
pub struct Args {
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
    for listed in library.trees() {
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
