//! The arrows between rooms: a room uses only what the code map allows it, read from the sources themselves.

use std::collections::BTreeMap;
use std::path::Path;

/// Which rooms each room may use directly. The same table stands in the contributor guide.
const ALLOWED: &[(&str, &str)] = &[
    ("quantity", ""),
    ("text", ""),
    ("terms", "quantity"),
    ("physics", "quantity terms"),
    ("instrument", "quantity"),
    ("rig", "quantity terms physics instrument"),
    ("faults", "quantity terms physics rig"),
    ("tree", "quantity terms text"),
    ("library", "tree terms"),
    ("lint", "quantity terms instrument tree faults library"),
    ("walk", "quantity terms tree instrument"),
    ("table", "terms"),
    ("belief", "quantity terms physics instrument rig faults table"),
    ("case", "quantity terms text walk"),
    ("session", "quantity terms text physics instrument rig faults tree walk belief case"),
    ("report", "quantity terms text tree case rig physics instrument faults belief session walk"),
    (
        "prove",
        "quantity terms text physics instrument rig faults tree walk belief case session lint table library",
    ),
    ("practice", "quantity terms text physics instrument rig faults tree walk belief case session"),
    ("logs", "quantity terms physics rig"),
    ("tui", "session report library practice quantity terms text tree walk instrument rig case"),
    ("plain", "session report library practice quantity terms text tree walk instrument rig case"),
];

fn sources(folder: &Path, found: &mut Vec<(std::path::PathBuf, String)>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            let text = std::fs::read_to_string(&path).unwrap();
            found.push((path, text));
        }
    }
}

/// Every room named after `crate::` in `text`, code and tests alike, comments aside.
fn rooms_used(text: &str) -> Vec<String> {
    let mut used = Vec::new();
    for line in text.lines().filter(|l| !l.trim_start().starts_with("//")) {
        for (at, _) in line.match_indices("crate::") {
            let rest = &line[at + "crate::".len()..];
            if let Some(group) = rest.strip_prefix('{') {
                let group = group.split('}').next().unwrap_or("");
                let names = group.split(',').map(|n| n.trim().split("::").next().unwrap_or(""));
                used.extend(names.filter(|n| !n.is_empty()).map(str::to_owned));
            } else {
                used.push(rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect());
            }
        }
    }
    used
}

#[test]
fn rooms_use_only_what_the_code_map_allows() {
    let allowed: BTreeMap<&str, Vec<&str>> =
        ALLOWED.iter().map(|(room, uses)| (*room, uses.split_whitespace().collect())).collect();
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut wrong = Vec::new();
    for entry in std::fs::read_dir(&root).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if !path.is_dir() || name == "cli" {
            continue;
        }
        let uses =
            allowed.get(name.as_str()).unwrap_or_else(|| panic!("room '{name}' is not in the code map"));
        let mut files = Vec::new();
        sources(&path, &mut files);
        for (file, text) in files {
            for used in rooms_used(&text) {
                if used != name && !uses.contains(&used.as_str()) {
                    wrong.push(format!("{} uses {used}", file.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "arrows that the code map does not allow:\n{}", wrong.join("\n"));
}

#[test]
fn the_reader_of_arrows_sees_every_way_of_writing_one() {
    let text = "use crate::tui::Screen;\nuse crate::{case, walk::Event};\nlet x = crate::prove::run();\n// crate::cli\n";
    assert_eq!(rooms_used(text), ["tui", "case", "walk", "prove"]);
}

#[test]
fn pure_rooms_do_no_input_or_output() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut wrong = Vec::new();
    for room in [
        "quantity",
        "text",
        "terms",
        "physics",
        "instrument",
        "faults",
        "tree",
        "lint",
        "walk",
        "table",
        "belief",
    ] {
        let mut files = Vec::new();
        sources(&root.join(room), &mut files);
        for (file, text) in files {
            let code = text.split("#[cfg(test)]").next().unwrap_or("");
            for word in
                ["std::fs", "std::io", "std::net", "std::env", "std::process", "SystemTime", "println!"]
            {
                if code.lines().any(|l| !l.trim_start().starts_with("//") && l.contains(word)) {
                    wrong.push(format!("{} names {word}", file.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "pure rooms that reach outside:\n{}", wrong.join("\n"));
}
