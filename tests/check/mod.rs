//! `check`, seen from outside: bad trees refused at the right line and by nothing else, good ones clean, the command's output.

pub(crate) mod mutation;

use faultwalk::library::Library;
use faultwalk::lint;
use faultwalk::terms::Caution;
use faultwalk::tree::{Diagnostic, Level, read_text};
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Every diagnostic on one file whose includes stand in the library at `folder`.
fn check_file(folder: &Path, path: &Path) -> Vec<Diagnostic> {
    let library = Library::open(folder).unwrap();
    let name = path.file_stem().unwrap().to_string_lossy().into_owned();
    let file = match read_text(&path.display().to_string(), &std::fs::read(path).unwrap()) {
        Ok(file) => file,
        Err(problems) => return problems,
    };
    let loaded = library.load_texts(vec![(name, file)]);
    let mut all = lint::check_graphs(&loaded.documents, &loaded.graphs);
    all.extend(loaded.problems);
    all
}

fn yaml_files(folder: &Path) -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "yaml"))
        .collect();
    all.sort();
    all
}

/// `# expect: RULE line N`, or `# expect: RULE line N of procedures/FILE`.
fn expectation(text: &str) -> (String, usize, Option<String>) {
    let line = text.lines().next().unwrap();
    let words: Vec<&str> = line.split_whitespace().collect();
    assert_eq!((words[1], words[3]), ("expect:", "line"), "{line}");
    (words[2].to_owned(), words[4].parse().unwrap(), words.get(6).map(|s| (*s).to_owned()))
}

