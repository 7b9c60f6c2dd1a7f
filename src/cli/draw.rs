//! `draw TREE`: the flat graph of a tree as a picture, in the dot or the Mermaid language.

use super::walk::{library, load_tree};
use super::{Done, Failure, Output};
use crate::tree::{Edge, Step, StepKind, Target, Tree};
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::EdgeRef;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;

/// The language of the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// The dot language of graph layout programs.
    Dot,
    /// Mermaid, as many Markdown readers draw it.
    Mermaid,
}

/// Arguments of `draw`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  faultwalk draw runs-lean > runs-lean.dot\n  \
faultwalk draw runs-lean --format mermaid --undo")]
pub struct Args {
    /// The tree: an id of the library, or a file.
    tree: String,
    /// The language of the picture.
    #[arg(long, value_enum, default_value = "dot")]
    format: Format,
    /// Draw the undoing of states as well.
    #[arg(long)]
    undo: bool,
    /// Trees from this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    trees: Option<PathBuf>,
}

/// Prints the picture.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let tree = load_tree(&library(args.trees.as_deref())?, &args.tree)?;
    let picture = Picture::of(&tree, args.undo);
    out.bytes(
        match args.format {
            Format::Dot => picture.dot(&tree),
            Format::Mermaid => picture.mermaid(&tree),
        }
        .as_bytes(),
    )?;
    Ok(Done::Fine)
}

/// The shape of a node.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shape {
    Do,
    Read,
    Observe,
    Choose,
    Include,
    Finding,
    Handover,
    Exit,
}

struct Drawn {
    id: String,
    label: String,
    shape: Shape,
}

/// The graph, its edges labelled with all verdicts and answers that lead the same way.
struct Picture {
    graph: DiGraph<Drawn, String>,
    start: Option<NodeIndex>,
}

fn shape_of(step: &Step) -> Shape {
    match step.kind {
        StepKind::Do { .. } => Shape::Do,
        StepKind::Read(_) => Shape::Read,
        StepKind::Observe { .. } => Shape::Observe,
        StepKind::Choose { .. } => Shape::Choose,
        StepKind::Include(_) => Shape::Include,
    }
}

/// What stands on an edge.
fn edge_label(step: &Step, edge: Edge) -> String {
    match (edge, &step.kind) {
        (Edge::Low, _) => "low".to_owned(),
        (Edge::Within, _) => "within".to_owned(),
        (Edge::High, _) => "high".to_owned(),
        (Edge::Undecided, _) => "undecided".to_owned(),
        (Edge::Answer(i), StepKind::Observe { answers, .. }) => {
            answers.get(i).map_or_else(String::new, |a| a.outcome.id.to_owned())
        }
        (Edge::Arm(i), StepKind::Choose { arms, .. }) => {
            arms.get(i).map_or_else(String::new, |a| a.when.to_string())
        }
        (Edge::Else, _) => "else".to_owned(),
        (Edge::Cannot, _) => "cannot".to_owned(),
        _ => String::new(),
    }
}

impl Picture {
    fn of(tree: &Tree, undo: bool) -> Self {
        let mut graph = DiGraph::new();
        let mut nodes: BTreeMap<Target, NodeIndex> = BTreeMap::new();
        for (i, step) in tree.steps.iter().enumerate() {
            if step.undoes.is_some() && !undo {
                continue;
            }
            let name = match &step.kind {
                StepKind::Include(include) => include.procedure.clone(),
                StepKind::Choose { .. } => last(&step.id).to_owned(),
                _ => step.name().to_owned(),
            };
            let label = match step.at {
                Some(at) if step.asks() => format!("{name}\n{}", at.id()),
                _ => name,
            };
            let node = graph.add_node(Drawn { id: step.id.clone(), label, shape: shape_of(step) });
            nodes.insert(Target::Step(i), node);
        }
        for (i, f) in tree.findings.iter().enumerate() {
            let drawn = Drawn { id: f.id.clone(), label: f.fault.name().to_owned(), shape: Shape::Finding };
            nodes.insert(Target::Finding(i), graph.add_node(drawn));
        }
        for (i, h) in tree.handovers.iter().enumerate() {
            let drawn = Drawn { id: h.id.clone(), label: last(&h.id).to_owned(), shape: Shape::Handover };
            nodes.insert(Target::Handover(i), graph.add_node(drawn));
        }
        for (i, e) in tree.exits.iter().enumerate() {
            let drawn = Drawn { id: format!("exit {e}"), label: e.clone(), shape: Shape::Exit };
            nodes.insert(Target::Exit(i), graph.add_node(drawn));
        }
        for (i, step) in tree.steps.iter().enumerate() {
            let Some(from) = nodes.get(&Target::Step(i)).copied() else { continue };
            let mut ways: Vec<(NodeIndex, Vec<String>)> = Vec::new();
            for (edge, target) in step.edges() {
                let Some(to) = nodes.get(target).copied() else { continue };
                let label = edge_label(step, edge);
                match ways.iter_mut().find(|(t, _)| *t == to) {
                    Some((_, labels)) => labels.push(label),
                    None => ways.push((to, vec![label])),
                }
            }
            for (to, labels) in ways {
                graph.add_edge(from, to, labels.join(", "));
            }
        }
        Self { start: nodes.get(&tree.start).copied(), graph }
    }

