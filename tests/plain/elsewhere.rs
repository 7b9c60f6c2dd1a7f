//! The disk takes no more: by lines, too, the case goes on in another folder.

use super::{rig, session, talk};
use crate::journal::sim::{EROFS, Fault, Sim};
use faultwalk::case::{Case, CaseFolder, Header};
use faultwalk::quantity::UnitSystem;
use faultwalk::session::Session;
use std::path::Path;
use std::sync::Arc;

#[test]
fn a_case_goes_on_in_the_folder_named_and_what_was_not_kept_is_given_again() {
    let sim = Sim::default();
    let folder = CaseFolder::with_files(Arc::new(sim.clone()), Path::new("/cases")).unwrap();
    let rig = rig("orchard-pickup");
    let tree = session(&rig, "runs-lean").tree().clone();
    let case: Case = folder.create(Header { tree: tree.id.clone(), ..Header::default() }).unwrap();
    let id = case.id().to_owned();
    let mut one = Session::begin(rig, tree, Some(case), UnitSystem::Metric).unwrap();
    let words = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>();
    sim.plan(0, Fault::Errno(EROFS));
    let (_, text) =
        talk(&mut one, &words(&["understood", "elsewhere", "elsewhere /other", "understood", "none"]));
    assert!(sim.unplan());
    assert!(text.contains("because the disk can only be read"), "{text}");
    assert!(text.contains("Type: elsewhere FOLDER"), "{text}");
    assert!(text.contains("expected a folder after 'elsewhere'"), "{text}");
    assert!(text.contains("The case goes on in /other."), "{text}");
    let kept = |folder: &str| {
        String::from_utf8(sim.content(&Path::new(folder).join(format!("{id}.jsonl"))).unwrap()).unwrap()
    };
    assert!(kept("/other").starts_with(&kept("/cases")));
    assert!(
        kept("/other").contains("answered") && !kept("/cases").contains("answered"),
        "{}",
        kept("/other")
    );
}