#[test]
fn every_bad_tree_is_refused_by_its_rule_at_its_line_and_by_no_other() {
    let folder = root().join("fixtures/bad");
    let files = yaml_files(&folder);
    assert!(files.len() >= 70, "only {} bad trees", files.len());
    let mut wrong = Vec::new();
    for path in &files {
        let text = std::fs::read_to_string(path).unwrap();
        let (rule, line, elsewhere) = expectation(&text);
        let errors: Vec<Diagnostic> =
            check_file(&folder, path).into_iter().filter(|d| d.level == Level::Error).collect();
        let file = elsewhere.map_or_else(|| path.clone(), |f| folder.join(f));
        let there = |d: &Diagnostic| {
            d.rule == rule && d.line == line && Path::new(&d.file).file_name() == file.file_name()
        };
        if !errors.iter().any(there) || errors.iter().any(|d| d.rule != rule) {
            let got: Vec<String> =
                errors.iter().map(|d| format!("{} line {}: {}", d.rule, d.line, d.message)).collect();
            wrong.push(format!("{}: expected {rule} line {line}, got {got:#?}", path.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_rule_of_our_own_that_is_an_error_refuses_a_bad_tree() {
    let shown: Vec<String> = yaml_files(&root().join("fixtures/bad"))
        .iter()
        .map(|p| expectation(&std::fs::read_to_string(p).unwrap()).0)
        .collect();
    let lacking: Vec<&str> = lint::rules()
        .filter(|r| r.level == Level::Error && !matches!(r.check, lint::Check::Loading))
        .map(|r| r.id)
        .filter(|id| !shown.iter().any(|s| s == id))
        .collect();
    assert!(lacking.is_empty(), "no bad tree shows {lacking:?}");
}

#[test]
fn the_files_that_bad_trees_include_are_good() {
    let folder = root().join("fixtures/bad/procedures");
    for path in yaml_files(&folder) {
        if path.file_stem().is_some_and(|s| s == "never") {
            continue; // It is the procedure that never comes to its end.
        }
        let library = Library::open(&root().join("fixtures/bad")).unwrap();
        let name = format!("procedures/{}", path.file_stem().unwrap().to_string_lossy());
        let checked = lint::check_paths(&library, &[name]);
        assert!(!lint::has_errors(&checked.diagnostics), "{}: {:#?}", path.display(), checked.diagnostics);
    }
}

#[test]
fn every_rule_has_a_page_that_says_what_why_and_what_to_do() {
    let mut ids: Vec<&str> = Vec::new();
    for rule in lint::rules() {
        assert!(!rule.title().is_empty() && rule.title().ends_with('.'), "{}", rule.id);
        assert!(rule.why().len() > 10 && rule.remedy().len() > 4, "{}", rule.id);
        assert!(rule.page().starts_with(rule.id), "{}", rule.id);
        assert!(!ids.contains(&rule.id), "{} twice", rule.id);
        ids.push(rule.id);
    }
    assert!(ids.len() > 60);
}

fn check(args: &[&str]) -> (i32, String, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_faultwalk"))
        .arg("check")
        .args(args)
        .current_dir(root())
        .output()
        .unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (out.status.code().unwrap_or(-1), text(&out.stdout), text(&out.stderr))
}

#[test]
fn errors_are_exit_one_with_file_line_and_column_as_text_and_json() {
    let bad = "fixtures/bad/dangling-target-misspelt.yaml";
    let (code, text, _) = check(&[bad]);
    assert_eq!(code, 1);
    for part in ["error[dangling-target]", &format!("{bad}:32:10"), "did you mean 'unclear'?", "1 error,"] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    let (code, json, errors) = check(&["--json", bad]);
    assert_eq!((code, errors.as_str()), (1, ""));
    let value: serde_json::Value = serde_json::from_str(&json).unwrap();
    let d = &value["diagnostics"][0];
    assert_eq!((d["rule"].as_str(), d["level"].as_str()), (Some("dangling-target"), Some("error")));
    assert_eq!((d["line"].as_u64(), d["column"].as_u64()), (Some(32), Some(10)));
    assert_eq!(d["file"].as_str(), Some(bad));
    assert!(d["message"].is_string() && d["hint"].is_string());
}

#[test]
fn figures_for_a_fault_that_a_tree_never_comes_to_are_warned_of() {
    let path = root().join("fixtures/stated-likelihood.yaml");
    let good = std::fs::read_to_string(path).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let found = |text: &str| -> Vec<(usize, String)> {
        let file = folder.path().join("stated-likelihood.yaml");
        std::fs::write(&file, text).unwrap();
        let all = check_file(&root().join("trees"), &file);
        all.iter().map(|d| (d.line, d.rule.to_owned())).collect()
    };
    assert_eq!(found(&good), []);
    let line = |part: &str| 1 + good.lines().position(|l| l.contains(part)).unwrap();
    // No end names the relay any more: neither its prior nor its row is worth anything.
    let unclaimed = good.replace("narrowed: [pump-relay-open, no-fault]", "narrowed: [no-fault]");
    let rule = "likelihood-unclaimed".to_owned();
    let wanted = [(line("priors:"), rule.clone()), (line("pump-relay-open: {low"), rule)];
    assert_eq!(found(&unclaimed), wanted);
}

#[test]
fn nothing_is_said_of_steps_where_a_file_has_errors() {
    let (_, text, _) = check(&["fixtures/bad/wrong-shape-list-for-word.yaml"]);
    assert!(text.contains("1 file: 1 error, 0 warnings"), "{text}");
    let (_, text, _) = check(&["trees/runs-lean.yaml"]);
    assert!(text.contains("1 file, ") && text.contains(" steps: 0 errors"), "{text}");
}

#[test]
fn a_rule_is_explained_and_a_wrong_one_is_bad_usage() {
    let (code, page, _) = check(&["--explain", "endless-loop"]);
    assert_eq!(code, 0);
    assert!(page.contains("A path leads back") && page.contains("Remedy:"), "{page}");
    let (code, _, errors) = check(&["--explain", "endless-lop"]);
    assert_eq!(code, 2);
    assert!(errors.contains("did you mean 'endless-loop'?"), "{errors}");
    let (code, ..) = check(&["no/such/file.yaml"]);
    assert_eq!(code, 3);
}

#[test]
fn the_schema_in_fixtures_is_the_one_the_program_prints() {
    let path = root().join("fixtures/schema/tree.schema.json");
    let printed = format!("{}\n", serde_json::to_string_pretty(&faultwalk::tree::schema()).unwrap());
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == printed, "run: cargo run -- schema > fixtures/schema/tree.schema.json");
}

#[test]
fn the_list_of_rules_in_the_guide_is_the_one_the_program_has() {
    let guide = std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let listed = guide.split("<!-- rules -->").nth(1).unwrap_or("").trim();
    let mut rows = vec!["| rule | level | what it refuses |".to_owned(), "|---|---|---|".to_owned()];
    rows.extend(lint::rules().map(|r| format!("| `{}` | {} | {} |", r.id, r.level.id(), r.title())));
    let wanted = rows.join("\n");
    assert!(listed == wanted, "the list after <!-- rules --> should be:\n{wanted}");
}

#[test]
fn the_template_tree_and_the_one_with_likelihoods_pass_check_without_a_word() {
    for name in ["template-tree", "stated-likelihood"] {
        let path = root().join(format!("fixtures/{name}.yaml"));
        let found = check_file(&root().join("trees"), &path);
        assert!(found.is_empty(), "{}", faultwalk::tree::render_all(&found));
    }
}

#[test]
fn the_shipped_trees_pass_check_without_an_error_or_a_warning() {
    let checked = lint::check_library(&Library::embedded());
    let grave: Vec<Diagnostic> = checked.diagnostics.into_iter().filter(|d| d.level != Level::Note).collect();
    assert!(grave.is_empty(), "{}", faultwalk::tree::render_all(&grave));
}

#[test]
fn every_shipped_tree_is_drawn_and_listed() {
    let run = |args: &[&str]| {
        let out =
            Command::new(env!("CARGO_BIN_EXE_faultwalk")).args(args).current_dir(root()).output().unwrap();
        assert!(out.status.success(), "{args:?}: {}", String::from_utf8_lossy(&out.stderr));
        String::from_utf8_lossy(&out.stdout).into_owned()
    };
    let list: serde_json::Value = serde_json::from_str(&run(&["trees", "--json"])).unwrap();
    let trees = list["trees"].as_array().unwrap();
    assert!(!trees.is_empty());
    for tree in trees {
        let id = tree["id"].as_str().unwrap();
        let (least, most) = (tree["fewest_steps"].as_u64().unwrap(), tree["most_steps"].as_u64().unwrap());
        assert!(least >= 1 && least <= most, "{id}: {least} to {most}");
        let dot = run(&["draw", id]);
        assert!(dot.starts_with("digraph") && dot.contains("subgraph \"cluster "), "{id}");
        let mermaid = run(&["draw", id, "--format", "mermaid"]);
        assert!(mermaid.contains("flowchart TD") && mermaid.contains("subgraph"), "{id}");
    }
}

#[test]
fn a_repair_that_opens_a_line_says_first_how_it_comes_to_zero_and_none_is_proved_at_a_silent_pump() {
    let library = Library::embedded();
    let (mut open, mut proved) = (0, 0);
    for listed in library.trees() {
        let tree = library.tree(&listed.path).unwrap();
        for finding in &tree.findings {
            let at = format!("{}: {}", tree.id, finding.id);
            let remedy = finding.remedy.clone().unwrap_or_default();
            if finding.cautions.contains(&Caution::OpenFuel) {
                // A flooded cylinder is not cranked, which is how the pressure is used up elsewhere.
                let first = [
                    "If the line is not at zero yet",
                    "Disable the pump",
                    "Do not crank",
                    "Relieve the pressure",
                ];
                // What is tested with the battery on comes before it is taken off.
                let rest =
                    remedy.split_once("while the battery is on. ").map_or(remedy.as_str(), |(_, rest)| rest);
                assert!(first.iter().any(|words| rest.starts_with(words)), "{at}: {remedy}");
                open += 1;
            }
            if let Some(confirm) = &finding.confirm {
                let name = tree.steps[confirm.repeat].name();
                assert!(!name.contains("silent"), "{at} is proved by '{name}'");
                proved += 1;
            }
        }
    }
    assert!(open > 30 && proved > 100, "{open} that open a line, {proved} proved");
}
