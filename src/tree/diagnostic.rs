//! One complaint about a file: what, where, why, and what to do.

use crate::text::{is_hidden, visible};
use serde::Serialize;

/// How grave a complaint is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// The file is refused.
    Error,
    /// The file is taken; a person should look.
    Warning,
    /// For information.
    Note,
}

impl Level {
    /// The word shown.
    pub fn id(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// One complaint.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// The rule broken, such as `dangling-target`.
    pub rule: &'static str,
    /// How grave.
    pub level: Level,
    /// The file's name.
    pub file: String,
    /// Line, from 1; 0 where the complaint concerns the whole file.
    pub line: usize,
    /// Column in characters, from 1; 0 where the complaint concerns the whole file.
    pub column: usize,
    /// What was found, and what was expected.
    pub message: String,
    /// Why that is wrong.
    pub why: Option<String>,
    /// What to do.
    pub hint: Option<String>,
    /// The source line, without its end.
    pub excerpt: Option<String>,
    /// How many characters from `column` the complaint concerns; 0 marks one place.
    pub length: usize,
}

/// `diagnostics` as text for people, one after the other, without colour.
pub fn render_all(diagnostics: &[Diagnostic]) -> String {
    diagnostics.iter().map(|d| render(d, false)).collect::<Vec<_>>().join("\n")
}

/// `diagnostic` as text for people: title, place, excerpt with the place marked, why and what to do.
pub fn render(diagnostic: &Diagnostic, colour: bool) -> String {
    use annotate_snippets::{AnnotationKind, Level as Sign, Origin, Renderer, Snippet};
    let sign = match diagnostic.level {
        Level::Error => Sign::ERROR,
        Level::Warning => Sign::WARNING,
        Level::Note => Sign::NOTE,
    };
    let (message, file) = (visible(&diagnostic.message), visible(&diagnostic.file));
    let title = sign.primary_title(&*message).id(diagnostic.rule);
    // One sign for each hidden character, so that the marks below still stand under what they mark.
    let shown = |line: &String| {
        line.chars().map(|c| if is_hidden(c) && c != '\t' { '\u{fffd}' } else { c }).collect::<String>()
    };
    let excerpt = diagnostic.excerpt.as_ref().map(shown);
    let mut group = match &excerpt {
        Some(excerpt) => {
            let at =
                |column: usize| excerpt.char_indices().nth(column).map_or(excerpt.len(), |(byte, _)| byte);
            let from = diagnostic.column.saturating_sub(1);
            let (start, end) = (at(from), at(from + diagnostic.length.max(1)));
            title.element(
                Snippet::source(excerpt.as_str())
                    .line_start(diagnostic.line.max(1))
                    .path(&*file)
                    .annotation(AnnotationKind::Primary.span(start..end)),
            )
        }
        None => title.element(Origin::path(&*file)),
    };
    let (why, hint) = (diagnostic.why.as_deref().map(visible), diagnostic.hint.as_deref().map(visible));
    if let Some(why) = &why {
        group = group.element(Sign::NOTE.message(&**why));
    }
    if let Some(hint) = &hint {
        group = group.element(Sign::HELP.message(&**hint));
    }
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let mut text = renderer.render(&[group]);
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_complaint_shows_rule_place_line_reason_and_remedy() {
        let text = render(
            &Diagnostic {
                rule: "dangling-target",
                level: Level::Error,
                file: "trees/a.yaml".to_owned(),
                line: 7,
                column: 11,
                message: "'suply' is no step".to_owned(),
                why: Some("a walk would stop there".to_owned()),
                hint: Some("did you mean 'supply'?".to_owned()),
                excerpt: Some("    next: suply".to_owned()),
                length: 5,
            },
            false,
        );
        for part in [
            "dangling-target",
            "trees/a.yaml:7:11",
            "    next: suply",
            "^^^^^",
            "a walk would",
            "did you mean",
        ] {
            assert!(text.contains(part), "{part} is not in\n{text}");
        }
    }
}
