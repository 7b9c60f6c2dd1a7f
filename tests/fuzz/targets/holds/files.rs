//! YAML files: trees and rigs.

use faultwalk::rig::Rig;
use faultwalk::text::is_hidden;
use faultwalk::tree::{load, read_text, render_all};

/// A tree file is taken, or refused with at least one complaint, each with words and a place within the file; what is
/// printed of them hides nothing.
pub fn tree(data: &[u8]) {
    let lines = data.iter().filter(|b| matches!(b, b'\n' | b'\r')).count() + 1;
    if let Err(problems) = read_text("x.yaml", data).and_then(|file| load(&file)) {
        assert!(!problems.is_empty(), "refused without a word");
        for p in &problems {
            assert!(!p.message.is_empty() && p.line <= lines + 1, "{p:?} of {lines} lines");
        }
        let said = render_all(&problems);
        assert!(!said.chars().any(|c| is_hidden(c) && !matches!(c, '\n' | '\t')), "{said:?}");
    }
}

/// A rig file is taken, and then all its numbers are finite, or refused by name.
pub fn rig(data: &[u8]) {
    match Rig::parse("x.yaml", &String::from_utf8_lossy(data)) {
        Ok(rig) => {
            let atmosphere = rig.car.site.atmosphere.0;
            assert!(atmosphere.is_finite() && atmosphere > 0.0, "{atmosphere}");
        }
        Err(error) => assert!(error.to_string().contains("x.yaml"), "{error}"),
    }
}
