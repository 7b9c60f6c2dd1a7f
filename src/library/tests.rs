//! Includes resolved, flattened, and refused.

use super::*;
use crate::tree::{Diagnostic, Tree};
use crate::tree::{StepKind, Target, render_all};
use std::fmt::Write as _;
use std::path::Path;

const PROCEDURE: &str = "format: 1\nprocedure: p\ntitle: P\nstart: a\nexits: [done, cannot]\nsteps:\n  a:\n    do: Look.\n    next: done\n    cannot: {next: cannot}\n";

fn tree_text(include: &str, exits: &str) -> String {
    format!(
        "format: 1\ntree: t\ntitle: T\nstart: s\nsteps:\n  s:\n    include: {include}\n    exits: {exits}\nhandovers:\n  h:\n    says: Nothing.\n    advice: Go on.\n"
    )
}

/// A library of these files in a folder of its own.
struct Files(tempfile::TempDir);

impl Files {
    fn library(&self) -> Library {
        Library::open(self.0.path()).unwrap()
    }

    fn tree(&self, id: &str) -> Result<Tree, Vec<Diagnostic>> {
        self.library().tree(id)
    }
}

fn memory(files: &[(&str, &str)]) -> Files {
    of_files(files.iter().map(|(n, t)| ((*n).to_owned(), (*t).to_owned())))
}

fn of_files(files: impl IntoIterator<Item = (String, String)>) -> Files {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("procedures")).unwrap();
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    Files(folder)
}

fn small() -> Library {
    Library::open(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/trees-small"))).unwrap()
}

fn refused(files: &[(&str, &str)], rule: &str, place: (usize, usize)) {
    let wrong = memory(files).tree("t").expect_err(rule);
    let found: Vec<_> = wrong.iter().map(|d| (d.rule, d.line, d.column)).collect();
    assert_eq!(found, [(rule, place.0, place.1)], "{}", render_all(&wrong));
}

#[test]
fn a_tree_with_includes_becomes_one_graph() {
    let tree = small().tree("small-lean").map_err(|e| render_all(&e)).unwrap();
    let open = tree.step("fit/open").unwrap();
    assert_eq!(
        (open.origin.id.as_str(), tree.files[open.origin.file].name.ends_with("procedures/fit.yaml")),
        ("open", true)
    );
    let StepKind::Include(fit) = &tree.step("fit").unwrap().kind else { panic!("fit includes") };
    assert_eq!(tree.target_id(fit.entry.unwrap()), "fit/pump-off");
    assert_eq!(fit.needs, [crate::terms::State::NoLeakSeen]);
    // An exit leads where the include says.
    let StepKind::Observe { answers, .. } = &tree.step("fit/joints").unwrap().kind else { panic!() };
    assert_eq!(tree.target_id(answers[0].next), "supply");
    assert_eq!(tree.target_id(answers[1].next), "fit/leaking");
    let filter = tree.finding("filter").unwrap();
    assert_eq!(tree.steps[filter.confirm.as_ref().unwrap().repeat].id, "supply");
    let mut ids: Vec<&str> = tree.steps.iter().map(|s| s.id.as_str()).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), tree.steps.len(), "ids are unique");
}

#[test]
fn undoing_stands_under_its_state() {
    let tree = small().tree("small-lean").unwrap();
    assert_eq!(tree.undo.len(), 3);
    let fuse = tree.step("undo/pump-disabled/pump-on").unwrap();
    assert!(matches!(fuse.kind, StepKind::Do { next: Target::Undone }));
    assert!(fuse.undoes.is_some());
    let off = tree.step("undo/gauge-fitted/pump-off").unwrap();
    assert_eq!(off.cannot, Some(Target::NotUndone));
    for step in &tree.steps {
        let leaves = step
            .edges()
            .iter()
            .any(|(_, t)| matches!(t, Target::Undone | Target::NotUndone | Target::Exit(_)));
        assert!(!leaves || step.undoes.is_some(), "{} leaves the tree", step.id);
    }
}

#[test]
fn a_procedure_is_a_graph_of_its_own_with_exits() {
    let procedure = small().tree("procedures/fit").unwrap();
    assert_eq!(procedure.exits, ["fitted", "cannot"]);
    assert_eq!(procedure.step("pump-off").unwrap().cannot, Some(Target::Exit(1)));
}