    /// The nodes of each include, by the include's flat id; the tree's own under the empty one.
    fn clusters(&self) -> BTreeMap<&str, Vec<NodeIndex>> {
        let mut all: BTreeMap<&str, Vec<NodeIndex>> = BTreeMap::new();
        for node in self.graph.node_indices() {
            let id = self.graph[node].id.as_str();
            all.entry(id.rsplit_once('/').map_or("", |(cluster, _)| cluster)).or_default().push(node);
        }
        // A cluster that holds only clusters is needed as well.
        let holders: Vec<&str> =
            all.keys().flat_map(|k| k.match_indices('/').map(|(i, _)| &k[..i])).collect();
        for holder in holders {
            all.entry(holder).or_default();
        }
        all
    }

    fn dot(&self, tree: &Tree) -> String {
        let mut text = format!("digraph {} {{\n", dot_quoted(&tree.id));
        let _ = writeln!(text, "  label={};", dot_quoted(&tree.title));
        text.push_str("  labelloc=t;\n  node [fontname=\"sans-serif\", fontsize=11];\n  edge [fontname=\"sans-serif\", fontsize=9];\n");
        if let Some(start) = self.start {
            let _ =
                writeln!(text, "  start [shape=point];\n  start -> {};", dot_quoted(&self.graph[start].id));
        }
        self.dot_cluster("", &self.clusters(), 1, &mut text);
        for edge in self.graph.edge_references() {
            let (from, to) = (&self.graph[edge.source()].id, &self.graph[edge.target()].id);
            let style = if edge.weight() == "cannot" { ", style=dashed" } else { "" };
            let _ = writeln!(
                text,
                "  {} -> {} [label={}{style}];",
                dot_quoted(from),
                dot_quoted(to),
                dot_quoted(&wrap(edge.weight(), 28))
            );
        }
        text.push_str("}\n");
        text
    }

    fn dot_cluster(&self, name: &str, all: &BTreeMap<&str, Vec<NodeIndex>>, depth: usize, text: &mut String) {
        let indent = "  ".repeat(depth);
        for node in all.get(name).into_iter().flatten() {
            let drawn = &self.graph[*node];
            let look = match drawn.shape {
                Shape::Do => "shape=box",
                Shape::Read => "shape=box, style=bold",
                Shape::Observe => "shape=box, style=rounded",
                Shape::Choose => "shape=diamond",
                Shape::Include => "shape=cds",
                Shape::Finding => "shape=doubleoctagon",
                Shape::Handover => "shape=note",
                Shape::Exit => "shape=invhouse",
            };
            let label = dot_quoted(&wrap(&drawn.label, 24));
            let _ = writeln!(text, "{indent}{} [label={label}, {look}];", dot_quoted(&drawn.id));
        }
        for inner in all.keys().filter(|k| inside(k, name)) {
            let _ = writeln!(text, "{indent}subgraph {} {{", dot_quoted(&format!("cluster {inner}")));
            let _ = writeln!(text, "{indent}  label={};", dot_quoted(last(inner)));
            self.dot_cluster(inner, all, depth + 1, text);
            let _ = writeln!(text, "{indent}}}");
        }
    }

