//! A disk that takes no more: the case goes on in another folder with nothing lost.

use super::Bench;
use crate::journal::sim::{ENOSPC, EROFS, Fault, Sim};
use faultwalk::case::CaseFolder;
use std::path::{Path, PathBuf};
use std::sync::Arc;

fn folder(sim: &Sim, path: &str) -> CaseFolder {
    CaseFolder::with_files(Arc::new(sim.clone()), Path::new(path)).unwrap()
}

fn journal(sim: &Sim, folder: &str) -> (PathBuf, String) {
    let names = sim.names();
    let mut found = names
        .into_iter()
        .filter(|n| n.parent() == Some(Path::new(folder)) && n.extension().is_some_and(|e| e == "jsonl"));
    let path = found.next().unwrap_or_else(|| panic!("no journal in {folder}"));
    assert_eq!(found.next(), None);
    let text = String::from_utf8(sim.content(&path).unwrap()).unwrap();
    (path, text)
}

#[test]
fn a_case_on_a_disk_that_takes_no_more_goes_on_in_another_folder_with_nothing_lost() {
    for error in [ENOSPC, EROFS] {
        let sim = Sim::default();
        let mut b = Bench::kept_in(folder(&sim, "/cases"));
        b.keys("goes lean on hills<enter><enter>ggyy1<enter>y<enter>").sees("Step 3, supply pressure");
        b.keys("<esc>").sees_not("another folder").keys("<esc>");
        sim.plan(0, Fault::Errno(error));
        b.keys("36 psi<enter>").sees("takes no more, because").sees("Esc, then G, does that.");
        b.sees("NOT KEPT: Esc G").sees("reading > 36 psi");
        assert!(sim.unplan());
        let before = journal(&sim, "/cases").1;
        // The disk is in order again, but what was not kept is not known to it: only the copy goes on.
        b.keys("<enter>").sees("takes no more").keys("<esc>").sees("g Go on in another folder").keys("g");
        b.keys("<enter>")
            .sees("Nothing is typed yet")
            .keys("/other<enter>")
            .sees("The case goes on in /other.");
        b.sees("Another time: faultwalk --cases /other")
            .sees("reading > 36 psi")
            .sees_not("NOT KEPT")
            .sees_not("takes no more");
        b.keys("<enter>").sees("ethanol in the fuel").sees("supply pressure: 36 psi");
        let (left, here) = (journal(&sim, "/cases").1, journal(&sim, "/other").1);
        assert_eq!(left, before, "the old file was touched");
        assert!(here.starts_with(&left) && here.contains("36 psi") && !left.contains("36 psi"), "{here}");
        // The list is that of the new folder, and the case is taken up from it.
        b.keys("<c-q>").sees("Go on with unnamed car").keys("<down><enter>").sees("ethanol in the fuel");
        let mut again = Bench::kept_in(folder(&sim.crash(1), "/other"));
        again.keys("<down><enter>").sees("ethanol in the fuel").sees("supply pressure: 36 psi");
    }
}

#[test]
fn where_the_other_folder_takes_nothing_either_nothing_has_changed() {
    let sim = Sim::default();
    let mut b = Bench::kept_in(folder(&sim, "/cases"));
    b.keys("goes lean on hills<enter><enter>ggyy1<enter>y<enter>");
    sim.plan(0, Fault::Errno(ENOSPC));
    b.keys("36 psi<enter>").sees("NOT KEPT: Esc G").keys("<esc>g");
    // Making the folder; then the new file, its bytes, their sync, its name. What only reads is done without.
    for at in [1, 5, 6, 7, 8] {
        sim.plan(at, Fault::Errno(ENOSPC));
        b.keys("<c-u>/other<enter>").sees("> /other").sees("the disk is full");
        assert!(sim.unplan(), "operation {at} was never come to");
    }
    b.keys("<c-u>/third<enter>")
        .sees("The case goes on in /third.")
        .keys("<enter>")
        .sees("ethanol in the fuel");
}