#[test]
fn the_digest_is_the_same_wherever_the_library_lies_and_changes_with_any_file() {
    let on_disk = small();
    let files: Vec<(String, String)> = on_disk
        .paths()
        .into_iter()
        .map(|n| {
            let text = on_disk.file(&n).unwrap().text.to_string();
            (format!("{n}.yaml"), text)
        })
        .collect();
    let digest = on_disk.tree("small-lean").unwrap().digest;
    assert_eq!(digest.len(), 64);
    assert_eq!(of_files(files.clone()).tree("small-lean").unwrap().digest, digest);
    for i in 0..files.len() {
        let mut changed = files.clone();
        changed[i].1.push_str("# a word more\n");
        assert_ne!(of_files(changed).tree("small-lean").unwrap().digest, digest, "{}", files[i].0);
    }
}

#[test]
fn a_list_needs_headings_only() {
    let broken = "format: 1\ntree: broken\ntitle: Broken below\ncomplaints: [lean]\nsteps: [\n";
    let files = memory(&[("broken.yaml", broken), ("procedures/p.yaml", PROCEDURE)]);
    let library = files.library();
    let ids: Vec<String> = library.trees().into_iter().map(|l| l.path).collect();
    assert_eq!(ids, ["broken"]);
    assert!(library.tree("broken").is_err());
    let wrong = library.tree("brokn").unwrap_err();
    assert_eq!((wrong[0].rule, wrong[0].hint.as_deref()), ("no-such-file", Some("did you mean 'broken'?")));
}

#[test]
fn requirement_08_includes_that_do_not_fit_are_refused_at_their_place() {
    let good = tree_text("procedures/p", "{done: h, cannot: h}");
    assert!(memory(&[("t.yaml", &good), ("procedures/p.yaml", PROCEDURE)]).tree("t").is_ok());
    let with = |text: &str, rule: &str, place| {
        refused(&[("t.yaml", text), ("procedures/p.yaml", PROCEDURE)], rule, place);
    };
    with(&tree_text("procedures/q", "{done: h, cannot: h}"), "no-such-file", (7, 14));
    with(&tree_text("procedures/p", "{done: h}"), "exit-not-routed", (8, 5));
    with(&tree_text("procedures/p", "{done: h, cannot: h, dome: h}"), "no-such-exit", (8, 33));
    with(&tree_text("t", "{done: h}"), "include-circle", (7, 14));
    for path in ["../p", "/etc/p", "procedures/../p", "procedures//p", "C:/p", "procedures/p.yaml", "a\\b"] {
        with(&tree_text(path, "{done: h, cannot: h}"), "unsafe-include", (7, 14));
    }
    let other = PROCEDURE.replace("procedure: p", "tree: u").replace("exits: [done, cannot]\n", "")
        + "handovers:\n  done: {says: A., advice: B.}\n  cannot: {says: A., advice: B.}\n";
    refused(&[("t.yaml", &tree_text("u", "{done: h}")), ("u.yaml", &other)], "not-a-procedure", (7, 14));
}

#[test]
fn requirement_08_circles_and_deep_chains_of_includes_end() {
    let link = |i: usize, to: &str| {
        format!(
            "format: 1\nprocedure: p{i}\ntitle: P\nstart: s\nexits: [done]\nsteps:\n  s:\n    include: {to}\n    exits: {{done: done}}\n"
        )
    };
    let (a, b) = (link(0, "p1"), link(1, "p0"));
    refused(
        &[("t.yaml", &tree_text("p0", "{done: h}")), ("p0.yaml", &a), ("p1.yaml", &b)],
        "include-circle",
        (8, 14),
    );
    let chain = |n: usize| {
        let mut files = vec![("t.yaml".to_owned(), tree_text("p0", "{done: h}"))];
        files.extend((0..n).map(|i| (format!("p{i}.yaml"), link(i, &format!("p{}", i + 1)))));
        let last = PROCEDURE.replace("[done, cannot]", "[done]").replace("    cannot: {next: cannot}\n", "");
        files.push((format!("p{n}.yaml"), last.replace("procedure: p", &format!("procedure: p{n}"))));
        of_files(files).tree("t")
    };
    assert!(chain(7).is_ok(), "eight includes deep");
    assert_eq!(chain(8).unwrap_err()[0].rule, "include-depth");
}

