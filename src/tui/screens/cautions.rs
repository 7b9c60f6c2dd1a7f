//! Cautions: those to be confirmed now, and those that were, as they stand on a step or before a repair.

use super::super::model::{Due, Model};
use super::super::sheet::Sheet;
use super::super::theme::Role;
use crate::terms::{Caution, SignalWord};
use ratatui::text::Span;

/// How much of a caution is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Said {
    /// Hazard, consequence and how to avoid it.
    All,
    /// What can hurt and how to avoid it.
    Whole,
    /// What can hurt, in a word or two behind its signal word, where there is no room to say it whole.
    Words,
}

/// Cautions, a paragraph each, or in words all together.
pub fn lines(sheet: &mut Sheet, cautions: &[Caution], said: Said) {
    if said == Said::Words {
        return in_words(sheet, cautions);
    }
    for caution in cautions {
        let text = match said {
            Said::All => format!("{} {} {}", caution.hazard(), caution.consequence(), caution.avoidance()),
            _ => format!("{} {}", caution.hazard(), caution.avoidance()),
        };
        signal_line(sheet, *caution, &text);
    }
}

/// What is to be confirmed now: a new caution alone and whole, or all that were confirmed in this case before.
pub fn due(model: &Model, sheet: &mut Sheet, due: &Due, said: Said) {
    let grave = |c: &Caution| matches!(c.signal(), SignalWord::Danger | SignalWord::Warning);
    let aloud = model.settings.agent && due.cautions.iter().any(grave);
    let ask = match (due.of, due.cautions.as_slice()) {
        (Some((number, count)), [caution]) => {
            alone(sheet, *caution, number, count);
            if aloud {
                "Read it to the caller. When the caller has said it back, press Y."
            } else {
                "Once read and kept to, press Y."
            }
        }
        (_, all) => {
            lines(sheet, all, said);
            if aloud {
                "Confirmed before in this case. When the caller says that it is so here too, press Y."
            } else {
                "Confirmed before in this case. Once it is kept to here too, press Y."
            }
        }
    };
    sheet.gap();
    sheet.text(Role::Focus, &format!("> {ask}"));
    sheet.focus = sheet.row().checked_sub(1);
}

/// A caution that stands whole: signal word, hazard, consequence, avoidance, each on its own line.
fn alone(sheet: &mut Sheet, caution: Caution, number: usize, count: usize) {
    sheet.gap();
    let word = caution.signal().to_string();
    let lead = sheet.span(Role::Signal(caution.signal()), &format!(" {word} "));
    let of = if count > 1 { format!("  {number} of {count}") } else { String::new() };
    let of = sheet.span(Role::Muted, &of);
    sheet.line(vec![lead, of]);
    sheet.text(Role::Strong, caution.hazard());
    sheet.text(Role::Text, caution.consequence());
    sheet.text(Role::Text, caution.avoidance());
}

/// Cautions in a word or two, the gravest first, each signal word once.
fn in_words(sheet: &mut Sheet, cautions: &[Caution]) {
    for signal in SignalWord::ALL {
        let of: Vec<Caution> = cautions.iter().copied().filter(|c| c.signal() == *signal).collect();
        let Some(first) = of.first() else { continue };
        let words: Vec<String> = of.iter().map(|c| c.id().replace('-', " ")).collect();
        signal_line(sheet, *first, &words.join(", "));
    }
}

fn signal_line(sheet: &mut Sheet, caution: Caution, text: &str) {
    let word = caution.signal().to_string();
    let from = sheet.row();
    sheet.item(&word, Role::Text, text);
    let style = sheet.look.style(Role::Signal(caution.signal()));
    if let Some(line) = sheet.lines.get_mut(from)
        && let Some(lead) = line.spans.first_mut()
    {
        *lead = Span::styled(word, style);
        line.spans.insert(1, Span::raw(" "));
    }
}