    fn mermaid(&self, tree: &Tree) -> String {
        let mut text = format!("---\ntitle: {}\n---\nflowchart TD\n", mermaid_quoted(&tree.title));
        if let Some(start) = self.start {
            let _ = writeln!(text, "  start(( )) --> n{}", start.index());
        }
        self.mermaid_cluster("", &self.clusters(), 1, &mut text);
        for edge in self.graph.edge_references() {
            let (from, to) = (edge.source().index(), edge.target().index());
            let arrow = if edge.weight() == "cannot" { "-.->" } else { "-->" };
            if edge.weight().is_empty() {
                let _ = writeln!(text, "  n{from} {arrow} n{to}");
            } else {
                let _ = writeln!(text, "  n{from} {arrow}|{}| n{to}", mermaid_quoted(edge.weight()));
            }
        }
        text
    }

    fn mermaid_cluster(
        &self,
        name: &str,
        all: &BTreeMap<&str, Vec<NodeIndex>>,
        depth: usize,
        text: &mut String,
    ) {
        let indent = "  ".repeat(depth);
        for node in all.get(name).into_iter().flatten() {
            let drawn = &self.graph[*node];
            let (open, close) = match drawn.shape {
                Shape::Do => ("[", "]"),
                Shape::Read => ("[[", "]]"),
                Shape::Observe => ("(", ")"),
                Shape::Choose => ("{", "}"),
                Shape::Include => ("[/", "/]"),
                Shape::Finding => ("{{", "}}"),
                Shape::Handover => (">", "]"),
                Shape::Exit => ("([", "])"),
            };
            let _ = writeln!(text, "{indent}n{}{open}{}{close}", node.index(), mermaid_quoted(&drawn.label));
        }
        for (number, inner) in all.keys().enumerate().filter(|(_, k)| inside(k, name)) {
            let _ = writeln!(text, "{indent}subgraph c{number}[{}]", mermaid_quoted(last(inner)));
            self.mermaid_cluster(inner, all, depth + 1, text);
            let _ = writeln!(text, "{indent}end");
        }
    }
}

/// Whether `inner` lies directly inside `outer`.
fn inside(inner: &str, outer: &str) -> bool {
    !inner.is_empty() && inner.rsplit_once('/').map_or("", |(holder, _)| holder) == outer
}

fn last(id: &str) -> &str {
    id.rsplit('/').next().unwrap_or(id)
}

/// Breaks a label at blanks after about `width` characters.
fn wrap(label: &str, width: usize) -> String {
    let mut text = String::new();
    for line in label.lines() {
        let mut length = 0;
        for word in line.split(' ') {
            if length > 0 && length + word.len() > width {
                text.push('\n');
                length = 0;
            } else if length > 0 {
                text.push(' ');
            }
            text.push_str(word);
            length += word.len() + 1;
        }
        text.push('\n');
    }
    text.trim_end().to_owned()
}

fn dot_quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', "\\n"))
}

fn mermaid_quoted(text: &str) -> String {
    let safe = text.replace('&', "&amp;").replace('"', "&quot;").replace('<', "&lt;").replace('>', "&gt;");
    format!("\"{}\"", safe.replace('\n', "<br/>"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;

    #[test]
    fn every_step_and_every_edge_of_a_file_is_drawn_once() {
        let tree = Library::embedded().tree("procedures/fit-gauge").unwrap();
        let picture = Picture::of(&tree, true);
        let all = tree.steps.len() + tree.findings.len() + tree.handovers.len() + tree.exits.len();
        assert_eq!(picture.graph.node_count(), all);
        let ways: usize = tree
            .steps
            .iter()
            .map(|s| {
                let mut to: Vec<_> = s.edges().into_iter().map(|(_, t)| *t).collect();
                to.sort_unstable();
                to.dedup();
                to.len()
            })
            .sum();
        assert_eq!(picture.graph.edge_count(), ways);
        let dot = picture.dot(&tree);
        assert_eq!(dot.matches('{').count(), dot.matches('}').count());
        assert!(dot.contains("\"leak-check\" -> \"leaking\" [label=\"leak\"]"), "{dot}");
        let mermaid = picture.mermaid(&tree);
        assert_eq!(mermaid.matches("subgraph").count(), mermaid.matches("\n  end").count());
    }

    #[test]
    fn text_cannot_break_out_of_its_label() {
        assert_eq!(dot_quoted("a \"b\" \\"), "\"a \\\"b\\\" \\\\\"");
        assert_eq!(mermaid_quoted("a \"b\" <x>"), "\"a &quot;b&quot; &lt;x&gt;\"");
        assert_eq!(wrap("supply pressure at idle", 10), "supply\npressure\nat idle");
    }
}