#[test]
fn includes_that_multiply_are_stopped() {
    // Each level includes the next ten times: ten to the sixth steps in all.
    let many = |i: usize| {
        let mut text = format!("format: 1\nprocedure: m{i}\ntitle: M\nstart: s0\nexits: [done]\nsteps:\n");
        for k in 0..10 {
            let next = if k == 9 { "done".to_owned() } else { format!("s{}", k + 1) };
            writeln!(text, "  s{k}:\n    include: m{}\n    exits: {{done: {next}}}", i + 1).unwrap();
        }
        text
    };
    let mut files = vec![("t.yaml".to_owned(), tree_text("m0", "{done: h}"))];
    files.extend((0..6).map(|i| (format!("m{i}.yaml"), many(i))));
    let last = PROCEDURE.replace("[done, cannot]", "[done]").replace("    cannot: {next: cannot}\n", "");
    files.push(("m6.yaml".to_owned(), last.replace("procedure: p", "procedure: m6")));
    let wrong = of_files(files).tree("t").unwrap_err();
    assert_eq!(wrong.iter().map(|d| d.rule).collect::<Vec<_>>(), ["too-many-steps"]);
}

#[cfg(unix)]
#[test]
fn requirement_08_only_plain_files_inside_the_library_are_opened() {
    let folder = tempfile::tempdir().unwrap();
    let (inside, outside) = (folder.path().join("library"), folder.path().join("outside.yaml"));
    std::fs::create_dir_all(inside.join("procedures")).unwrap();
    std::fs::write(&outside, PROCEDURE).unwrap();
    std::fs::write(inside.join("t.yaml"), tree_text("procedures/p", "{done: h, cannot: h}")).unwrap();
    let place = inside.join("procedures/p.yaml");
    let rule = || Library::open(&inside).unwrap().tree("t").map_or_else(|w| w[0].rule, |_| "taken");

    std::os::unix::fs::symlink(&outside, &place).unwrap();
    assert_eq!(rule(), "include-path", "a link out of the library");
    std::fs::remove_file(&place).unwrap();
    assert!(std::process::Command::new("mkfifo").arg(&place).status().unwrap().success());
    assert_eq!(rule(), "include-path", "a pipe");
    std::fs::remove_file(&place).unwrap();
    std::os::unix::fs::symlink("/dev/zero", &place).unwrap();
    assert_eq!(rule(), "include-path", "a device");
    std::fs::remove_file(&place).unwrap();
    std::fs::create_dir(&place).unwrap();
    assert_eq!(rule(), "include-path", "a folder");
    std::fs::remove_dir(&place).unwrap();
    std::fs::write(inside.join("procedures/real.yaml"), PROCEDURE).unwrap();
    std::os::unix::fs::symlink(inside.join("procedures/real.yaml"), &place).unwrap();
    assert_eq!(rule(), "taken", "a link within the library");
}

#[test]
fn the_library_of_the_program_lists_what_it_can_load() {
    let library = Library::embedded();
    for listed in library.list() {
        let tree = library.tree(&listed.path).map_err(|e| render_all(&e)).unwrap();
        assert!(listed.heading.tree.as_ref().or(listed.heading.procedure.as_ref()) == Some(&tree.id));
    }
}

#[test]
fn the_tree_made_for_a_complaint_stands_before_those_that_answer_it_as_well() {
    use crate::terms::Complaint;
    let first = |kinds: &[Complaint]| Library::embedded().answering(kinds).remove(0).id;
    assert_eq!(first(&[Complaint::Rich]), "runs-rich");
    assert_eq!(first(&[Complaint::Lean]), "runs-lean");
    assert_eq!(first(&[Complaint::Lean, Complaint::Load]), "falls-under-load");
    assert_eq!(first(&[Complaint::HighPressure, Complaint::Rich]), "high-pressure");
    assert!(Library::embedded().answering(&[]).is_empty());
    for kind in Complaint::ALL {
        assert!(!Library::embedded().answering(&[*kind]).is_empty(), "no walk answers {kind}");
    }
}
